"""The drawer's commands on a workshop of their own."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from click.testing import CliRunner

from clampwright.cli.drawer import LINES, command

if TYPE_CHECKING:
    from clampwright.bench.folder import Workshop


def test_every_command_of_the_group_can_be_called() -> None:
    for name in LINES:
        told = CliRunner().invoke(command, [name, "--help"])
        assert told.exit_code == 0, name
    assert CliRunner().invoke(command, ["no-such"]).exit_code == 2


def test_the_list_names_every_tool_and_its_standing(workshop: Workshop) -> None:
    told = CliRunner().invoke(command, ["list", "--workshop", str(workshop.folder)])
    assert told.exit_code == 0
    assert "Click wrench 10 to 60 N·m" in told.output
    assert "calibration ran out on" in told.output, "the old beam wrench"
    data = CliRunner().invoke(command, ["list", "--workshop", str(workshop.folder), "--json"])
    tools = {tool["id"]: tool for tool in json.loads(data.output)["tools"]}
    assert tools["click-60"]["scales"] == ["10 – 60 N·m"]
    assert tools["bar-12"]["due"] is None
