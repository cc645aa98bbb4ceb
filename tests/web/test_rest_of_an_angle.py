"""After a short angle the page asks for what is left of it, and compares with what is left."""

from __future__ import annotations

from decimal import Decimal

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, open_session
from clampwright.report.view import View
from clampwright.web.bench_view import bench_view
from clampwright.work.readings import AngleReading, DoneReading


def test_the_figure_is_the_rest(workshop: Workshop) -> None:
    file = workshop.jobs / "gearbox-drain-plug.toml"
    with open_session(workshop, file, today=today()) as session:
        for reading in (DoneReading(done=True), AngleReading(Decimal(150))):
            guidance = session.next()
            assert guidance is not None
            session.take(guidance.key, reading)
        shown = bench_view(session.plan, session.state, size=3, view=View())
    assert shown["ahead"] == [["plug", 2, 1]]
    step = shown["steps"]["plug/2/1"]
    assert step["figure"] == "30°"
    assert (step["compare"]["units"]["deg"]["low"], step["compare"]["units"]["deg"]["high"]) == (
        20,
        40,
    )
    assert shown["pulls"] == {"all": 2, "done": 1, "left": 1}
