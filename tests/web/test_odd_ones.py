"""The odd fastener of a joint stands on the job's page and in its record."""

from __future__ import annotations

from typing import Any

from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.session import Session
from clampwright.store import Store
from clampwright.trace.verdict import TraceVerdict
from clampwright.work.readings import TraceReading

ANGLES = {1: 24.0, 3: 24.5, 5: 23.8, 2: 35.0, 4: 24.2}


def recorded(place: Workshop, angle: float) -> TraceReading:
    found = TraceVerdict(
        "within",
        "normal",
        fault=False,
        reasons=(),
        final_torque=90.0,
        turned_after_snug=angle,
        slope=2.0,
        uncertainty={"turned_after_snug_deg": 0.2, "slope_nm_per_deg": 0.02},
    )
    return TraceReading(place.papers.keep(f"pull {angle}".encode()), found)


def test_a_fastener_that_turned_further_than_the_others_is_named(
    opened: TestClient, workshop: Workshop, wheel: Any
) -> None:
    wheel.settle(opened, 1)
    with Store.open(workshop.folder) as store:
        session = Session(store, wheel.job, workshop.papers)
        while (due := session.next()) is not None and due.key.stage == 2:
            reading = recorded(workshop, ANGLES[due.key.fastener])
            session.take(due.key, reading, tool_id="electronic-200")
    says = "astener 2 differs from the others of this joint in the rotation after snug, degrees: 35"
    assert says in opened.get(f"/jobs/{wheel.job}").text
    assert says in opened.get(f"/jobs/{wheel.job}/record.txt").text
    assert opened.get(f"/jobs/{wheel.job}").text.count("differs from the others") == 1
