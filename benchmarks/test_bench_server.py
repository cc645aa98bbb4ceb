"""What a server takes: durable entries and pulls beside bare durable commits of rows as long.

Files and databases lie on the disk here (not in memory, as in the tests): what is compared is what
a workshop waits for. Both ways run in one run, turn by turn.
"""

from __future__ import annotations

import asyncio
import itertools
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

import psycopg
import pytest
from crowd import Bench, Line, crowded
from postgres import Server, running

from clampwright.bench.folder import Workshop
from clampwright.store import NewEntry, Store
from clampwright.store.where import Database, place_of
from conftest import Compare
from load import Load, Waits, bare_commits, served

BODY = {"fastener": 3, "joint": "head", "text": "invented " * 150, "verdict": "within"}
BARE = b"x" * 1700
"""About as long as the entry that is made of the body."""


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    with running(Path(tempfile.gettempdir())) as found:
        yield found


def test_durable_entries_on_a_server(server: Server, tmp_path: Path, compare: Compare) -> None:
    server.folder_on(tmp_path / "there")
    place = place_of(tmp_path / "there")
    assert isinstance(place, Database)
    counter = itertools.count()
    with (
        Store.open(tmp_path / "there", create=True, workshop="Invented Yard") as there,
        Store.open(tmp_path / "here", create=True, workshop="Invented Yard") as here,
        psycopg.connect(place.url) as bare,
    ):
        bare.execute("CREATE TABLE bare_entries (idx bigint PRIMARY KEY, bytes bytea NOT NULL)")
        bare.commit()

        def bare_commits(count: int) -> None:
            for _ in range(count):
                bare.execute("INSERT INTO bare_entries VALUES (%s, %s)", (next(counter), BARE))
                bare.commit()

        compare(
            "PostgreSQL: an entry / a bare durable commit",
            lambda: there.append("note", BODY, job="wheel"),
            lambda: bare_commits(1),
            rounds=101,
        )
        compare(
            "PostgreSQL: 50 entries at once / 50 bare durable commits",
            lambda: there.append_many(NewEntry("note", BODY, job="wheel") for _ in range(50)),
            lambda: bare_commits(50),
            rounds=11,
        )
        compare(
            "an entry: on PostgreSQL / in a SQLite file",
            lambda: there.append("note", BODY, job="wheel"),
            lambda: here.append("note", BODY, job="wheel"),
            rounds=101,
        )
    compare(
        "opening: a log on PostgreSQL / in a SQLite file",
        lambda: Store.open(tmp_path / "there").close(),
        lambda: Store.open(tmp_path / "here").close(),
        rounds=15,
    )


CLIENTS = 50
ROUNDS = 5
EACH = 6
"""Pulls of each client in a round, one after the other."""
WRENCHES = 3
"""Record meanwhile, over the live channel."""


@dataclass
class Turns:
    """What came of the turns of one way."""

    waits: Waits = field(default_factory=Waits)
    seconds: float = 0.0

    @property
    def each(self) -> float:
        """Seconds for one, as many as there are at once."""
        return self.seconds / len(self.waits.of)


def turn_about(commit: Callable[[], float], into: Turns) -> None:
    """So many who make one row durable each, one after the other, on one connection."""
    turn = threading.Lock()

    def one() -> list[float]:
        found = []
        for _ in range(EACH):
            came = time.perf_counter()
            with turn:
                commit()
            found.append(time.perf_counter() - came)
        return found

    began = time.perf_counter()
    with ThreadPoolExecutor(CLIENTS) as pool:
        for found in pool.map(lambda _: one(), range(CLIENTS)):
            into.waits.of += found
    into.seconds += time.perf_counter() - began


async def pull_at_once(benches: list[Bench], lines: list[Line], each: int, into: Turns) -> None:
    """All clients send their pulls as fast as they are answered."""

    async def one(bench: Bench, line: Line) -> None:
        for _ in range(each):
            sent = time.perf_counter()
            (answer,) = await bench.pull(line)
            into.waits.of.append(time.perf_counter() - sent)
            assert answer.status == 201, answer.body

    began = time.perf_counter()
    await asyncio.gather(*map(one, benches, lines))
    into.seconds += time.perf_counter() - began


async def in_turn(place: Workshop, port: int, commit: Callable[[], float]) -> tuple[Turns, Turns]:
    """Pulls through HTTP and bare commits turn by turn, while wrenches record."""
    ours, bare, warming = Turns(), Turns(), Turns()
    pulls = EACH * ROUNDS + 1
    benches = [Bench(number, pulls) for number in range(CLIENTS)]
    wrenches = [Bench(CLIENTS + number, pulls) for number in range(WRENCHES)]
    lines = [await Line.open(port) for _ in benches]
    await pull_at_once(benches, lines, 1, warming)
    recording = asyncio.create_task(Load(place, wrenches, WRENCHES, 300.0, 4.0).record(port))
    for _ in range(ROUNDS):
        await asyncio.to_thread(turn_about, commit, bare)
        await pull_at_once(benches, lines, EACH, ours)
    assert not recording.done(), "the wrenches recorded all the time"
    recording.cancel()
    await asyncio.gather(recording, return_exceptions=True)
    for line in lines:
        await line.close()
    return ours, bare


@pytest.mark.parametrize("where", ["a SQLite file", "PostgreSQL"])
def test_many_pull_at_once(
    where: str, request: pytest.FixtureRequest, tmp_path: Path, compare: Compare
) -> None:
    folder = tmp_path / "workshop"
    if where == "PostgreSQL":
        found: Server = request.getfixturevalue("server")
        found.folder_on(folder)
    place = crowded(folder, CLIENTS + WRENCHES, EACH * ROUNDS + 1)
    with served(place) as port, bare_commits(place) as commit:
        ours, bare = asyncio.run(in_turn(place, port, commit))
    compare.figures(
        f"{where}: a pull of {CLIENTS} clients / a bare commit", ours.each, bare.each, figure=1.0
    )
    compare.figures(
        f"{where}: p99 of such a pull / of {CLIENTS} bare commits in turn",
        ours.waits.p99,
        bare.waits.p99,
        figure=3.0,
    )
    assert len(ours.waits.of) == len(bare.waits.of)
