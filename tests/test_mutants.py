"""What the mutation trials name is there; the trials themselves take hours (`make mutants`)."""

from __future__ import annotations

import csv
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "clampwright"


def test_every_module_and_every_test_named_is_there() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["mutmut"]
    modules: dict[str, list[str]] = settings["modules"]
    assert len(modules) >= 12
    for module, tests in modules.items():
        assert (SOURCE / f"{module}.py").is_file(), module
        assert tests
        assert all((ROOT / "tests" / test).is_file() for test in tests), tests


def test_what_is_called_no_change_still_stands_in_the_code() -> None:
    table = ROOT / "docs" / "validation" / "equivalent-mutants.csv"
    with table.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) > 10
    for row in rows:
        text = (SOURCE / f"{row['module']}.py").read_text("utf-8")
        assert row["removed"] in text, row
        assert row["added"] != row["removed"]
        assert row["reason"]
