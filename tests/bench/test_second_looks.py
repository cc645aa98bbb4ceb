"""Second looks: by another, or alone after a pause with a photograph; what they hold up."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from click.testing import CliRunner

from clampwright.bench.folder import Workshop
from clampwright.bench.second_look import look_again
from clampwright.bench.session import Session
from clampwright.cli import group
from clampwright.errors import BadFile, Refused
from clampwright.store import Store
from clampwright.store.people import Person
from clampwright.store.writing import Actor
from clampwright.work.fold import PullKey
from clampwright.work.four_eyes import Look, look_words, looks_wanted, standing_look
from clampwright.work.readings import ClickReading

JOB = "trailer-wheel"
PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + (8).to_bytes(4, "big") * 2 + bytes(40)
FITTER = Actor("person-00000000000a", "mechanic", "pin")
OTHER = Actor("person-00000000000b", "mechanic", "pin")


class Clock:
    now = dt.datetime(2026, 10, 5, 8, tzinfo=dt.UTC)

    def __call__(self) -> dt.datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def session(workshop: Workshop, clock: Clock) -> Iterator[Session]:
    job = (workshop.jobs / f"{JOB}.toml").read_bytes()
    drawer = workshop.drawer.read_bytes()
    with Store.open(workshop.folder, create=True, clock=clock) as store:
        yield Session.start(store, job, drawer, workshop.papers, today=dt.date(2026, 10, 5))


def pull(session: Session, actor: Actor | None, fastener: int = 1) -> None:
    session.store.actor = actor
    session.take(
        PullKey("wheel", 1, fastener),
        ClickReading(clicked=True, moved=True, setting=Decimal(44), unit="N·m"),
    )
    session.store.actor = None


def looked(session: Session, actor: Actor | None, **more: object) -> str:
    session.store.actor = actor
    try:
        look = Look("wheel", **{"in_order": True, **more})  # type: ignore[arg-type]  # as given
        receipt = look_again(session, look)
    finally:
        session.store.actor = None
    return str(session.store.get(receipt.id)["body"]["how"])


def test_there_must_be_something_to_look_at(session: Session) -> None:
    with pytest.raises(Refused, match="nothing was pulled"):
        looked(session, OTHER)


def test_another_looks_at_once_and_a_later_pull_undoes_it(session: Session) -> None:
    pull(session, FITTER)
    assert looks_wanted(session.plan, session.state) == ("wheel",)
    assert looked(session, OTHER) == "another person"
    assert looks_wanted(session.plan, session.state) == ()
    pull(session, FITTER, fastener=3)
    assert looks_wanted(session.plan, session.state) == ("wheel",)
    assert "counts no more" in str(next(look_words("wheel", session.state)))


def test_not_in_order_stands_in_the_record_and_settles_nothing(session: Session) -> None:
    pull(session, FITTER)
    looked(session, OTHER, in_order=False, note="a mark is missing")
    assert standing_look("wheel", session.state) is None
    assert "NOT in order. a mark is missing" in str(next(look_words("wheel", session.state)))


def test_the_same_person_waits_and_shows_a_picture(session: Session, clock: Clock) -> None:
    pull(session, FITTER)
    with pytest.raises(Refused, match="15 minutes are left"):
        looked(session, FITTER)
    clock.now += dt.timedelta(minutes=15)
    with pytest.raises(Refused, match="with a photograph"):
        looked(session, FITTER)
    with pytest.raises(BadFile, match="is missing"):
        looked(session, FITTER, photograph="0" * 64)
    kept = session.papers.keep(b"picture")
    assert looked(session, FITTER, photograph=kept) == "alone after a pause"
    assert "alone, 15 minutes after" in str(next(look_words("wheel", session.state)))


def test_where_hands_are_not_known_the_person_says_whether_it_is_another(session: Session) -> None:
    pull(session, None)
    with pytest.raises(Refused, match="are left"):
        looked(session, None, alone=True)
    assert looked(session, None) == "another person"


def test_a_closing_waits_for_it_where_people_are_set_up(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Session, "next", lambda _self: None)  # all pulls are done
    pull(session, FITTER)
    at = "2026-10-05T08:00:00Z"
    person = Person(FITTER.person, "A. Fitter", "mechanic", "a hash", None, at, None)
    session.store.people.add(person, "a. fitter")
    with pytest.raises(Refused, match="second look is still to be taken"):
        session.close()
    looked(session, OTHER)
    session.close()
    with pytest.raises(Refused, match="job is closed"):
        looked(session, OTHER)


def test_the_command_lists_and_takes(workshop: Workshop, tmp_path: Path) -> None:
    job = str(workshop.jobs / f"{JOB}.toml")
    wanted = CliRunner().invoke(group, ["second-look", job])
    assert wanted.exit_code == 1
    assert "still to be taken" in wanted.output
    half = CliRunner().invoke(group, ["second-look", job, "--joint", "wheel"])
    assert half.exit_code == 2
    with Store.open(workshop.folder) as store:
        pull(Session(store, JOB, workshop.papers), None)
    alone = ["--joint", "wheel", "--in-order", "--alone"]
    assert isinstance(CliRunner().invoke(group, ["second-look", job, *alone]).exception, Refused)
    (tmp_path / "wheel.png").write_bytes(PNG)
    taken = [
        "--joint",
        "wheel",
        "--in-order",
        "--photograph",
        str(tmp_path / "wheel.png"),
        "--json",
    ]
    done = CliRunner().invoke(group, ["second-look", job, *taken])
    assert done.exit_code == 0, done.output
    assert '"wanted": []' in done.output
