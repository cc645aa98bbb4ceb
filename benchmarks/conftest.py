"""Benchmarks are ratios within one run: ours against something known, measured turn by turn.

Machines differ and are noisy; a ratio of medians taken alternately is what can be compared. The
figures are goals, printed beside what was measured; nothing fails for being slow.
"""

from __future__ import annotations

import json
import os
import platform
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

Work = Callable[[], object]


@dataclass(frozen=True, slots=True)
class Row:
    name: str
    ours: float
    reference: float
    figure: float | None

    @property
    def ratio(self) -> float:
        return self.ours / self.reference

    @property
    def mark(self) -> str:
        return "" if self.figure is None or self.ratio <= self.figure else "  MISSED"

    def text(self) -> str:
        goal = "no figure" if self.figure is None else f"goal {self.figure:g}"
        return (
            f"{self.name:<58} {self.ours * 1e3:>10.3f} ms {self.reference * 1e3:>10.3f} ms "
            f"ratio {self.ratio:>8.3f}  {goal}{self.mark}"
        )


ROWS = pytest.StashKey[list[Row]]()


class Compare:
    """Times two pieces of work in turn and keeps the ratio of their medians."""

    def __init__(self, rows: list[Row]) -> None:
        self._rows = rows

    def __call__(
        self,
        name: str,
        ours: Work,
        reference: Work,
        *,
        figure: float | None = None,
        rounds: int = 9,
    ) -> float:
        ours()
        reference()
        mine, theirs = [], []
        for _ in range(rounds):
            mine.append(_seconds(ours))
            theirs.append(_seconds(reference))
        return self.figures(name, statistics.median(mine), statistics.median(theirs), figure=figure)

    def figures(
        self, name: str, ours: float, reference: float, *, figure: float | None = None
    ) -> float:
        """Keep a ratio of times, s, that were taken in another way, within the same run."""
        row = Row(name, ours, reference, figure)
        self._rows.append(row)
        return row.ratio


def _seconds(work: Work) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def pytest_configure(config: pytest.Config) -> None:
    config.stash[ROWS] = []


@pytest.fixture
def compare(request: pytest.FixtureRequest) -> Compare:
    return Compare(request.config.stash[ROWS])


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--keep", type=Path, metavar="FILE", help="Add the ratios to FILE, with the machine named."
    )


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    rows = terminalreporter.config.stash[ROWS]
    if not rows:
        return
    terminalreporter.section("ours, reference, ratio within this run")
    for row in rows:
        terminalreporter.write_line(row.text())
    missed = [row.name for row in rows if row.mark]
    terminalreporter.write_line(f"{len(rows)} ratios, {len(missed)} beyond their goal")
    file: Path | None = terminalreporter.config.getoption("keep")
    if file is not None:
        with file.open("a", encoding="utf-8") as kept:
            kept.write(json.dumps(kept_line(rows), ensure_ascii=False) + "\n")


def kept_line(rows: list[Row]) -> dict[str, Any]:
    """What is kept of a run: the machine by what it is, never by its name."""
    return {
        "day": datetime.now(UTC).date().isoformat(),
        "machine": {
            "processor": processor(),
            "cores": os.cpu_count(),
            "load": round(os.getloadavg()[0], 1) if hasattr(os, "getloadavg") else None,
            "system": platform.system(),
            "python": platform.python_version(),
        },
        "ratios": {row.name: {"ratio": round(row.ratio, 4), "goal": row.figure} for row in rows},
    }


def processor() -> str:
    """The model of the processor, as the system tells it."""
    told = Path("/proc/cpuinfo")
    if told.is_file():
        for line in told.read_text("utf-8").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()
