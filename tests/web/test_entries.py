"""What becomes of each message of a device, and when an entry is the same. All is invented."""

from __future__ import annotations

from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest

from clampwright.errors import ClampwrightError, Missing, Refused
from clampwright.web import entries
from clampwright.web.arrival import plan_mark
from clampwright.web.entries import Incoming, OtherContent, PlanChanged
from clampwright.web.models import (
    AcceptIn,
    CloseIn,
    Device,
    LookIn,
    PullIn,
    ReadAgainIn,
    RestartIn,
    SettleAsideIn,
)
from clampwright.work.fold import PullKey
from clampwright.work.four_eyes import Look
from clampwright.work.readings import Reading
from clampwright.work.unsigned import Unsigned

DEVICE = Device(id="tablet-2", time="2026-03-01T09:00:00+01:00", counter=7)
ENTRY = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
MADE: Any = {"entry_id": ENTRY, "device_time": DEVICE.time}
VALUE = {"kind": "value", "value": "90,5", "unit": "N·m"}


class Calls:
    """Takes down what is asked of it, whatever it is."""

    def __init__(self, **more: Any) -> None:
        self.heard: list[tuple[str, tuple[Any, ...], dict[str, Any]]] = []
        self.__dict__.update(more)

    def __getattr__(self, name: str) -> Any:
        def ask(*given: Any, **named: Any) -> str:
            self.heard.append((name, given, named))
            return f"{name} done"

        return ask


def heard_by(one: Incoming, session: Calls) -> tuple[str, tuple[Any, ...], dict[str, Any]]:
    one.take(session, MADE)  # type: ignore[arg-type] # it only takes down what is asked
    (only,) = session.heard
    return only


def test_a_pull() -> None:
    sent = PullIn.model_validate(
        {
            "joint": "wheel",
            "stage": 2,
            "fastener": 3,
            "tool": "electronic-200",
            "adapter": "crowfoot",
            "reading": VALUE,
            "device": DEVICE.model_dump(),
        }
    )
    one = entries.pull(sent)
    assert (one.kind, one.device) == ("pull", DEVICE)
    body = {"kind": "value", "value": "90.5", "unit": "N·m"}
    assert one.content == {"joint": "wheel", "stage": 2, "fastener": 3, "reading": body}
    key = PullKey("wheel", 2, 3)
    plan = SimpleNamespace(sequence=lambda: [PullKey("wheel", 1, 3), key])
    name, given, named = heard_by(one, Calls(plan=plan))
    assert (name, given[0]) == ("take", key)
    assert given[1].value == Decimal("90.5")
    assert named == {"tool_id": "electronic-200", "adapter_id": "crowfoot", **MADE}
    with pytest.raises(Missing, match="joint wheel, stage 2, fastener 3"):
        one.take(Calls(plan=SimpleNamespace(sequence=list)), MADE)  # type: ignore[arg-type] # as above


def test_a_reading_that_is_none_is_bad_content_and_no_conflict() -> None:
    sent = ReadAgainIn.model_validate(
        {"entry": ENTRY, "reading": {**VALUE, "value": "9x"}, "device": DEVICE.model_dump()}
    )
    with pytest.raises(ClampwrightError, match="9x"):
        entries.read_again(sent)
    odd: Any = SimpleNamespace(entry=ENTRY, device=DEVICE)
    odd.reading = SimpleNamespace(model_dump=lambda: {"kind": "guess"})
    with pytest.raises(ClampwrightError, match="not 'guess'") as caught:
        entries.read_again(odd)
    assert type(caught.value) is ClampwrightError, "nothing that a device would keep aside"
    assert isinstance(caught.value.__cause__, Refused)


def test_what_a_second_person_read(monkeypatch: pytest.MonkeyPatch) -> None:
    sent = ReadAgainIn.model_validate(
        {"entry": ENTRY, "reading": VALUE, "device": DEVICE.model_dump()}
    )
    one = entries.read_again(sent)
    body = {"kind": "value", "value": "90.5", "unit": "N·m"}
    assert (one.kind, one.device) == ("reading_confirmed", DEVICE)
    assert one.content == {"entry": ENTRY, "reading": body}
    asked = list[Any]()

    def read_again(session: Any, entry: str, reading: Reading, **made: Any) -> None:
        asked.append((session, entry, reading.value, made))  # type: ignore[union-attr] # a value was sent

    monkeypatch.setattr("clampwright.bench.second_reading.read_again", read_again)
    session: Any = Calls()
    one.take(session, MADE)
    assert asked == [(session, ENTRY, Decimal("90.5"), MADE)]


def test_going_on_in_spite_of_a_verdict() -> None:
    one = entries.acceptance(AcceptIn(entry=ENTRY, reason="  it is new ", device=DEVICE))
    assert (one.kind, one.device) == ("pull_accepted", DEVICE)
    assert one.content == {"entry": ENTRY, "reason": "it is new"}
    assert heard_by(one, Calls()) == ("accept", (ENTRY, "  it is new "), MADE)


