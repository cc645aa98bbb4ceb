"""The demonstration can go on with the wrenches: something happened to each of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clampwright.bench.days import today
from clampwright.bench.drawers import drawer_of
from clampwright.bench.folder import open_session
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.bench.rehearsal import rehearse
from clampwright.demo.drawer_day import look_after
from clampwright.drawer.check_series import series_for

if TYPE_CHECKING:
    from clampwright.bench.folder import Workshop


def test_the_wrenches_of_the_demonstration_have_a_history(workshop: Workshop) -> None:
    with open_session(workshop, workshop.jobs / "trailer-wheel.toml", today=today()) as session:
        rehearse(session, SimulatedMechanic(session.plan, seed=1), lambda *_: None)
    found = look_after(workshop)
    assert [joint.worst.pull.joint for joint in found.review.joints] == ["wheel"]
    assert found.review.joints[0].advice != "fine"
    drawer = drawer_of(workshop)
    assert [one.event for one in drawer.now.tool("dial-200in").doubts] == ["dropped"]
    checks = drawer.history("click-150ft").checks
    assert [one.verdict for one in checks][:2] == ["agrees", "agrees"]
    series = series_for(drawer.now.tool("click-150ft"), checks)
    assert series.bands[-1].signals, "it wanders"
