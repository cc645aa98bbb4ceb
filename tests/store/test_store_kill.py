"""A program that is killed at any moment loses nothing it has acknowledged.

Real processes, killed with SIGKILL. This shows that the program keeps its word when it dies; what a
power cut does is up to the journal (see docs/design.md, Store) and cannot be shown this way.
"""

import importlib.util
import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Self

import pytest

from clampwright.proof import record
from clampwright.store import Store

SCRIPT = Path(__file__).with_name("appender.py")
SIGKILL_STATUS = -signal.SIGKILL


def load(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location("appender", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


PLANNED = load(SCRIPT).planned


class Appender:
    """The fork server and how to kill its children."""

    def __init__(self) -> None:
        self.process = subprocess.Popen(
            [sys.executable, str(SCRIPT)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(120)
        self.process.stdout.close()

    def answer(self) -> int:
        assert self.process.stdout is not None
        return int(self.process.stdout.readline())

    def killed_after(
        self, acknowledged: int, seconds: float, *, folder: Path, told: Path, start: int, seed: int
    ) -> None:
        """Start a child and kill it so many receipts and seconds later; it must live until then."""
        asked = {"folder": str(folder), "told": str(told), "start": start, "seed": seed}
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps(asked) + "\n")
        self.process.stdin.flush()
        already = lines_of(told)
        child = self.answer()
        until = time.monotonic() + 60
        while lines_of(told) < already + acknowledged and time.monotonic() < until:
            time.sleep(0.001)
        time.sleep(seconds)
        os.kill(child, signal.SIGKILL)
        assert self.answer() == SIGKILL_STATUS


def lines_of(told: Path) -> int:
    return told.read_bytes().count(b"\n") if told.exists() else 0


@pytest.fixture
def appender() -> Iterator[Appender]:
    with Appender() as running:
        yield running


def acknowledged(told: Path) -> dict[int, tuple[int, str]]:
    """Number of each acknowledged entry with its place and id; repeats must agree."""
    found: dict[int, tuple[int, str]] = {}
    for line in told.read_text().splitlines() if told.exists() else []:
        number, index, entry_id = line.split()
        assert found.setdefault(int(number), (int(index), entry_id)) == (int(index), entry_id)
    return found


def check(folder: Path, told: Path) -> int:
    """Open the store after a kill and compare it with what was acknowledged."""
    known = acknowledged(told)
    with Store.open(folder, create=True) as store:
        assert store.check() == store.head()[0]
        lines = list(store.lines(since=1))
    # The entries are the planned ones, from the first on, without a gap and each once ...
    assert [line.id for line in lines] == [PLANNED(n).entry_id for n in range(len(lines))]
    assert [line.body for line in lines] == [PLANNED(n).body for n in range(len(lines))]
    # ... and all that were acknowledged are among them, where it was said.
    assert sorted(known) == list(range(len(known)))
    assert len(known) <= len(lines) <= len(known) + 3  # at most one batch was on its way
    for number, (index, entry_id) in known.items():
        assert (index, entry_id) == (number + 1, lines[number].id)
    return len(known)


@pytest.mark.parametrize(
    ("stores", "kills"),
    [
        pytest.param(1, 50, id="50"),
        pytest.param(40, 50, marks=pytest.mark.soak, id="2000"),
    ],
)
def test_killed_at_any_moment(appender: Appender, tmp_path: Path, stores: int, kills: int) -> None:
    random_ = random.Random(20260131)
    total = 0
    for number in range(stores):
        folder, told = tmp_path / str(number), tmp_path / f"{number}.told"
        Store.open(folder, create=True).close()
        start = 0
        for _ in range(kills):
            # Some before the first receipt, while the store is being opened; most in full swing.
            appender.killed_after(
                random_.choice((0, 0, 5, 6, 7)),
                random_.uniform(0.0, 0.03),
                folder=folder,
                told=told,
                start=start,
                seed=random_.randrange(2**32),
            )
            start = check(folder, told)
        with Store.open(folder) as store:
            assert record.verify(store.record("wheel")).ok
        total += start
    # The kills must have met programs at work, or nothing was shown.
    assert total > stores * kills // 2


@pytest.mark.parametrize(
    "kills", [15, pytest.param(300, marks=pytest.mark.soak)], ids=["15", "300"]
)
def test_killed_while_the_store_is_made(appender: Appender, tmp_path: Path, kills: int) -> None:
    random_ = random.Random(20260201)
    unfinished = 0
    for number in range(kills):
        folder, told = tmp_path / str(number), tmp_path / f"{number}.told"
        # Making a store takes some 20 ms: early moments are the interesting ones.
        appender.killed_after(
            0, 0.1 * random_.random() ** 2, folder=folder, told=told, start=0, seed=number
        )
        unfinished += not (folder / "workshop.sqlite").exists()
        check(folder, told)
        assert not (folder / "workshop.sqlite.new").exists()
    assert unfinished > 0