@pytest.mark.parametrize("renewed", [False, True])
def test_a_fastener_that_begins_anew(*, renewed: bool) -> None:
    one = entries.restart(
        RestartIn(joint="wheel", fastener=3, reason="slipped", renewed=renewed, device=DEVICE)
    )
    assert (one.kind, one.device) == ("fastener_restarted", DEVICE)
    assert one.content == {"joint": "wheel", "fastener": 3, "renewed": renewed}
    wanted = ("restart", ("wheel", 3, "slipped"), {"renewed": renewed, **MADE})
    assert heard_by(one, Calls()) == wanted


def test_a_second_look(monkeypatch: pytest.MonkeyPatch) -> None:
    photograph = "ab" * 32
    sent = LookIn(
        joint="wheel", in_order=True, note="fine", photograph=photograph, alone=True, device=DEVICE
    )
    one = entries.second_look(sent)
    assert (one.kind, one.device) == ("second_look_taken", DEVICE)
    assert one.content == {"joint": "wheel", "in_order": True, "photograph": photograph}
    asked = list[Any]()
    monkeypatch.setattr(
        entries, "look_again", lambda session, look, **made: asked.append((session, look, made))
    )
    session: Any = Calls()
    one.take(session, MADE)
    assert asked == [(session, Look("wheel", True, "fine", photograph, True), MADE)]


def test_closing_and_settling(monkeypatch: pytest.MonkeyPatch) -> None:
    one = entries.closing(CloseIn(reason="the tablet is lost", device=DEVICE))
    assert (one.kind, one.content, one.device) == ("job_closed", {}, DEVICE)
    assert heard_by(one, Calls()) == ("close", ("the tablet is lost",), MADE)
    one = entries.settling(SettleAsideIn(aside=ENTRY, reason=" done by hand ", device=DEVICE))
    assert (one.kind, one.device) == ("aside_settled", DEVICE)
    assert one.content == {"entry": ENTRY, "reason": "done by hand"}
    asked = list[Any]()
    monkeypatch.setattr(entries, "settle_aside", lambda *given, **made: asked.append((given, made)))
    session: Any = Calls()
    one.take(session, MADE)
    assert asked == [((session, ENTRY, " done by hand "), MADE)]


# ---- taken once


class Known:
    """A store that knows one entry, or none."""

    def __init__(self, entry: dict[str, Any] | None = None) -> None:
        self.entry = entry

    def get(self, entry_id: str) -> dict[str, Any]:
        if self.entry is None or entry_id != ENTRY:
            raise Missing("not there", needed="entry")
        return self.entry

    def line(self, entry_id: str) -> Any:
        assert entry_id == ENTRY
        body = self.get(entry_id)["body"]
        return SimpleNamespace(index=5, leaf_hash=b"\x01" * 32, body=body)


def session_with(
    entry: dict[str, Any] | None = None, opened: dict[str, Any] | None = None, pulls: Any = ()
) -> Any:
    state = SimpleNamespace(opened=opened, pulls=pulls)
    return SimpleNamespace(job_id="wheel-job", store=Known(entry), state=state)


CONTENT = {"joint": "wheel", "fastener": 3}


def incoming(taken: list[Any], **device: Any) -> Incoming:
    where = DEVICE.model_copy(update=device)
    return Incoming("pull", CONTENT, where, lambda session, made: taken.append((session, made)))


def test_an_entry_that_is_not_there_is_taken_with_where_it_was_made() -> None:
    session, taken = session_with(), list[Any]()
    assert entries.take(session, ENTRY, incoming(taken), sha256="ab", off=90)
    assert taken == [
        (
            session,
            {
                "entry_id": ENTRY,
                "device_time": DEVICE.time,
                "device_id": "tablet-2",
                "sent": {"counter": 7, "sha256": "ab", "clock_off_s": 90},
            },
        )
    ]
    taken.clear()
    assert entries.take(session, ENTRY, incoming(taken))
    assert taken[0][1]["sent"] == {"counter": 7}, "what is not known is not said"
    assert entries.take(session, ENTRY, incoming(taken), off=0)
    assert taken[1][1]["sent"] == {"counter": 7, "clock_off_s": 0}


def there(**other: Any) -> dict[str, Any]:
    body = {**CONTENT, "verdict": "within", "sent": {"counter": 7, "sha256": "ab"}}
    return {"job": "wheel-job", "kind": "pull", "body": body, **other}


def without_hash(**other: Any) -> dict[str, Any]:
    return there(body={**CONTENT, "verdict": "within", **other})


@pytest.mark.parametrize(
    ("known", "sha256"),
    [
        (there(), "ab"),
        (there(), ""),  # a device that makes no hash: what it decided is compared
        (there(body={"sent": {"sha256": "ab"}}), "ab"),  # the hash alone tells
        (without_hash(), "ab"),
        (without_hash(), ""),
        (without_hash(sent={"counter": 1}), "ab"),
    ],
)
def test_the_same_again_is_not_taken_again(known: dict[str, Any], sha256: str) -> None:
    taken = list[Any]()
    assert not entries.take(session_with(known), ENTRY, incoming(taken), sha256=sha256)
    assert taken == []


