"""After a pull that went wrong the fastener is not simply pulled again; what is left is asked."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, open_session
from clampwright.bench.session import Session
from clampwright.errors import Refused
from clampwright.work.readings import AngleReading, DoneReading, ValueReading


def value(session: Session, number: str) -> str:
    guidance = session.next("electronic-200")
    assert guidance is not None
    reading = ValueReading(Decimal(number), "N·m")
    return session.take(guidance.key, reading, tool_id="electronic-200").judgement.verdict


def test_after_over_only_a_new_start_or_a_reason_goes_on(workshop: Workshop) -> None:
    file = workshop.jobs / "propeller-coupling.toml"
    with open_session(workshop, file, today=today()) as session:
        assert value(session, "25") == "over"
    with open_session(workshop, file, today=today()) as session:
        guidance = session.next()
        assert guidance is not None
        assert guidance.last is not None
        assert guidance.last.verdict == "over"
        with pytest.raises(Refused, match="was judged over"):
            value(session, "16.3")
        session.restart(guidance.key.joint, guidance.key.fastener, "over", renewed=True)
        assert value(session, "16.3") == "within"


def test_a_short_angle_asks_for_the_rest_only(workshop: Workshop) -> None:
    file = workshop.jobs / "gearbox-drain-plug.toml"
    with open_session(workshop, file, today=today()) as session:
        guidance = session.next()
        assert guidance is not None
        session.take(guidance.key, DoneReading(done=True))
        guidance = session.next()
        assert guidance is not None
        assert str(guidance.target) == "turn 180° further"
        first = session.take(guidance.key, AngleReading(Decimal(150)))
        assert first.judgement.verdict == "short"
        rest = session.next()
        assert rest is not None
        assert str(rest.target) == "turn 30° more (180° in all)"
        second = session.take(rest.key, AngleReading(Decimal(29)))
        assert second.judgement.verdict == "within"
        assert "turned 179° in all" in str(second.judgement.reasons[0])


def test_too_much_in_two_pulls_is_over(workshop: Workshop) -> None:
    file = workshop.jobs / "gearbox-drain-plug.toml"
    with open_session(workshop, file, today=today()) as session:
        for reading, verdict in (
            (DoneReading(done=True), "within"),
            (AngleReading(Decimal(150)), "short"),
            (AngleReading(Decimal(180)), "over"),
        ):
            guidance = session.next()
            assert guidance is not None
            assert session.take(guidance.key, reading).judgement.verdict == verdict
