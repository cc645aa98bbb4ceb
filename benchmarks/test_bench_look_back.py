"""How long a look-back takes over 100,000 pulls, from entries to joints sorted by harm."""

from __future__ import annotations

import copy
import datetime as dt
import json
from typing import Any

import pytest

from clampwright.bench.folder import open_session, open_store
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.bench.rehearsal import rehearse
from clampwright.demo.run import build_workshop
from clampwright.drawer.calibration_record import CalibrationRecord, RecordedPoint
from clampwright.drawer.files import load_drawer
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.window import window_of
from clampwright.work.look_back import Review, review
from clampwright.work.past_pulls import KINDS, past_pulls
from conftest import Compare

PULLS, JOBS = 100_000, 2_000
TODAY = dt.datetime.now(dt.UTC).date()


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    """Entries of many jobs: the invented wheel job, done for real once and then copied."""
    place = build_workshop(tmp_path_factory.mktemp("yard") / "workshop", replace=False)
    with open_session(place, place.jobs / "trailer-wheel.toml", today=TODAY) as session:
        rehearse(session, SimulatedMechanic(session.plan, seed=1), lambda *_: None)
    with open_store(place, write=False) as store:
        real = list(store.entries(job="trailer-wheel"))
    opened = next(entry for entry in real if entry["kind"] == "job_opened")
    pull = next(entry for entry in real if entry["body"].get("tool") == "click-60")
    found = []
    for job in range(JOBS):
        found.append({**opened, "job": f"job-{job}"})
        for number in range(PULLS // JOBS):
            one = copy.deepcopy(pull)
            one["job"] = f"job-{job}"
            one["id"] = f"{job}-{number}"
            one["body"]["fastener"] = number + 1
            day = TODAY - dt.timedelta(days=(job * 7 + number) % 150)
            one["device"]["time"] = f"{day.isoformat()}T08:00:00Z"
            found.append(one)
    return found


def looked_back(log: list[dict[str, Any]]) -> Review:
    opened = next(entry for entry in log if entry["kind"] == "job_opened")
    tool = load_drawer(opened["body"]["drawer_file"].encode(), "drawer.toml").tool("click-60")
    points = (RecordedPoint(10.0, -4.0, 1.0, 2.0), RecordedPoint(60.0, -6.0, 1.0, 2.0))
    history = ToolHistory(calibrations=(CalibrationRecord(TODAY, "N·m", points, entry="found"),))
    window = window_of(tool, history)
    return review(window, past_pulls((e for e in log if e["kind"] in KINDS), "click-60"))


def test_look_back_over_a_hundred_thousand_pulls(
    compare: Compare, log: list[dict[str, Any]]
) -> None:
    found = looked_back(log)
    assert found.count == PULLS
    assert len(found.joints) == JOBS
    compare(
        "look-back, 100,000 pulls / the same pulls through json",
        lambda: looked_back(log),
        lambda: [json.loads(json.dumps(entry)) for entry in log if entry["kind"] == "pull"],
        rounds=3,
    )
