"""docs/validation/reading.md is what its tool writes; every shown case stays whole."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "validation" / "reading.md"
TOOL = ROOT / "tools" / "reading_report.py"


def test_the_page_is_up_to_date() -> None:
    done = subprocess.run([sys.executable, str(TOOL), "--check"], check=False)
    assert done.returncode == 0, "run: python tools/reading_report.py"


def test_every_shown_case_is_whole_and_none_is_silent() -> None:
    shown = PAGE.read_text(encoding="utf-8").partition("## The shown texts")[2]
    last = next(line for line in shown.splitlines() if line.startswith("| **all**"))
    cells = [cell.strip() for cell in last.strip("|").split("|")]
    assert cells == ["**all**", "99", "99", "99", "0", "0"]
