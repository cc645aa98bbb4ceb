"""What the jobs and the shelf of a workshop ask of its drawer."""

from __future__ import annotations

from clampwright.bench.drawer_needs import asked_of
from clampwright.bench.drawers import drawer_of
from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.shelf import Draft, put

SOURCE = {"title": "Service sheet (invented)", "edition": "3", "page": "12", "date": "2024-05"}
PLAIN = Draft("Pump cover", "Step 1: 10 Nm crosswise. Step 2: 22 Nm crosswise.", source=SOURCE)


def test_the_shelf_asks_too(workshop: Workshop) -> None:
    drawer = drawer_of(workshop).now
    before = asked_of(workshop, drawer)
    with open_store(workshop, create=True) as store:
        put(store, workshop, PLAIN, "A. Fitter")
    after = asked_of(workshop, drawer)
    assert [need.torque for need in after.needs[len(before.needs) :]] == [10.0, 22.0]
    assert after.jobs == before.jobs
    assert before.skipped == after.skipped == ()
