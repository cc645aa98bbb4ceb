"""What can be put into an archive: a workshop's folder, an export of its log, a record of a job."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from clampwright.bench.exchange import FORMAT as CARRIED
from clampwright.bench.folder import DRAWER_FILE, Workshop, open_store, read_bytes
from clampwright.bench.logfiles import ENTRIES, HEADS, read_lines
from clampwright.bench.papers import Papers
from clampwright.errors import BadFile, Refused
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.entry import LOG_OPENED, Entry, read_entry
from clampwright.proof.keychain import KEY_CHANGED, follow
from clampwright.proof.keys import public_key_from
from clampwright.proof.merkle import Frontier
from clampwright.proof.strictjson import canonical
from clampwright.proof.verification import verify
from clampwright.store.copying import LogSource
from clampwright.store.where import has_log, names_log
from clampwright.words import Words, words

PAPERS = "papers"
RECORD = "clampwright-record"
MAX_RECORD = 100_000_000

Placed = tuple[int, bytes]
"""Place in the log, and the exact bytes of an entry."""


@dataclass(frozen=True, slots=True)
class Source:
    """Entries of one log.

    Parameters
    ----------
    name : str
        Of folder or file, for messages.
    origin : str
        Name of the log, unlike any other's.
    workshop : str
        Name of the workshop.
    entries : callable
        Gives them in the order of the log, with their places.
    papers : Papers or None
        Where its traces are kept.
    drawer : str
        Its drawer file as it is now; empty where it came without one.
    """

    name: str
    origin: str
    workshop: str
    entries: Callable[[], Iterable[Placed]]
    papers: Papers | None = None
    drawer: str = ""


@contextmanager
def open_source(path: Path, papers: Path | None = None) -> Iterator[Source]:
    """Open what is to be put into an archive; what it is shows in its content.

    Parameters
    ----------
    path : pathlib.Path
        A workshop's folder, an export of its log, or a record.
    papers : pathlib.Path, optional
        Folder with the traces, where they do not lie beside the log.

    Yields
    ------
    Source

    Raises
    ------
    BadFile
        It is none of these, is damaged, or does not fit its signed heads.
    Refused
        It belongs somewhere else first.
    """
    if path.is_dir() and (has_log(path) or names_log(path)):
        with open_store(Workshop(path), write=False) as store:
            drawer = path / DRAWER_FILE
            yield Source(
                str(path),
                store.origin,
                store.workshop,
                lambda: enumerate(store.raw_entries()),
                Papers(papers or path / PAPERS),
                read_bytes(drawer).decode("utf-8-sig") if drawer.is_file() else "",
            )
    elif (path / ENTRIES).is_file():
        yield _exported(path, papers)
    elif path.is_file():
        yield _record(path, papers)
    else:
        raise BadFile(
            words(
                "{file} is no workshop's folder, no export of its log and no record",
                file=str(path),
            ),
            file=str(path),
            expected="a workshop's folder, an export, or a record",
        )


def _exported(folder: Path, papers: Path | None) -> Source:
    name = str(folder)
    opened = _check_export(folder)
    beside = papers or folder / PAPERS

    def entries() -> Iterator[Placed]:
        with (folder / ENTRIES).open("rb") as file, (folder / HEADS).open("rb") as heads:
            yield from enumerate(read_lines(file, heads, name).entries)

    return Source(
        name,
        str(opened["origin"]),
        str(opened["workshop"]),
        entries,
        Papers(beside) if beside.is_dir() else None,
    )


def _check_export(folder: Path) -> Any:
    """Hash every entry and compare with the signed heads; return what opened the log."""
    name = str(folder)
    try:
        with (folder / ENTRIES).open("rb") as entries, (folder / HEADS).open("rb") as heads:
            return _check_log(read_lines(entries, heads, name))
    except OSError as error:
        raise BadFile(
            words("{file} cannot be read: {problem}", file=name, problem=str(error.strerror)),
            file=name,
        ) from error


def _check_log(source: LogSource) -> Any:
    heads = [read_checkpoint(one.note, source.name) for one in source.heads]
    waiting = list(reversed(heads))
    frontier, changes = Frontier(), list[Entry]()
    opened: Any = None
    for place, data in enumerate(source.entries):
        entry = read_entry(data, place)
        if place == 0:
            opened = entry.body if entry.kind == LOG_OPENED else None
        if entry.kind == KEY_CHANGED:
            changes.append(entry)
        frontier = frontier.append(entry.leaf_hash)
        while waiting and waiting[-1].head.size <= frontier.size:
            head = waiting.pop().head
            if head.size == frontier.size and head.root != frontier.root:
                raise _bad(source.name, words("its entries do not fit a signed head"))
    if opened is None:
        raise _bad(source.name, words("its first entry does not open a log"))
    if waiting:
        raise _bad(source.name, words("entries at the end of the log are missing"))
    chain = follow(public_key_from(str(opened["public_key"])), str(opened["origin"]), changes)
    if isinstance(chain, Words):
        raise _bad(source.name, chain)
    if not all(one.signed_by(chain.key_for(one.head.size)) for one in heads):
        raise _bad(source.name, words("a signed head does not bear the signature of the log's key"))
    return opened


def _bad(name: str, problem: Words) -> BadFile:
    return BadFile(
        words("{file}: {problem}; nothing was put in", file=name, problem=problem), file=name
    )


def _record(path: Path, papers: Path | None) -> Source:
    name = str(path)
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= MAX_RECORD else b""
        content = json.loads(data)
    except (OSError, ValueError, RecursionError):
        content = None
    told = content.get("format") if isinstance(content, dict) else None
    if told == CARRIED:
        raise Refused(
            words(
                "{file} holds entries that a device carries: take them into their workshop first "
                "(clampwright entries take-in), then put the workshop in",
                file=name,
            )
        )
    if content is None or told != RECORD:
        raise BadFile(
            words("{file} is no workshop's folder, no export of its log and no record", file=name),
            file=name,
            expected="a workshop's folder, an export, or a record",
        )
    found = verify(data, name=name)
    if not found.ok:
        raise _bad(name, words("the record does not hold: {why}", why=found.findings[0]))
    rows = [(int(row["index"]), canonical(row["entry"])) for row in content["entries"]]
    opened = content["entries"][0]["entry"]["body"]
    return Source(
        name,
        str(content["origin"]),
        str(opened["workshop"]),
        lambda: rows,
        Papers(papers) if papers else None,
    )
