"""``clampwright plan --chart``: a chart beside the plan, or one sentence why not."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from clampwright.bench.folder import Workshop
from clampwright.cli.plan import command
from clampwright.errors import ClampwrightError, Missing, Refused

DAY: tuple[str, ...] = ()  # the demonstration's calibrations follow the real day


@pytest.mark.parametrize("show", ["fan", "curve", "contributions"])
def test_a_chart_is_written_and_the_plan_still_shown(
    workshop: Workshop, tmp_path: Path, show: str
) -> None:
    job, chart = workshop.jobs / "launch-engine-head.toml", tmp_path / "head.svg"
    done = CliRunner().invoke(command, [str(job), *DAY, "--chart", str(chart), "--show", show])
    assert done.exit_code == 0, done.output
    assert "pulls in all" in done.output
    assert done.output.endswith(f"Chart written: {chart}\n")
    svg = chart.read_text(encoding="utf-8")
    assert svg.startswith("<svg")
    assert "Cylinder head" in svg


def test_json_stays_one_object(workshop: Workshop, tmp_path: Path) -> None:
    job, chart = workshop.jobs / "launch-engine-head.toml", tmp_path / "head.svg"
    done = CliRunner().invoke(command, [str(job), *DAY, "--chart", str(chart), "--json"])
    assert json.loads(done.output)["joints"]
    assert chart.exists()


@pytest.mark.parametrize(
    ("job", "more", "kind", "said"),
    [
        ("launch-engine-head", ["--chart", "head.png"], ClampwrightError, "end its name in .svg"),
        ("launch-engine-head", ["--chart", "/no/x.svg"], ClampwrightError, "cannot be written"),
        ("launch-engine-head", ["--chart", "x.svg", "--joint", "no"], Refused, "has no joint 'no'"),
        ("gearbox-drain-plug", ["--chart", "x.svg"], Missing, "no clamp load is computed"),
    ],
)
def test_what_cannot_be_drawn_is_one_sentence(
    workshop: Workshop, job: str, more: list[str], kind: type[ClampwrightError], said: str
) -> None:
    path = workshop.jobs / f"{job}.toml"
    done = CliRunner().invoke(command, [str(path), *DAY, *more])
    assert isinstance(done.exception, kind)
    assert said in str(done.exception)


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("plug", "seal, crush washer or taper takes up the turn"),
        ("filter", "the filter's seal takes up the turn"),
        ("bearing_setting", "its running torque or its play"),
    ],
)
def test_a_joint_without_a_formula_says_so_and_goes_by_its_turns(
    workshop: Workshop, kind: str, said: str
) -> None:
    path = workshop.jobs / "gearbox-drain-plug.toml"
    text = path.read_text(encoding="utf-8").replace('kind = "plug"', f'kind = "{kind}"')
    more = 'kind = "KIND"\nthread = "M14x1.5"\nfriction = "oiled"'.replace("KIND", kind)
    path.write_text(text.replace(f'kind = "{kind}"', more), encoding="utf-8")
    done = CliRunner().invoke(command, [str(path), *DAY])
    assert done.exit_code == 0, done.output
    told = " ".join(done.output.split())
    assert said in told
    assert "No clamp load is worked out here" in told
    assert "kN" not in told
    data = json.loads(CliRunner().invoke(command, [str(path), *DAY, "--json"]).output)
    assert all(stage["clamp"] is None for stage in data["joints"][0]["stages"])
