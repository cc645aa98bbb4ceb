"""A workshop's entries again, in the order of its log; and what an archive holds in all."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from clampwright.archive.layout import Archive, Part, months_between, read_json
from clampwright.archive.tables import (
    ENTRY_COLUMNS,
    TOLD,
    EntryRow,
    footer,
    pulls_told,
    read_entries,
)
from clampwright.errors import BadFile
from clampwright.trace.parquet import opened
from clampwright.words import Words


def entries_of(
    archive: Archive,
    workshop: str,
    *,
    kinds: Sequence[str] = (),
    columns: Sequence[str] = ENTRY_COLUMNS,
    without: Iterable[str] = (),
) -> Iterator[EntryRow]:
    """Go through the entries of a workshop in the order of its log.

    Parameters
    ----------
    archive : Archive
    workshop : str
    kinds, columns : sequence of str
        As for `clampwright.archive.tables.read_entries`; the place always comes along.
    without : iterable of str
        Files, by their place in the archive, that are left out.

    Yields
    ------
    EntryRow

    Raises
    ------
    BadFile
        Names the part that cannot be read.

    Notes
    -----
    A month holds what was written down in it, so months follow one another in the log; only where
    a clock jumped they overlap, and are merged.
    """
    wanted = ("place", *columns)
    left_out = frozenset(without)
    parts = [
        one for one in archive.parts("entries", workshop) if archive.told(one.path) not in left_out
    ]
    spans = sorted((*_span(archive, one), one.path) for one in parts)
    for together in _overlapping(spans):
        runs = [
            read_entries(path, archive.told(path), kinds=kinds, columns=wanted) for path in together
        ]
        if len(runs) == 1:
            yield from runs[0]
        else:
            yield from heapq.merge(*runs, key=lambda row: row.place)


def _span(archive: Archive, part: Part) -> tuple[int, int]:
    """Return the first and last place in the log that a part holds."""
    first, last = 0, -1
    for number, row in enumerate(
        read_entries(part.path, archive.told(part.path), columns=("place",))
    ):
        first = row.place if number == 0 else first
        last = row.place
    return first, last


def _overlapping(spans: Sequence[tuple[int, int, Any]]) -> Iterator[list[Any]]:
    """Gather files whose places overlap; those that do not come one after the other."""
    together: list[Any] = []
    reach = -1
    for first, last, path in spans:
        if together and first > reach:
            yield together
            together = []
        together.append(path)
        reach = max(reach, last)
    if together:
        yield together


@dataclass(frozen=True, slots=True)
class Held:
    """What an archive holds of a workshop.

    Parameters
    ----------
    workshop, name : str
        Name of its log, and of the workshop.
    entries : int
    months : tuple of str
        Of which entries or traces are held.
    months_between : tuple of str
        Months between the first and the last of which nothing is held: quiet ones, or missing ones.
    places_missing : int
        Places of the log, up to the last one held, whose entries are not held.
    traces, samples : int
    bytes : int
        Of all its files.
    damaged : tuple of (str, Words)
        Files that cannot be read, and why.
    """

    workshop: str
    name: str
    entries: int
    months: tuple[str, ...]
    months_between: tuple[str, ...]
    places_missing: int
    traces: int
    samples: int
    bytes: int
    damaged: tuple[tuple[str, Words], ...] = ()


def held_of(archive: Archive, workshop: str) -> Held:
    """Look at what an archive holds of a workshop; damaged parts are named, and passed over.

    Parameters
    ----------
    archive : Archive
    workshop : str

    Returns
    -------
    Held
    """
    entries, last, traces, samples, size = 0, -1, 0, 0, 0
    months, damaged = set(), []
    for part in archive.parts("entries", workshop):
        name = archive.told(part.path)
        try:
            places = [row.place for row in read_entries(part.path, name, columns=("place",))]
        except BadFile as error:
            damaged.append((name, error.message))
            continue
        months.add(part.month)
        entries += len(places)
        last = max(last, *places)
        size += part.path.stat().st_size
    for part in archive.parts("traces", workshop):
        name = archive.told(part.path)
        try:
            traces += len(pulls_told(part.path, name))
            samples += rows_of(part, name)
        except BadFile as error:
            damaged.append((name, error.message))
            continue
        months.add(part.month)
        size += part.path.stat().st_size
    known = sorted(months)
    between = months_between(known[0], known[-1]) if known else []
    return Held(
        workshop,
        name_of(archive, workshop),
        entries,
        tuple(known),
        tuple(one for one in between if one not in months),
        last + 1 - entries,
        traces,
        samples,
        size,
        tuple(damaged),
    )


def rows_of(part: Part, name: str) -> int:
    """Return how many rows a part has; only its end is read.

    Raises
    ------
    BadFile
        It is damaged.
    """
    footer(part.path, name)
    with part.path.open("rb") as file:
        return int(opened(file, name).metadata.num_rows)


def about(archive: Archive, workshop: str) -> dict[str, Any]:
    """Return what was kept of a workshop beside its entries; empty where nothing was.

    Raises
    ------
    BadFile
        The file is damaged.
    """
    path = archive.about(workshop)
    return read_json(path) if path.is_file() else {}


def name_of(archive: Archive, workshop: str) -> str:
    """Return the name of a workshop; that of its log where no other is known."""
    return str(about(archive, workshop).get("workshop", workshop))


__all__ = ["TOLD", "Held", "about", "entries_of", "held_of", "name_of", "rows_of"]
