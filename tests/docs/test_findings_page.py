"""The page of findings names every finding the check can make, with the severities it can have."""

from __future__ import annotations

import re
from pathlib import Path

from clampwright.procedure.check_finding import SEVERITIES
from clampwright.procedure.check_why import WHY

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "findings.md").read_text("utf-8")
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in PAGE.splitlines()
    if line.startswith("| `")
]


def test_every_finding_stands_there_once_and_no_other() -> None:
    assert sorted(row[0].strip("`") for row in ROWS) == sorted(WHY)


def test_every_row_says_how_serious_when_and_what_settles_it() -> None:
    for row in ROWS:
        assert len(row) == 4
        first = re.match(r"[a-z]+", row[1])
        assert first
        assert first[0] in {str(one) for one in SEVERITIES}
        assert all(row[2:])
