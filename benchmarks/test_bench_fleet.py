"""A plan for a fleet against fleets that are there: ten and a hundred times as many workshops.

Costs are taken from the smallest fleet, the plan is made for the larger one, and that is then put
in and analysed. ``CLAMPWRIGHT_BENCH_WORKSHOPS=10`` as the smallest (so 1000 as the largest) takes
minutes; without it there are 3, 30 and 300.
"""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from fleet import Day, day_of, fleet

from clampwright.archive.analyses import ANALYSES
from clampwright.archive.layout import Archive, archive_at
from clampwright.archive.paper_plan import MONTHS, PLANNED, Costs, Fleet, costs_of, plan_for
from clampwright.archive.running import run
from clampwright.archive.taking import put
from conftest import Compare

FEWEST = int(os.environ.get("CLAMPWRIGHT_BENCH_WORKSHOPS", "3"))
HOUR = 3600.0


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Day:
    return day_of(tmp_path_factory.mktemp("day") / "workshop")


def worked(folder: Path, day: Day, workshops: int) -> tuple[Archive, float]:
    """A fleet put in and analysed; the processor time that took, s."""
    archive = archive_at(folder, create=True)
    sources = list(fleet(day, workshops, 1))
    start = time.process_time()
    for source in sources:
        put(archive, source)
    for name in PLANNED:
        run(archive, ANALYSES[name])
    return archive, time.process_time() - start


@pytest.fixture(scope="module")
def costs(day: Day, tmp_path_factory: pytest.TempPathFactory) -> Costs:
    folder = tmp_path_factory.mktemp("few")
    worked(folder / "warm", day, 1)  # what is loaded once is no cost of a workshop
    return costs_of(worked(folder / "fleet", day, FEWEST)[0])


@pytest.mark.parametrize("times", [10, 100])
def test_a_plan_against_the_fleet_it_is_for(
    times: int, compare: Compare, costs: Costs, day: Day, tmp_path: Path
) -> None:
    """Bytes and core-seconds: what was planned stands first, what was measured beside it."""
    workshops = times * FEWEST
    each = 1.0 / costs.workshops
    plan = plan_for(
        Fleet(
            workshops, costs.months / MONTHS,
            MONTHS / costs.months * costs.entries * each,
            MONTHS / costs.months * costs.samples * each,
        ),
        costs,
    )  # fmt: skip
    archive, took = worked(tmp_path / "fleet", day, workshops)
    size = sum(one.stat().st_size for one in archive.folder.rglob("*") if one.is_file())
    name = f"{workshops} workshops planned from {FEWEST} / measured"
    assert compare.figures(f"{name}: core-seconds", HOUR * plan.all_first_h, took) > 0
    assert compare.figures(f"{name}: GB", plan.bytes / 1e12, size / 1e12) > 0
