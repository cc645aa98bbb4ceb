"""The pages of the manual, their blocks, and a bench to run them at."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DEMO = "clampwright demo --folder demo-workshop --replace"
"""What `make run` calls; it is run once, and its output kept for the page that shows it."""

COMMAND = Path(sys.executable).with_name("clampwright")


@pytest.fixture(scope="session")
def bench_environment(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """What a command of the manual finds around it: this program, plain English, 80 columns."""
    return {
        "PATH": f"{COMMAND.parent}{os.pathsep}{os.environ['PATH']}",
        "HOME": str(tmp_path_factory.mktemp("home")),
        "LANG": "C.UTF-8",
        "CLAMPWRIGHT_LANG": "en",
        "COLUMNS": "80",
        "TERM": "xterm",
        "PYTHONPATH": "src",  # each page works on its own copy of the program's tables
    }


@pytest.fixture(scope="session")
def built_bench(
    tmp_path_factory: pytest.TempPathFactory, bench_environment: dict[str, str]
) -> Path:
    """A folder as the manual assumes it: the repository, and what `make run` leaves in it."""
    folder = tmp_path_factory.mktemp("bench")
    for name in ("examples", "src", "tools"):
        shutil.copytree(ROOT / name, folder / name)
    done = subprocess.run(
        ["bash", "-c", DEMO],
        cwd=folder,
        env=bench_environment,
        check=True,
        capture_output=True,
        encoding="utf-8",
    )
    (folder / "demo-said.txt").write_text(done.stdout, encoding="utf-8")
    return folder


@pytest.fixture
def already_run(built_bench: Path) -> dict[str, str]:
    """Commands that were run to build the bench, with what they printed."""
    return {DEMO: (built_bench / "demo-said.txt").read_text(encoding="utf-8")}


@pytest.fixture
def bench(built_bench: Path, tmp_path: Path) -> Iterator[Path]:
    """A copy of the built folder, for one page to work in."""
    folder = tmp_path / "bench"
    shutil.copytree(built_bench, folder)
    yield folder
    shutil.rmtree(folder)
