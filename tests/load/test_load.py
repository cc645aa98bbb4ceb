"""Many benches at work at once: no error, nothing lost, and what everybody waited for is told.

The large size is that of a school: fifty benches, each a pull every five seconds, ten of them with
a wrench that records, for ten minutes.
"""

from __future__ import annotations

import os
import signal
import socket
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from crowd import Bench, crowded
from forked import Forked
from postgres import Server, running
from processes import free_port

from clampwright.bench.folder import Workshop
from load import Load, Report, served, worked


@dataclass(frozen=True)
class Size:
    benches: int
    recording: int
    seconds: float
    every: float


SMALL = Size(5, 2, 3.0, 1.0)
LARGE = Size(50, 10, 600.0, 5.0)


@pytest.fixture
def quickly(forked: Forked) -> Callable[[Workshop], AbstractContextManager[int]]:
    """A server that starts at once: forked from one where everything is loaded."""

    @contextmanager
    def serving(place: Workshop) -> Iterator[int]:
        port = free_port()
        with Path(os.devnull).open("r+b") as nowhere:
            words = ("serve", "--workshop", place.folder, "--port", str(port))
            call = forked.call(*words, streams=[nowhere] * 3)
        try:
            with closing(socket.socket()) as asked:
                until = time.monotonic() + 60
                while asked.connect_ex(("127.0.0.1", port)) and time.monotonic() < until:
                    time.sleep(0.01)
            yield port
        finally:
            os.kill(call.process, signal.SIGTERM)
            call.wait()

    return serving


def load_of(folder: Path, size: Size) -> Load:
    pulls = int(size.seconds / size.every) + 2
    place = crowded(folder, size.benches, pulls)
    benches = [Bench(number, pulls) for number in range(size.benches)]
    return Load(place, benches, size.recording, size.seconds, size.every)


def assert_all_done(report: Report, size: Size) -> None:
    assert report.errors == []
    rounds = size.seconds / size.every
    assert len(report.pulls.of) >= (size.benches - size.recording) * (int(rounds) - 1)
    assert len(report.traces.of) >= size.recording
    assert len(report.answers.of) > len(report.traces.of)
    print(report.told())


def test_a_few_benches_on_a_file(
    tmp_path: Path, quickly: Callable[[Workshop], AbstractContextManager[int]]
) -> None:
    load = load_of(tmp_path / "yard", SMALL)
    assert_all_done(worked(load, serving=quickly), SMALL)


def test_a_few_benches_at_two_servers_of_one_database(
    tmp_path: Path, postgres: Server, quickly: Callable[[Workshop], AbstractContextManager[int]]
) -> None:
    postgres.folder_on(tmp_path / "yard")
    load = load_of(tmp_path / "yard", SMALL)
    assert_all_done(worked(load, servers=2, serving=quickly), SMALL)


@pytest.mark.soak
def test_fifty_benches_on_a_file(tmp_path: Path) -> None:
    assert_all_done(worked(load_of(tmp_path / "yard", LARGE), serving=served), LARGE)


@pytest.mark.soak
@pytest.mark.parametrize("servers", [1, 3])
def test_fifty_benches_on_a_database(tmp_path: Path, servers: int) -> None:
    """On the disk, not in memory as for other tests: what is waited for is what counts."""
    with running(Path(tempfile.gettempdir())) as server:
        server.folder_on(tmp_path / "yard")
        load = load_of(tmp_path / "yard", LARGE)
        assert_all_done(worked(load, servers=servers), LARGE)
