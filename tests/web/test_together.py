"""Many at once: they share a COMMIT, and each gets its own answer; on both databases."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from crowd import Bench, crowded

from clampwright.bench.folder import Workshop
from clampwright.errors import BadFile, ClampwrightError, Refused, StoreBusy, StoreFailed, StoreFull
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.web import desk as desk_module
from clampwright.web import entries
from clampwright.web.desk import Desk
from clampwright.web.models import PullIn

BENCHES = 6
PULLS = 4


@pytest.fixture
def busy_yard(yard: Path) -> Workshop:
    """A workshop with an open job for each bench, its log in one database, then the other."""
    return crowded(yard, BENCHES, PULLS)


@pytest.fixture
def desk(busy_yard: Workshop) -> Iterator[Desk]:
    found = Desk(busy_yard)
    yield found
    found.close()


def take(desk: Desk, job: str, entry: str, body: dict[str, Any]) -> dict[str, Any]:
    """What the handler of a pull does."""
    with desk.working(job) as session:
        entries.take(session, entry, entries.pull(PullIn.model_validate(body)))
        return entries.receipt(session, entry)


class Gate:
    """Lets nobody begin until everybody is there, so that they do share."""

    def __init__(self, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
        self.commits = 0
        self._desk = desk
        ended = Store.together
        gate = self

        def counted(store: Store) -> Any:
            gate.commits += 1
            return ended(store)

        monkeypatch.setattr(Store, "together", counted)

    def all_at_once(self, work: list[Callable[[], Any]]) -> list[Any]:
        """Run everything at once, each in a thread; return results and errors in order."""
        waiting = self._desk._turn  # noqa: SLF001 - held, so that all of them have come
        with ThreadPoolExecutor(len(work)) as pool:
            with waiting:
                found = [pool.submit(one) for one in work]
                while self._desk._coming < len(work):  # noqa: SLF001 - as above
                    threading.Event().wait(0.001)
            return [one.exception() or one.result() for one in found]


@pytest.fixture
def gate(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> Gate:
    return Gate(desk, monkeypatch)


def on_the_log(place: Workshop) -> list[str]:
    with Store.open(place.folder, write=False) as store:
        assert store.check() == store.head()[0]
        return [line.id for line in store.lines()]


def test_those_who_come_together_share_a_commit(
    desk: Desk, gate: Gate, busy_yard: Workshop
) -> None:
    benches = [Bench(number, PULLS) for number in range(BENCHES)]
    promised: dict[str, int] = {}
    for _ in range(PULLS):
        sent = [(bench.job, *bench.next()) for bench in benches]
        told = gate.all_at_once([partial(take, desk, *one) for one in sent])
        for (_job, entry, _body), receipt in zip(sent, told, strict=True):
            promised[entry] = receipt["index"]
    assert gate.commits == PULLS, "one for all who came"
    there = on_the_log(busy_yard)
    assert len(there) == len(set(there)) == 1 + BENCHES + len(promised)
    assert [there[index] for index in promised.values()] == list(promised)
    assert desk.look().size == len(there)


def test_each_gets_its_own_answer(desk: Desk, gate: Gate, busy_yard: Workshop) -> None:
    """Among good ones: the same again, the same place twice, another content, no such place."""
    one, other = Bench(0, PULLS), Bench(1, PULLS)
    first, body = one.next()
    fine, fine_body = other.next()
    again = {**body, "reading": {"kind": "value", "value": "12.3", "unit": "N·m"}}
    nowhere = {**body, "fastener": 99}
    told = gate.all_at_once(
        [
            lambda: take(desk, one.job, first, body),
            lambda: take(desk, one.job, first, body),
            lambda: take(desk, other.job, fine, fine_body),
            lambda: take(desk, one.job, uuid7(), nowhere),
            lambda: take(desk, "no-such-job", uuid7(), body),
        ]
    )
    assert told[0] == told[1]
    assert told[2]["entry"] == fine
    assert all(isinstance(problem, ClampwrightError) for problem in told[3:])
    assert gate.commits == 1
    twice = gate.all_at_once(
        [
            lambda: take(desk, one.job, first, again),
            lambda: take(desk, one.job, uuid7(), body),
            lambda: take(desk, other.job, *other.next()),
        ]
    )
    assert isinstance(twice[0], entries.OtherContent)
    assert isinstance(twice[1], Refused)
    assert "done already" in str(twice[1])
    assert isinstance(twice[2], dict)
    there = on_the_log(busy_yard)
    assert there[1 + BENCHES :] == [e for _, e in sorted((x["index"], x["entry"]) for x in (
        told[0], told[2], twice[2]))]  # fmt: skip


@pytest.mark.parametrize("kind", [StoreFull, StoreBusy, StoreFailed])
def test_what_keeps_it_from_the_disk_is_told_to_everybody(
    desk: Desk,
    gate: Gate,
    busy_yard: Workshop,
    kind: type[ClampwrightError],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from clampwright.store.transactions import Transactions  # noqa: PLC0415 - to be patched
    from clampwright.words import words  # noqa: PLC0415 - for the patch

    benches = [Bench(number, PULLS) for number in range(BENCHES)]
    before, known = on_the_log(busy_yard), desk.look().size
    sent = [(bench.job, *bench.next()) for bench in benches]
    really = Transactions._end_together  # noqa: SLF001 - a COMMIT that fails is played

    def fails(self: Transactions, begun: Any, *, keep: bool) -> None:
        really(self, begun, keep=False)
        assert keep
        raise kind(words("invented: it could not be kept"))

    with monkeypatch.context() as patched:
        patched.setattr(Transactions, "_end_together", fails)
        told = gate.all_at_once([partial(take, desk, *one) for one in sent])
    assert [type(one) for one in told] == [kind] * BENCHES
    assert on_the_log(busy_yard) == before
    assert desk.look().size == known, "nobody is shown what was not kept"
    # Each sends the same again, as devices do: now it is taken, once.
    told = gate.all_at_once([partial(take, desk, *one) for one in sent])
    assert sorted(one["index"] for one in told) == list(range(known, known + BENCHES))
    assert sorted(on_the_log(busy_yard)[known:]) == sorted(entry for _, entry, _ in sent)


def test_a_refusal_that_rests_on_what_was_lost_is_not_told(
    desk: Desk, gate: Gate, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Done already, says the second; but what the first did was never kept."""
    bench = Bench(0, PULLS)
    entry, body = bench.next()
    monkeypatch.setattr(desk_module.Known, "extended", _broken(desk_module.Known.extended))
    told = gate.all_at_once([partial(take, desk, bench.job, one, body) for one in (entry, uuid7())])
    assert [type(one) for one in told] == [BadFile, BadFile]


