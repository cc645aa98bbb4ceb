"""How quickly a command answers, against bare Python with the command-line library."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from conftest import Compare

COMMAND = str(Path(sys.executable).with_name("clampwright"))


def run(*words: str, text: str = "") -> None:
    subprocess.run(words, input=text.encode(), capture_output=True, check=True)


def import_click() -> None:
    run(sys.executable, "-c", "import click")


def test_version(compare: Compare) -> None:
    ratio = compare(
        "clampwright --version / import click",
        lambda: run(COMMAND, "--version"),
        import_click,
        figure=1.5,
        rounds=15,
    )
    assert ratio > 0


def test_read_of_one_line(compare: Compare) -> None:
    ratio = compare(
        "clampwright read of one line / import click",
        lambda: run(COMMAND, "read", "-", text="Step 1: 30 Nm, step 2: 90°"),
        import_click,
        figure=4.0,
        rounds=15,
    )
    assert ratio > 0
