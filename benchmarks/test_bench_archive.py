"""What an archive costs beside the same work without it, and what a second worker brings.

The large figure is for 100 million samples: ``CLAMPWRIGHT_BENCH_SAMPLES=100000000`` asks for them;
without it twelve million are judged, which takes minutes less.
"""

from __future__ import annotations

import io
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from test_bench_trace import GIVEN, archive

from clampwright.archive.analyses import ANALYSES
from clampwright.archive.layout import Archive, archive_at
from clampwright.archive.running import last_result, run
from clampwright.archive.taking import put_traces
from clampwright.trace.archive import judge_archive
from conftest import Compare

PULLS, LONG = 1_000, 2_000
HALF = max(1, int(os.environ.get("CLAMPWRIGHT_BENCH_SAMPLES", "12000000")) // (2 * PULLS * LONG))
"""Workshops of half the archive, each with one file of two million samples."""
SAMPLES = 2 * HALF * PULLS * LONG
COMMAND = Path(sys.executable).with_name("clampwright")
MONTH = "2026-03"


@pytest.fixture(scope="module")
def pulls() -> bytes:
    """A Parquet file of two million samples."""
    return archive(PULLS, LONG)


def filled(folder: Path, pulls: bytes, workshops: int) -> Archive:
    """An archive of workshops with that file each."""
    found = archive_at(folder, create=True)
    for number in range(workshops):
        name = f"invented-{number}"
        put_traces(found, io.BytesIO(pulls), name, given=GIVEN, workshop=name, month=MONTH)
    return found


@pytest.fixture(scope="module")
def chain(tmp_path_factory: pytest.TempPathFactory, pulls: bytes) -> Archive:
    return filled(tmp_path_factory.mktemp("fleet") / "chain", pulls, 2 * HALF)


@contextmanager
def again(found: Archive) -> Iterator[None]:
    """Forget what was done, so that it is done again."""
    shutil.rmtree(found.results, ignore_errors=True)
    yield


def command(found: Archive, *options: str) -> subprocess.Popen[bytes]:
    """Judge an archive again in a process of its own."""
    program = [str(COMMAND), "archive", "rejudge", str(found.folder)]
    return subprocess.Popen([*program, *options, "--json"], stdout=subprocess.DEVNULL)


def seconds(*processes: subprocess.Popen[bytes], since: float) -> float:
    """Wait for processes; return the time by the clock."""
    assert [one.wait() for one in processes] == [0] * len(processes)
    return time.perf_counter() - since


def judged(*archives: Archive) -> int:
    """Pulls that the newest results speak of: a run that did nothing is no quick one."""
    results = [last_result(one, "rejudge") for one in archives]
    return sum(one.found["pulls"] for one in results if one is not None)


def test_two_workers_against_two_that_know_nothing_of_each_other(
    compare: Compare, chain: Archive, pulls: bytes, tmp_path: Path
) -> None:
    """90 % of the speed-up of two unconnected processes: at most 1/0.9 of their time."""
    halves = [filled(tmp_path / name, pulls, HALF) for name in ("one", "other")]
    ours, theirs = [], []
    for _round in range(3):
        with again(chain):
            start = time.perf_counter()
            ours.append(seconds(command(chain, "--workers", "2"), since=start))
            assert judged(chain) == SAMPLES // LONG
        with again(halves[0]), again(halves[1]):
            start = time.perf_counter()
            theirs.append(seconds(*(command(one) for one in halves), since=start))
            assert judged(*halves) == SAMPLES // LONG
    name = f"{SAMPLES:,} samples, two workers / two unconnected processes"
    assert compare.figures(name, min(ours), min(theirs), figure=1.0 / 0.9) > 0


def test_a_sample_of_an_archive_against_the_batch(
    compare: Compare, chain: Archive, pulls: bytes
) -> None:
    def ours() -> float:
        with again(chain):
            start = time.process_time()
            run(chain, ANALYSES["rejudge"])
            return time.process_time() - start

    def batch() -> float:
        start = time.process_time()
        for _file in range(2 * HALF):
            assert len([one.verdict for one in judge_archive(io.BytesIO(pulls), GIVEN)]) == PULLS
        return time.process_time() - start

    ours(), batch()
    mine, theirs = zip(*((ours(), batch()) for _round in range(3)), strict=True)
    name = "a sample judged from an archive / by the batch, processor time"
    assert compare.figures(name, min(mine) / SAMPLES, min(theirs) / SAMPLES, figure=1.3) > 0


def test_memory_of_a_worker_when_the_archive_is_ten_times_as_large(
    compare: Compare, chain: Archive, pulls: bytes, tmp_path: Path
) -> None:
    """The ratio is of bytes: they stand where the other rows have seconds."""
    from clampwright.archive.cluster import workers_here  # noqa: PLC0415 - starts Dask

    small = filled(tmp_path / "small", pulls, max(1, 2 * HALF // 10))
    peaks = []
    for found in (small, chain):
        with again(found), workers_here(1) as spread:
            peaks.append(run(found, ANALYSES["rejudge"], spread=spread, workers=1).work.peak_bytes)
    name = "memory of a worker, GB: archive ten times as large"
    assert compare.figures(name, peaks[1] / 1e12, peaks[0] / 1e12, figure=1.1) > 0