def _broken(really: Callable[..., Any]) -> Callable[..., Any]:
    """The database fails for the one who looks when two have pulled."""
    calls = 0

    def extended(known: Any, store: Store) -> Any:
        nonlocal calls
        calls += 1
        if calls == 3:
            with store._transactions.reading():  # noqa: SLF001 - a failing look is played
                raise sqlite3.OperationalError("invented")
        return really(known, store)

    return extended


def test_other_work_ends_what_is_shared_first(desk: Desk, gate: Gate) -> None:
    """Who writes something else comes between: those before it are kept by then, and told."""
    bench = Bench(0, PULLS)
    entry, body = bench.next()

    def other() -> int:
        with desk.writing() as store:
            return store.append("note", {"n": 1}).index

    told = gate.all_at_once([lambda: take(desk, bench.job, entry, body), other])
    assert sorted((told[0]["index"], told[1])) == [1 + BENCHES, 2 + BENCHES]
    assert desk.look().size == 3 + BENCHES


def test_never_more_than_so_many(desk: Desk, gate: Gate, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(desk_module, "MOST", 2)
    benches = [Bench(number, PULLS) for number in range(BENCHES)]
    sent = [(bench.job, *bench.next()) for bench in benches]
    gate.all_at_once([partial(take, desk, *one) for one in sent])
    assert gate.commits == BENCHES // 2
