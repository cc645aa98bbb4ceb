"""Choosing tools: a large drawer for a long procedure, all ranked and the best with its reasons."""

from __future__ import annotations

import datetime as dt
import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from clampwright.drawer import Demand, Drawer, choose, load_drawer
from clampwright.drawer.assignment import assign, assign_ranked
from clampwright.drawer.ranking import Ranker
from conftest import Compare

TODAY = dt.date(2026, 11, 30)
FIGURE_S = 0.020
FILE = Path(__file__).parents[1] / "src" / "clampwright" / "demo" / "workshop" / "drawer.toml"


@pytest.fixture(scope="module")
def drawer() -> Drawer:
    """Two hundred tools: the invented drawer again and again."""
    base = load_drawer(FILE.read_bytes(), FILE.name)
    count = len(base.tools)
    tools = tuple(
        replace(base.tools[n % count], id=f"{base.tools[n % count].id}-{n}") for n in range(200)
    )
    return Drawer(tools, base.adapters)


@pytest.fixture(scope="module")
def demands() -> list[Demand]:
    """Thirty stages, none of the torques twice."""
    torques = [Demand("torque", t, 0.95 * t, 1.05 * t) for t in (20.0 + 4 * n for n in range(20))]
    angles = [Demand("angle", angle_deg=30.0 + 10 * n) for n in range(4)]
    checks = [Demand("check", low=1.0 + n, high=2.0 + n, check="running") for n in range(4)]
    return [*torques, *angles, *checks, Demand("loosen"), Demand("snug")]


def test_two_hundred_tools_for_thirty_stages(
    compare: Compare, drawer: Drawer, demands: list[Demand]
) -> None:
    """Ranked together, against each tool asked one by one with all its reasons."""
    assert (len(drawer.tools), len(demands)) == (200, 30)

    def together() -> list[str | None]:
        ranker = Ranker(drawer, TODAY)
        found = ranker.choose_all(demands)
        places = assign_ranked(found)
        return [
            None if at is None else one[at].tool.id for one, at in zip(found, places, strict=True)
        ]

    def one_by_one() -> list[str | None]:
        found = [choose(drawer, demand, today=TODAY) for demand in demands]
        places = assign(found)
        return [
            None if at is None else one[at].tool.id for one, at in zip(found, places, strict=True)
        ]

    assert together() == one_by_one()
    compare("choice, 200 tools x 30 stages / one by one", together, one_by_one)
    spent = statistics.median(_processor_seconds(together) for _ in range(5))
    compare.figures("choice, processor time / 20 ms", spent, FIGURE_S, figure=1.0)


def _processor_seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start