@pytest.mark.parametrize(
    ("known", "sha256"),
    [
        (there(), "cd"),
        (there(job="other-job"), "ab"),
        (there(kind="note"), "ab"),
        (there(job="other-job"), ""),
        (without_hash(fastener=4), ""),
        (without_hash(fastener=4), "ab"),
        (without_hash(joint=None), "ab"),
    ],
)
def test_other_content_under_the_same_id_is_told(known: dict[str, Any], sha256: str) -> None:
    taken = list[Any]()
    with pytest.raises(OtherContent, match=f"entry {ENTRY} is on the log already") as caught:
        entries.take(session_with(known), ENTRY, incoming(taken), sha256=sha256)
    assert isinstance(caught.value, Refused)
    assert taken == []


def test_who_was_guided_by_another_plan_is_asked_to_look() -> None:
    opened, taken = {"plan": ["invented"]}, list[Any]()
    session = session_with(opened=opened)
    assert entries.take(session, ENTRY, incoming(taken, plan=plan_mark(opened)))
    assert entries.take(session, ENTRY, incoming(taken, plan=None))
    assert len(taken) == 2
    for other in (session, session_with()):
        with pytest.raises(PlanChanged, match="the plan of this job was changed"):
            entries.take(other, ENTRY, incoming(taken, plan="0" * 16))
    assert len(taken) == 2
    assert entries.take(session_with(), ENTRY, incoming(taken, plan=plan_mark({})))
    # What is on the log already is there, whatever the plan is by now.
    again = incoming(taken, plan="0" * 16)
    assert not entries.take(session_with(there(), opened), ENTRY, again, sha256="ab")


# ---- held open until it is signed


def waiting(sha256: str = "ab", **more: Any) -> Unsigned:
    told: dict[str, Any] = {"person": "", "role": "", "device": {}, **more}
    return Unsigned("held-1", ENTRY, "acceptances", "accept_doubtful", {}, sha256, **told)


def holding(*unsigned: Unsigned, entry: dict[str, Any] | None = None) -> Any:
    session = session_with(entry)
    session.state.unsigned = unsigned
    return session


def test_whether_an_entry_is_on_the_log() -> None:
    session = session_with(there())
    assert entries.is_known(session, ENTRY)
    assert not entries.is_known(session, "another")
    assert not entries.is_known(session_with(), ENTRY)


@pytest.mark.parametrize(
    ("one", "found"),
    [
        (waiting(), True),
        (waiting(refused="nobody saw it"), True),  # told again that it was refused
        (waiting(signed=True), False),
        (waiting("cd", signed=True), False),  # what stands on the log is compared with that
        (None, False),
    ],
)
def test_what_is_held_open_under_an_entrys_id(one: Unsigned | None, *, found: bool) -> None:
    session = holding(*([] if one is None else [one]))
    assert entries.held_as(session, ENTRY, "ab") == (one if found else None)
    assert entries.held_as(session, "another", "ab") is None


def test_other_content_than_what_is_held_open_is_told() -> None:
    with pytest.raises(OtherContent, match=f"entry {ENTRY} is held open with other content"):
        entries.held_as(holding(waiting()), ENTRY, "cd")


def test_an_act_is_held_open_word_for_word(monkeypatch: pytest.MonkeyPatch) -> None:
    session, asked = holding(), list[Any]()

    def keep(*given: Any, **made: Any) -> None:
        asked.append((given, made))
        session.state.unsigned = (waiting(),)

    monkeypatch.setattr(entries, "keep_open", keep)
    given = (session, ENTRY, "acceptances", "accept_doubtful", {"reason": "seen"})
    assert entries.hold_open(*given, made=MADE) == waiting()
    assert asked == [(given, MADE)]


# ---- what a device is told


@pytest.mark.parametrize(
    ("body", "sha256"),
    [
        ({"sent": {"sha256": "ab"}}, "ab"),
        ({"sha256": "cd"}, "cd"),  # kept aside: the hash stands in the body itself
        ({"sha256": "cd", "sent": {"sha256": "ab"}}, "cd"),
        ({"sent": {"counter": 1}}, ""),
        ({}, ""),
    ],
)
def test_the_receipt_says_where_it_is_and_what_was_taken(body: Any, sha256: str) -> None:
    wanted = {"entry": ENTRY, "index": 5, "leaf_hash": "01" * 32, "sha256": sha256}
    assert entries.receipt(session_with({"body": body}), ENTRY) == wanted


def test_with_the_receipt_comes_the_verdict_as_it_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(entries, "verdict_view", lambda pull: f"verdict of {pull.entry}")
    pulls = [SimpleNamespace(entry="another"), SimpleNamespace(entry=ENTRY)]
    session = session_with({"body": {}}, pulls=pulls)
    told = entries.told(session, ENTRY)
    assert told == {**entries.receipt(session, ENTRY), "verdict": f"verdict of {ENTRY}"}
    session = session_with({"body": {}}, pulls=pulls[:1])
    assert entries.told(session, ENTRY)["verdict"] is None
