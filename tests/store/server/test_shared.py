"""Several programs on one log: they take turns, and killed at random they lose nothing."""

from __future__ import annotations

import contextlib
import json
import os
import random
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import psycopg
import pytest
from postgres import Server
from serverlog import on_server
from sqlalchemy import text

from clampwright.errors import Missing, Refused, StoreBusy
from clampwright.proof import record
from clampwright.proof.keys import SigningKey
from clampwright.store import Store
from clampwright.store.copying import rebuild
from clampwright.store.folder import Folder
from clampwright.store.server_log import alone


def test_several_programs_add_in_turns(place: Path) -> None:
    with Store.open(place) as one, Store.open(place) as two, Store.open(place) as reader:
        assert one.append("note", {"n": 2}).index == 2
        assert two.append("note", {"n": 3}, job="wheel").index == 3
        assert one.append("note", {"n": 4}, job="wheel").index == 4
        assert one.head() == two.head() == reader.head()
        note = two.sign_checkpoint()
        assert one.sign_checkpoint() == note
        assert record.verify(one.record("wheel")).entries == two.head()[0] - 1
        new = SigningKey.new()
        two.change_key(new, "planned", old=two.signing_key(), pass_phrase=None)
        assert one.public_key == new.public
        assert record.verify(one.record("wheel")).ok
        assert one.check() == reader.head()[0]


def test_what_another_program_added_to_a_job_is_looked_at_first(place: Path) -> None:
    with Store.open(place) as one, Store.open(place) as two:
        seen = one.head()[0]
        first = one.append("note", {"n": 2}, job="wheel", seen=seen)
        assert one.append("note", {"n": 3}, job="wheel", seen=seen).index == first.index + 1
        two.append("note", {"n": 4}, job="head", seen=seen)  # another job: no harm
        with pytest.raises(StoreBusy, match="another program has just added to the job wheel"):
            two.append("note", {"n": 4}, job="wheel", seen=seen)
        again = one.append("note", {"n": 2}, job="wheel", seen=seen, entry_id=first.id,
                           device_time=one.get(first.id)["device"]["time"])  # fmt: skip
        assert again.duplicate
        assert one.check() == 5


def test_while_a_log_is_exchanged_nobody_opens_it_for_writing(place: Path) -> None:
    with Store.open(place, write=False) as reader:
        with alone(on_server(place)), pytest.raises(StoreBusy, match="is being exchanged"):
            Store.open(place)
        with Store.open(place), pytest.raises(StoreBusy, match="other programs are writing"):
            rebuild(Folder(place))
        assert reader.check() == 2


def test_what_was_closed_a_moment_ago_is_out_of_the_way(place: Path) -> None:
    """A server gives back a program's locks a moment after the connection was closed."""
    for _ in range(5):
        with Store.open(place) as store:
            head = store.head()
        assert rebuild(Folder(place)) is None
        with Store.open(place, write=False) as store:
            assert store.head() == head


def backend(store: Store) -> int:
    """Which of the server's processes serves a store."""
    rows = store._transactions.rows(text("SELECT pg_backend_pid()"))  # noqa: SLF001 - asked of its very connection
    return int(rows[0][0])


def test_a_kept_connection_is_used_again_and_holds_nothing_meanwhile(
    place: Path, raw: psycopg.Connection[Any]
) -> None:
    used = []
    for number in (2, 3):
        with Store.open(place, keep=True) as store:
            store.append("note", {"n": number})
            used.append(backend(store))
        assert rebuild(Folder(place)) is None, "the log is free for whoever needs it alone"
    assert used[0] == used[1]
    raw.execute("SELECT pg_terminate_backend(%s)", (used[0],))
    with Store.open(place, keep=True) as store:  # as after the server was started again
        assert store.append("note", {"n": 4}).index == 4
        used.append(backend(store))
    assert used[2] != used[0]
    with Store.open(place, write=False, keep=True) as reader:
        assert reader.check() == 5
        with pytest.raises(Refused, match="open for reading only"):
            reader.append("note", {"n": 5})
    Store.let_go(place)
    with Store.open(place, keep=True) as store:
        assert backend(store) not in used
    Store.let_go(place)


def test_a_look_over_a_kept_connection_waits_for_nobody_who_adds(place: Path) -> None:
    with Store.open(place, keep=True) as store:
        store.append("note", {"n": 2})
        used = backend(store)
        store.append("note", {"n": 3})  # the last that was done over it was to write
    with Store.open(place) as other, other.together():
        other.append("note", {"n": 4})
        with Store.open(place, write=False, keep=True) as reader:
            assert backend(reader) == used
            assert reader.head()[0] == 4, "what another has not made durable yet is not seen"
    Store.let_go(place)


