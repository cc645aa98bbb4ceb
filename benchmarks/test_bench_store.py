"""The log: verified near the speed of SHA-256, appended to at a constant cost."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest

from clampwright.proof.checkpoint import Head
from clampwright.proof.entry import compose
from clampwright.proof.ids import IdMaker
from clampwright.proof.merkle import Frontier, leaf_hash
from clampwright.store import Store
from clampwright.store.copying import LogSource, SignedHead, write_log
from clampwright.store.folder import Folder
from conftest import Compare

COUNT = 50_000
"""Entries; the time grows in proportion."""

BODY = {
    "fastener": 3,
    "joint": "head",
    "limits": {"high": {"unit": "N·m", "value": "31.8"}, "low": {"unit": "N·m", "value": "28.2"}},
    "reasons": [{"template": "invented", "text": "invented " * 30, "values": {}}],
    "verdict": "within",
}
"""An invented pull of about the usual length."""


def entries(first: bytes, count: int) -> Iterator[bytes]:
    ids = IdMaker(itertools.count(1_700_000_000_000).__next__)
    yield first
    for number in range(count):
        yield compose(
            id=ids(),
            kind="pull",
            body=BODY,
            job=f"job-{number // 500}",
            job_seq=number % 500,
            device_id="bench",
            device_time="2026-03-01T08:00:00Z",
            recorded="2026-03-01T08:00:00Z",
        )


def long_log(folder: Path, count: int) -> Path:
    """A log of invented pulls, with one signed head at its end."""
    with Store.open(folder / "start", create=True, workshop="Invented Yard") as store:
        first, key, origin = next(iter(store.raw_entries())), store.signing_key(), store.origin
    lines = list(entries(first, count))
    edge = Frontier().extend(leaf_hash(line) for line in lines)
    note = Head(origin, edge.size, edge.root).sign(key)
    (folder / "yard").mkdir()
    place = Folder(folder / "yard")
    heads = [SignedHead(note, "2026-03-01T08:00:00Z")]
    write_log(LogSource("invented", lines, heads), place.store)
    place.key.write_bytes((folder / "start" / "workshop.key").read_bytes())
    place.key.chmod(0o600)
    return folder / "yard"


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return long_log(tmp_path_factory.mktemp("log"), COUNT)


def test_a_log_is_verified_near_the_speed_of_its_hash(yard: Path, compare: Compare) -> None:
    with Store.open(yard, write=False) as store:
        data = list(store.raw_entries())
        whole = b"".join(data)
        compare(
            f"log of {COUNT:,}: verify / SHA-256 of each entry alone",
            store.verify_log,
            lambda: [sha256(one).digest() for one in data],
            figure=3,
            rounds=5,
        )
        compare(
            f"log of {COUNT:,}: verify / SHA-256 of all bytes in one stream",
            store.verify_log,
            lambda: sha256(whole).digest(),
            rounds=5,
        )


def test_adding_costs_the_same_in_a_long_log(yard: Path, tmp_path: Path, compare: Compare) -> None:
    with (
        Store.open(yard) as long,
        Store.open(tmp_path, create=True, workshop="Invented Yard") as short,
    ):
        compare(
            f"adding an entry: to a log of {COUNT:,} / to an empty one",
            lambda: long.append("note", {"n": 1}),
            lambda: short.append("note", {"n": 1}),
            figure=1.5,
            rounds=41,
        )


def test_opening_a_long_log(yard: Path, tmp_path: Path, compare: Compare) -> None:
    Store.open(tmp_path, create=True, workshop="Invented Yard").close()
    compare(
        f"opening: a log of {COUNT:,} / an empty one",
        lambda: Store.open(yard).close(),
        lambda: Store.open(tmp_path).close(),
        figure=2,
        rounds=15,
    )
