"""The log on a PostgreSQL server: durable entries beside bare durable commits of the same rows.

The server writes to the disk here (not into memory, as in the tests): what is compared is what a
workshop waits for. Both ways run in one run, turn by turn.
"""

from __future__ import annotations

import itertools
import tempfile
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from postgres import Server, running

from clampwright.store import NewEntry, Store
from clampwright.store.where import Database, place_of
from conftest import Compare

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
        bare.execute("CREATE TABLE bare (idx bigint PRIMARY KEY, bytes bytea NOT NULL)")
        bare.commit()

        def bare_commits(count: int) -> None:
            for _ in range(count):
                bare.execute("INSERT INTO bare VALUES (%s, %s)", (next(counter), BARE))
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
