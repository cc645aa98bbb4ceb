"""A job at the bench: begun, gone on with, corrected, closed; and what is refused."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal

import pytest

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, open_session, open_store
from clampwright.bench.session import Session
from clampwright.errors import BadFile, Refused, StoreBusy
from clampwright.work.fold import PullKey
from clampwright.work.readings import AngleReading, ClickReading, DoneReading, Reading, ValueReading


@contextmanager
def at_the_bench(place: Workshop, job: str = "propeller-coupling") -> Iterator[Session]:
    with open_session(place, place.jobs / f"{job}.toml", today=today()) as session:
        yield session


def right(session: Session) -> Reading:
    """The reading that is within, for whatever is asked next."""
    guidance = session.next()
    assert guidance is not None
    choice = guidance.choice
    if guidance.planned.limits.quantity == "angle":
        return AngleReading(Decimal(f"{guidance.planned.stage.angle_deg:g}"))
    if choice is None or choice.setting is None:
        return DoneReading(done=True)
    setting = choice.setting
    if choice.tool.kind == "click":
        return ClickReading(
            clicked=True, moved=True, setting=Decimal(str(setting.value)), unit=setting.scale_unit
        )
    return ValueReading(Decimal(str(setting.value)), setting.scale_unit)


def pull(session: Session) -> str:
    guidance = session.next()
    assert guidance is not None
    return session.take(guidance.key, right(session)).judgement.verdict


def test_a_job_is_worked_through_and_closed(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        assert session.plan.pulls == 12
        verdicts = [pull(session) for _ in range(12)]
        assert set(verdicts) == {"within"}
        assert session.next() is None
        session.close()
    with at_the_bench(workshop) as session:
        assert session.state.closed
        with pytest.raises(Refused, match="closed"):
            session.take(PullKey("coupling", 1, 1), DoneReading(done=True))


def test_it_goes_on_where_it_was(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        for _ in range(4):
            pull(session)
        expected = session.next()
    with at_the_bench(workshop) as session:
        now = session.next()
        assert now is not None
        assert expected is not None
        assert now.key == expected.key
        assert now.left == 8


def test_the_same_entry_twice_is_one_pull(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        guidance = session.next()
        assert guidance is not None
        reading, entry = right(session), "0197d7a0-0000-7000-8000-000000000001"
        first = session.take(guidance.key, reading, entry_id=entry)
        again = session.take(guidance.key, reading, entry_id=entry)
        assert (first.receipt.duplicate, again.receipt.duplicate) == (False, True)
        assert first.receipt.index == again.receipt.index
        assert len(session.state.pulls) == 1


def test_the_same_id_with_other_content_is_refused(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        guidance = session.next()
        assert guidance is not None
        entry = "0197d7a0-0000-7000-8000-000000000001"
        session.take(guidance.key, right(session), entry_id=entry)
        other = session.next()
        assert other is not None
        with pytest.raises(Refused):
            session.take(other.key, right(session), entry_id=entry)
        assert len(session.state.pulls) == 1


def test_a_pull_that_is_done_is_not_done_again(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        guidance = session.next()
        assert guidance is not None
        reading = right(session)
        session.take(guidance.key, reading)
        with pytest.raises(Refused, match="done already"):
            session.take(guidance.key, reading)


def test_a_fastener_that_does_not_exist_is_refused_and_nothing_changes(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        size = session.store.head()
        with pytest.raises(Refused, match="no pull at stage 1, fastener 7"):
            session.take(PullKey("coupling", 1, 7), right(session))
        with pytest.raises(Refused, match="no fastener 7"):
            session.restart("coupling", 7, "", renewed=False)
        with pytest.raises(Refused, match="no joint"):
            session.take(PullKey("head", 1, 1), right(session))
        assert session.store.head() == size


def test_a_wrench_that_is_not_for_the_stage_is_refused(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        guidance = session.next()
        assert guidance is not None
        with pytest.raises(Refused, match="not for stage 1"):
            session.take(guidance.key, ValueReading(Decimal(50), "N·m"), tool_id="beam-200")
        with pytest.raises(Refused, match="the drawer has no"):
            session.take(guidance.key, right(session), tool_id="nothing")


def short_then(session: Session) -> str:
    """Hand in a pull that is short; return the id of its entry."""
    guidance = session.next("electronic-200")
    assert guidance is not None
    outcome = session.take(
        guidance.key, ValueReading(Decimal("14.1"), "N·m"), tool_id="electronic-200"
    )
    assert outcome.judgement.verdict == "short"
    return outcome.receipt.id


def test_short_is_asked_again_until_it_is_right(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        before = session.next()
        short_then(session)
        after = session.next()
        assert before is not None
        assert after is not None
        assert after.key == before.key
        assert pull(session) == "within"


def test_going_on_in_spite_needs_a_reason_and_stands_in_the_log(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        entry = short_then(session)
        with pytest.raises(Refused, match="reason"):
            session.accept(entry, "  ")
        session.accept(entry, "maker's note says 12 N·m for this one")
        accepted = session.state.pulls[0]
        assert accepted.accepted
        assert accepted.verdict == "short"
        with pytest.raises(Refused, match="needs no acceptance"):
            session.accept(entry, "twice")
        with pytest.raises(Refused, match="no pull"):
            session.accept("unknown", "reason")


def test_a_fastener_started_again_does_its_stages_from_the_first(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        for _ in range(8):
            pull(session)
        first = session.state.pulls[0].key
        session.restart(first.joint, first.fastener, "socket slipped", renewed=True)
        guidance = session.next()
        assert guidance is not None
        assert guidance.key == first
        assert guidance.left == 12 - 8 + 2
        assert sum(one.voided for one in session.state.pulls) == 2


def test_a_job_with_open_pulls_is_not_closed(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session, pytest.raises(Refused, match="12 pulls are still open"):
        session.close()


def test_an_edited_job_file_does_not_change_a_job_under_way(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        pull(session)
    file = workshop.jobs / "propeller-coupling.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("20 ft-lb", "22 ft-lb"))
    with pytest.raises(Refused, match="another version of its file"), at_the_bench(workshop):
        pass


def test_a_second_program_is_told_who_is_writing(workshop: Workshop) -> None:
    with at_the_bench(workshop), pytest.raises(StoreBusy), open_store(workshop):
        pass


def test_what_is_no_trace_is_refused_and_not_kept(workshop: Workshop) -> None:
    with at_the_bench(workshop) as session:
        guidance = session.next()
        assert guidance is not None
        with pytest.raises(BadFile):
            session.trace_reading(guidance.key, b"not a trace", "notes.txt", "electronic-200")
        assert not (workshop.folder / "papers").exists()
