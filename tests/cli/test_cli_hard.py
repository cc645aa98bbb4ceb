"""Closed, full and foreign streams, and files that must not be written over."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import IO

import pytest
from forked import Forked

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, open_session, open_store
from clampwright.demo.run import run_job

COMMAND = str(Path(sys.executable).with_name("clampwright"))


def run(
    *words: str, stdout: int | IO[str] = subprocess.PIPE, env: dict[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [COMMAND, *words], stdout=stdout, stderr=subprocess.PIPE, text=True, check=False, env=env
    )


def run_forked(forked: Forked, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([forked.command, *words], capture_output=True, text=True, check=False)


def test_closed_standard_input() -> None:
    done = subprocess.run(
        ["/bin/sh", "-c", f"{COMMAND} read - <&-"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "standard input is closed" in done.stderr


def test_full_standard_output() -> None:
    with Path("/dev/full").open("w") as full:
        done = run("validate", "--about", "W1.1", stdout=full)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


def test_a_terminal_that_cannot_show_every_sign(workshop: Workshop) -> None:
    done = run(
        "plan",
        str(workshop.jobs / "trailer-wheel.toml"),
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
    )
    assert done.returncode == 0
    assert "N?m" in done.stdout


@pytest.mark.parametrize("name", ["workshop.sqlite", "drawer.toml", "notes.json"])
def test_a_record_is_never_written_over_something_else(
    forked: Forked, workshop: Workshop, name: str
) -> None:
    run_job(workshop, "gearbox-drain-plug", seed=1, faults=(), paper=False)
    target = workshop.folder / name
    if not target.exists():
        target.write_text("mine")
    before = target.read_bytes()
    done = run_forked(
        forked,
        "record",
        "gearbox-drain-plug",
        "--workshop",
        str(workshop.folder),
        "--out",
        str(target),
    )
    assert done.returncode == 2
    assert target.read_bytes() == before


def test_a_workshop_in_use_is_not_replaced(forked: Forked, workshop: Workshop) -> None:
    file = workshop.jobs / "trailer-wheel.toml"
    with open_session(workshop, file, today=today()) as session:
        done = run_forked(
            forked, "demo", "--folder", str(workshop.folder), "--replace", "--no-serve"
        )
        assert done.returncode == 2
        assert session.next() is not None
    with open_store(workshop, write=False) as store:
        assert list(store.entries(job="trailer-wheel"))


def test_a_workshop_with_a_job_of_ones_own_is_not_replaced(
    forked: Forked, workshop: Workshop
) -> None:
    own = workshop.jobs / "my-axle.toml"
    own.write_text("# mine")
    done = run_forked(forked, "demo", "--folder", str(workshop.folder), "--replace", "--no-serve")
    assert done.returncode == 2
    assert "my-axle.toml" in done.stderr
    assert own.exists()
