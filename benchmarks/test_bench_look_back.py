"""How long a look-back takes over 100,000 pulls, from the log to joints sorted by harm."""

from __future__ import annotations

import datetime as dt
import itertools
import time
from collections.abc import Iterator
from typing import Any

import pytest

from clampwright.bench.drawers import drawer_of
from clampwright.bench.folder import Workshop, open_session, open_store
from clampwright.bench.histories import happened_of
from clampwright.bench.look_back import LookedBack, look_back
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.bench.rehearsal import rehearse
from clampwright.bench.tool_events import keep_calibration
from clampwright.demo.run import build_workshop
from clampwright.drawer.calibration_record import CalibrationRecord, RecordedPoint
from clampwright.proof.checkpoint import Head
from clampwright.proof.entry import compose
from clampwright.proof.ids import IdMaker
from clampwright.proof.merkle import Frontier, leaf_hash
from clampwright.store.copying import LogSource, SignedHead, write_log
from clampwright.store.folder import Folder
from conftest import Compare

PULLS, JOBS = 100_000, 2_000
TODAY = dt.datetime.now(dt.UTC).date()
TOOL = "click-60"
GOAL = 2.0
"""Seconds."""


def copied(first: bytes, real: list[dict[str, Any]]) -> Iterator[bytes]:
    """The entries of many jobs, copied from one that was done, and the wrench found off."""
    ids = IdMaker(itertools.count(1_700_000_000_000).__next__)
    kinds = {entry["kind"]: entry for entry in real}
    opened, found = kinds["job_opened"]["body"], kinds["tool_calibrated"]["body"]
    pull = next(entry["body"] for entry in real if entry["body"].get("tool") == TOOL)

    def entry(
        kind: str, body: dict[str, Any], when: str, job: str | None, seq: int | None
    ) -> bytes:
        return compose(
            id=ids(), kind=kind, body=body, job=job, job_seq=seq,
            device_id="bench", device_time=when, recorded=when,
        )  # fmt: skip

    yield first
    for job in range(JOBS):
        day = TODAY - dt.timedelta(days=150 - job % 150)
        when = f"{day.isoformat()}T08:00:00Z"
        yield entry("job_opened", opened, when, f"job-{job}", 0)
        for number in range(1, PULLS // JOBS + 1):
            yield entry("pull", pull | {"fastener": number}, when, f"job-{job}", number)
    yield entry("tool_calibrated", found, f"{TODAY.isoformat()}T09:00:00Z", None, None)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    """A workshop with a long log: the invented wheel job, done once and then copied."""
    folder = tmp_path_factory.mktemp("yard")
    start = build_workshop(folder / "workshop", replace=False)
    with open_session(start, start.jobs / "trailer-wheel.toml", today=TODAY) as session:
        rehearse(session, SimulatedMechanic(session.plan, seed=1), lambda *_: None)
    tool = drawer_of(start).described.tool(TOOL)
    points = (RecordedPoint(10.0, -4.0, 1.0, 2.0), RecordedPoint(60.0, -6.0, 1.0, 2.0))
    with open_store(start) as store:
        keep_calibration(store, tool, CalibrationRecord(TODAY, "N·m", points), today=TODAY)
        real, key, origin = list(store.entries()), store.signing_key(), store.origin
        lines = list(copied(next(iter(store.raw_entries())), real))
    edge = Frontier().extend(leaf_hash(line) for line in lines)
    note = Head(origin, edge.size, edge.root).sign(key)
    (folder / "yard").mkdir()
    yard = Folder(folder / "yard")
    write_log(LogSource("invented", lines, [SignedHead(note, "2026-03-01T08:00:00Z")]), yard.store)
    (folder / "yard" / "drawer.toml").write_bytes(start.drawer.read_bytes())
    return Workshop(folder / "yard")


def looked_back(place: Workshop) -> LookedBack:
    """All that the command does, from opening the log on."""
    with open_store(place, write=False) as store:
        return look_back(store, drawer_of(place, happened_of(store)), TOOL)


def read_whole(place: Workshop) -> int:
    """Read every pull as the standard library does: the way that was not taken."""
    with open_store(place, write=False) as store:
        return sum(1 for _ in store.quick_entries(("job_opened", "pull")))


def test_look_back_over_a_hundred_thousand_pulls(compare: Compare, place: Workshop) -> None:
    found = looked_back(place)
    assert found.review.count == PULLS
    assert len(found.review.joints) == JOBS
    compare(
        "look-back, 100,000 pulls from the log / reading them whole",
        lambda: looked_back(place),
        lambda: read_whole(place),
        rounds=3,
    )
    start = time.process_time()
    looked_back(place)
    spent = time.process_time() - start
    compare.figures("look-back, processor time / 2 s", spent, GOAL, figure=1.0)
