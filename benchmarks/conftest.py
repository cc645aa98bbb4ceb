"""Benchmarks are ratios within one run: ours against something known, measured turn by turn.

Machines differ and are noisy; a ratio of medians taken alternately is what can be compared. The
figures are goals, printed beside what was measured; nothing fails for being slow.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass

import pytest

Work = Callable[[], object]


@dataclass(frozen=True, slots=True)
class Row:
    name: str
    ours: float
    reference: float
    figure: float | None

    def text(self) -> str:
        goal = "no figure" if self.figure is None else f"goal {self.figure:g}"
        return (
            f"{self.name:<58} {self.ours * 1e3:>10.3f} ms {self.reference * 1e3:>10.3f} ms "
            f"ratio {self.ours / self.reference:>8.3f}  {goal}"
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
        return row.ours / row.reference


def _seconds(work: Work) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def pytest_configure(config: pytest.Config) -> None:
    config.stash[ROWS] = []


@pytest.fixture
def compare(request: pytest.FixtureRequest) -> Compare:
    return Compare(request.config.stash[ROWS])


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    rows = terminalreporter.config.stash[ROWS]
    if rows:
        terminalreporter.section("ours, reference, ratio within this run")
        for row in rows:
            terminalreporter.write_line(row.text())
