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
    subprocess.run(
        [COMMAND, "demo", "--folder", "demo-workshop", "--replace"],
        cwd=folder,
        env=bench_environment,
        check=True,
        capture_output=True,
    )
    return folder


@pytest.fixture
def bench(built_bench: Path, tmp_path: Path) -> Iterator[Path]:
    """A copy of the built folder, for one page to work in."""
    folder = tmp_path / "bench"
    shutil.copytree(built_bench, folder)
    yield folder
    shutil.rmtree(folder)
