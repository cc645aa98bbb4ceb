"""The pages of the manual, their blocks, and a bench to run them at."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from forked import Forked

ROOT = Path(__file__).parents[2]
DEMO = "clampwright demo --folder demo-workshop --replace"
"""What `make run` calls; it is run once, and its output kept for the page that shows it."""

SOURCE = ("src", "tools")
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
        "PYTHONPATH": "src",  # of the bench: a page may change the program's tables
    }


@pytest.fixture(scope="session")
def copied(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder as the manual assumes it: the repository, as far as the manual needs it."""
    folder = tmp_path_factory.mktemp("bench")
    for name in ("examples", *SOURCE):
        shutil.copytree(ROOT / name, folder / name)
    return folder


@pytest.fixture(scope="session")
def loaded(
    tmp_path_factory: pytest.TempPathFactory, copied: Path, bench_environment: dict[str, str]
) -> Iterator[dict[str, str]]:
    """The environment in which `clampwright` is loaded already, from the copied source."""
    own = {**bench_environment, "PYTHONPATH": str(copied / "src")}
    forked = Forked.begin(tmp_path_factory.mktemp("loaded"), own)
    yield {**own, "PATH": f"{forked.command.parent}{os.pathsep}{own['PATH']}"}
    forked.end()


@pytest.fixture(scope="session")
def built_bench(copied: Path, loaded: dict[str, str]) -> Path:
    """The same folder with what `make run` leaves in it."""
    done = subprocess.run(
        ["bash", "-c", DEMO],
        cwd=copied,
        env=loaded,
        check=True,
        capture_output=True,
        encoding="utf-8",
    )
    (copied / "demo-said.txt").write_text(done.stdout, encoding="utf-8")
    return copied


@pytest.fixture
def already_run(built_bench: Path) -> dict[str, str]:
    """Commands that were run to build the bench, with what they printed."""
    return {DEMO: (built_bench / "demo-said.txt").read_text(encoding="utf-8")}


@pytest.fixture
def bench(built_bench: Path, tmp_path: Path) -> Iterator[Path]:
    """A copy of the built folder, for one page to work in, without the source of the program."""
    folder = tmp_path / "bench"
    shutil.copytree(
        built_bench, folder, ignore=lambda at, _: SOURCE if Path(at) == built_bench else ()
    )
    yield folder
    shutil.rmtree(folder)


@pytest.fixture
def at_the_bench(
    bench: Path, built_bench: Path, bench_environment: dict[str, str], loaded: dict[str, str]
) -> Callable[[bool], dict[str, str]]:
    """The environment of a page; one that changes the program gets a copy of its source."""

    def environment(changes_it: bool) -> dict[str, str]:  # noqa: FBT001 - one word says all
        if not changes_it:
            return loaded
        for name in SOURCE:
            shutil.copytree(built_bench / name, bench / name)
        return bench_environment

    return environment