def test_a_text_that_no_text_of_the_server_can_hold_stops_nothing(place: Path) -> None:
    with Store.open(place) as store:
        assert list(store.entries("wh\0eel")) == []
        with pytest.raises(Missing, match="there is no entry"):
            store.get("wh\0eel")
        with pytest.raises(Refused, match="nothing was stored"):
            store.people.named("wh\0eel")
        with pytest.raises(Refused, match="the job's name must be"):
            store.append("note", {}, job="wh\0eel")
        assert store.append("note", {"text": "wh\0eel"}).index == 2
        assert store.check() == 3


def test_two_programs_that_begin_a_log_begin_one(postgres: Server, tmp_path: Path) -> None:
    postgres.folder_on(tmp_path)

    def begin(number: int) -> str:
        while True:
            try:
                with Store.open(tmp_path, create=True, workshop=f"Yard {number}") as store:
                    store.append("note", {"n": number})
                    return store.origin
            except StoreBusy:
                continue

    with ThreadPoolExecutor(3) as pool:
        assert len(set(pool.map(begin, range(3)))) == 1
    with Store.open(tmp_path) as store:
        assert store.check() == 4


class Workers:
    """Four programs at work on one log, each killed and started again when asked."""

    def __init__(self, place: Path, told: Path) -> None:
        self.place = place
        self.told = [told / f"{worker}.told" for worker in range(4)]
        script = str(Path(__file__).with_name("shared_appender.py"))
        self._server = subprocess.Popen(
            [sys.executable, script], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        self._running = [self._start(worker) for worker in range(4)]

    def _start(self, worker: int) -> int:
        told = self.told[worker]
        asked = {"folder": str(self.place), "told": str(told), "worker": worker}
        assert self._server.stdin is not None
        assert self._server.stdout is not None
        line = json.dumps({**asked, "start": len(acknowledged(told))})
        self._server.stdin.write(line + "\n")
        self._server.stdin.flush()
        return int(self._server.stdout.readline())

    def wait_for(self, worker: int, more: int) -> None:
        """Wait until a worker has had so many more entries acknowledged; it must live till then."""
        wanted, until = len(acknowledged(self.told[worker])) + more, time.monotonic() + 60
        while len(acknowledged(self.told[worker])) < wanted and time.monotonic() < until:
            time.sleep(0.002)
        os.kill(self._running[worker], 0)

    def kill(self, worker: int, *, again: bool) -> None:
        """Kill a worker at once, and start it again."""
        os.kill(self._running[worker], signal.SIGKILL)
        with contextlib.suppress(ProcessLookupError):
            while True:
                os.kill(self._running[worker], 0)
                time.sleep(0.001)
        if again:
            self._running[worker] = self._start(worker)

    def end(self) -> None:
        """Kill all."""
        for worker in range(4):
            self.kill(worker, again=False)
        assert self._server.stdin is not None
        assert self._server.stdout is not None
        self._server.stdin.close()
        self._server.wait(120)
        self._server.stdout.close()


def acknowledged(told: Path) -> dict[int, tuple[int, str]]:
    """Place and id of each acknowledged entry by its number; repeats must agree."""
    found: dict[int, tuple[int, str]] = {}
    for line in told.read_text().splitlines() if told.exists() else []:
        number, index, entry_id = line.split()
        assert found.setdefault(int(number), (int(index), entry_id)) == (int(index), entry_id)
    return found


@pytest.mark.no_cover
@pytest.mark.parametrize("kills", [20, pytest.param(300, marks=pytest.mark.soak)])
def test_four_programs_killed_at_random_lose_and_double_nothing(
    place: Path, tmp_path: Path, kills: int
) -> None:
    random_ = random.Random(20260131)
    workers = Workers(place, tmp_path)
    try:
        for _ in range(kills):
            worker = random_.randrange(4)
            workers.wait_for(worker, random_.choice((0, 1, 4)))
            workers.kill(worker, again=True)
        for worker in range(4):  # all were at work to the end, not only the first to start
            workers.wait_for(worker, 5)
    finally:
        workers.end()
    with Store.open(place) as store:
        assert store.check() == store.head()[0]
        lines = list(store.lines(since=2))
    at = {line.id: line.index for line in lines}
    assert len(at) == len(lines), "each entry is there once"
    for worker in range(4):
        known = acknowledged(workers.told[worker])
        assert sorted(known) == list(range(len(known)))
        assert all(at[entry_id] == index for index, entry_id in known.values())
        own = [line.body["n"] for line in lines if line.body["worker"] == worker]
        assert own == list(range(len(own))), "in the order in which it was sent"
        assert len(known) <= len(own) <= len(known) + 3
