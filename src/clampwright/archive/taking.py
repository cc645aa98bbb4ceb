"""Putting workshops into an archive: the same entry twice is once, and it keeps where it is from.

A month's entries are one file, written anew with what came to it and put in place whole. Traces
come in files of their own, which are never changed. A run that was stopped is given again: what is
there is found, the rest is added.
"""

from __future__ import annotations

import hashlib
import time
from collections import defaultdict
from dataclasses import dataclass, field, replace
from typing import IO, Any

import numpy as np

from clampwright.archive.layout import Archive, is_month, month_of, read_json, write_json
from clampwright.archive.reading import about, entries_of
from clampwright.archive.sources import Placed, Source
from clampwright.archive.tables import (
    EntryRow,
    TracedPull,
    pulls_told,
    read_entries,
    write_entries,
    write_traces,
)
from clampwright.archive.traced import MARK, traced_pulls
from clampwright.errors import BadFile, ClampwrightError, Refused
from clampwright.proof.entry import read_entry
from clampwright.proof.merkle import leaf_hash
from clampwright.trace.given import Given
from clampwright.trace.model import Floats, Trace
from clampwright.trace.parquet_archive import Archive as TraceFile
from clampwright.trace.parquet_archive import Pulls
from clampwright.words import Words, words

AT_ONCE = 64_000_000
"""Bytes of entries that are held before they are written."""
PART_ROWS = 1_000_000
"""Samples of a file of traces: one piece of work, some seconds long."""
NAMED = 20
"""Pulls without a trace that are named."""


@dataclass(slots=True)
class Put:
    """What putting something in came to.

    Parameters
    ----------
    workshop : str
        Name of its log.
    entries, known : int
        Entries that came new, and those that were there.
    traces, samples : int
        That came new.
    lacking : int
        Recorded pulls whose trace could not be had.
    why : list of (str, Words)
        Of the first of these: the pull, and why.
    """

    workshop: str
    entries: int = 0
    known: int = 0
    traces: int = 0
    samples: int = 0
    lacking: int = 0
    why: list[tuple[str, Words]] = field(default_factory=list)


def put(archive: Archive, source: Source) -> Put:
    """Put the entries of a log into an archive, and the traces of its recorded pulls.

    Parameters
    ----------
    archive : Archive
    source : Source

    Returns
    -------
    Put

    Raises
    ------
    BadFile
        Another log of the same name is there, or a part of the archive is damaged.
    StoreFull, StoreFailed
        It cannot be written; what was written is whole.
    """
    started = time.process_time()
    done = Put(source.origin)
    _keep_about(archive, source)
    _put_entries(archive, source, done)
    entered = time.process_time()
    _put_traces(archive, source, done)
    _keep_cost(archive, done, entered - started, time.process_time() - entered)
    return done


def _keep_cost(archive: Archive, done: Put, entries: float, traces: float) -> None:
    """Add up what putting a workshop in took, for a plan of more; see `paper_plan`."""
    if not done.entries and not done.traces:
        return
    path = archive.cost_of(done.workshop)
    before = read_json(path) if path.is_file() else {}
    now = {
        "entries": done.entries,
        "entries_s": entries,
        "samples": done.samples,
        "samples_s": traces if done.traces else 0.0,
    }
    write_json(path, {name: before.get(name, 0) + value for name, value in now.items()})


def _keep_about(archive: Archive, source: Source) -> None:
    before = about(archive, source.origin)
    now = {"origin": source.origin, "workshop": source.workshop, "drawer": source.drawer}
    if not source.drawer and before.get("drawer"):
        now["drawer"] = before["drawer"]
    if now != before:
        write_json(archive.about(source.origin), now)


def _put_entries(archive: Archive, source: Source, done: Put) -> None:
    held = {
        row.place: row.leaf for row in entries_of(archive, source.origin, columns=("place", "leaf"))
    }
    waiting: dict[str, list[EntryRow]] = defaultdict(list)
    size = 0
    for place, data in source.entries():
        leaf = leaf_hash(data)
        if place in held:
            if held[place] != leaf:
                raise _other_log(source)
            done.known += 1
            continue
        row = _row((place, data), leaf)
        waiting[month_of(row.recorded)].append(row)
        held[place] = leaf
        size += len(data)
        done.entries += 1
        if size > AT_ONCE:
            _write_months(archive, source.origin, waiting)
            size = 0
    _write_months(archive, source.origin, waiting)


def _row(placed: Placed, leaf: bytes) -> EntryRow:
    place, data = placed
    entry = read_entry(data, place)
    tool = entry.body.get("tool")
    return EntryRow(
        place,
        entry.id,
        entry.kind,
        entry.job,
        entry.recorded,
        entry.device_time,
        tool if isinstance(tool, str) else None,
        leaf,
        data,
    )


def _other_log(source: Source) -> BadFile:
    return BadFile(
        words(
            "{file}: the archive holds another log of the name {origin}; one of them was written "
            "anew. Nothing of it was taken further",
            file=source.name,
            origin=source.origin,
        ),
        file=source.name,
        expected="the log that is held, or one that goes on from it",
    )


def _write_months(archive: Archive, workshop: str, waiting: dict[str, list[EntryRow]]) -> None:
    for month in sorted(waiting):
        path = archive.entries_of(workshop, month)
        rows = waiting[month]
        if path.is_file():
            rows = [*read_entries(path, archive.told(path)), *rows]
        rows.sort(key=lambda row: row.place)
        key = hashlib.sha256(b"".join(row.leaf for row in rows)).hexdigest()
        write_entries(path, rows, key)
    waiting.clear()


def _put_traces(archive: Archive, source: Source, done: Put) -> None:
    known = known_traces(archive, source.origin)
    wanted = {
        row.id: str(row.job)
        for row in entries_of(
            archive, source.origin, kinds=("pull",), columns=("id", "job", "entry")
        )
        if MARK in row.entry and row.id not in known
    }
    if not wanted:
        return
    papers = source.papers
    if papers is None:
        done.lacking = len(wanted)
        done.why = [
            (id_, words("it came without its trace; name the folder of the traces"))
            for id_ in list(wanted)[:NAMED]
        ]
        return
    writer = _Writer(archive, source.origin, done)
    for taken in traced_pulls(entries_of(archive, source.origin), wanted, papers.read):
        if taken.trace is None or taken.pull is None:
            done.lacking += 1
            if taken.problem is not None and len(done.why) < NAMED:
                done.why.append((taken.entry.id, taken.problem.message))
        else:
            writer.add(month_of(taken.entry.recorded), taken.pull, taken.trace)
    writer.write_all()


def known_traces(archive: Archive, workshop: str) -> set[str]:
    """Return the names of all pulls of a workshop whose traces are held.

    Raises
    ------
    BadFile
        A file of traces is damaged.
    """
    return {
        pull.id
        for part in archive.parts("traces", workshop)
        for pull in pulls_told(part.path, archive.told(part.path))
    }


Samples = tuple[Floats, Floats, Floats]


class _Writer:
    """Traces that wait until a file of them is full."""

    def __init__(self, archive: Archive, workshop: str, done: Put) -> None:
        self._archive, self._workshop, self._done = archive, workshop, done
        self._waiting: dict[str, list[tuple[TracedPull, Samples]]] = defaultdict(list)
        self._rows: dict[str, int] = defaultdict(int)

    def add(self, month: str, pull: TracedPull, trace: Trace) -> None:
        self.add_samples(month, pull, (trace.time, trace.torque, trace.angle))

    def add_samples(self, month: str, pull: TracedPull, samples: Samples) -> None:
        self._waiting[month].append((pull, samples))
        self._rows[month] += len(samples[0])
        if self._rows[month] >= PART_ROWS:
            self._write(month)

    def write_all(self) -> None:
        for month in sorted(self._waiting):
            self._write(month)

    def _write(self, month: str) -> None:
        held = self._waiting.pop(month)
        self._rows.pop(month)
        # Pulls of which the same is known stand together: they are judged together.
        held.sort(key=lambda one: repr(one[0].given))
        pulls = [pull for pull, _ in held]
        key = hashlib.sha256("\n".join(sorted(one.id for one in pulls)).encode()).hexdigest()[:16]
        write_traces(
            self._archive.traces_of(self._workshop, month, key),
            _columns([one.id for one in pulls], [samples for _, samples in held]),
            pulls,
        )
        self._done.traces += len(pulls)
        self._done.samples += sum(len(samples[0]) for _, samples in held)


def _columns(names: list[str], held: list[Samples]) -> dict[str, Any]:
    import pyarrow as pa

    lengths = [len(time) for time, _, _ in held]
    codes = np.repeat(np.arange(len(names), dtype=np.int32), lengths)
    time, torque, angle = (np.concatenate(column) for column in zip(*held, strict=True))
    return {
        "trace": pa.DictionaryArray.from_arrays(pa.array(codes), pa.array(names, pa.string())),
        "time_s": time,
        "torque_Nm": torque,
        "angle_deg": angle,
    }


def put_traces(
    archive: Archive, file: IO[bytes], name: str, *, given: Given, workshop: str, month: str
) -> Put:
    """Put a Parquet file of many pulls into an archive, without a log.

    Parameters
    ----------
    archive : Archive
    file : binary file
        See `clampwright.trace.parquet_archive.traces_in`.
    name : str
        Of the file, for messages.
    given : Given
        What is known; the same for all of its pulls.
    workshop : str
        Under which name they are kept; not that of a log.
    month : str
        In which they were pulled, such as ``2026-11``.

    Returns
    -------
    Put

    Raises
    ------
    BadFile
        It is no such file.
    Refused
        A log of that name is held, or the month is none.
    """
    if archive.about(workshop).is_file() and about(archive, workshop).get("origin"):
        raise Refused(
            words("{workshop} is a log of this archive; give the traces another name",
                  workshop=workshop)
        )  # fmt: skip
    if not is_month(month):
        raise Refused(words("{month!r} is no month; write it as 2026-03", month=month[:20]))
    done = Put(workshop)
    content = TraceFile(file, name)
    known = known_traces(archive, workshop)
    mode = given.angle_mode or "handle"
    held = replace(given, angle_mode=mode)
    write_json(archive.about(workshop), {"workshop": workshop})
    writer = _Writer(archive, workshop, done)
    for pulls in content.blocks():
        for place, pull in enumerate(pulls.names):
            if pull in known:
                done.known += 1
                continue
            known.add(pull)
            try:
                samples = _samples(pulls, place)
            except ClampwrightError as error:
                done.lacking += 1
                done.why += [(pull, error.message)] if len(done.why) < NAMED else []
                continue
            writer.add_samples(month, TracedPull(pull, None, held), samples)
    writer.write_all()
    return done


def _samples(pulls: Pulls, place: int) -> Samples:
    """Return the samples of a pull in the units of the archive, its gaps left as they are."""
    if pulls.table.columns[2].role != "angle":
        trace = pulls.trace(place, "handle")
        if isinstance(trace, BadFile):
            raise trace
        return trace.time, trace.torque, trace.angle
    first, last = int(pulls.edges[place]), int(pulls.edges[place + 1])
    time, torque, angle = (
        column[first:last] * scale.scale
        for column, scale in zip(pulls.columns, pulls.table.columns, strict=True)
    )
    return time, torque, angle


__all__ = ["Put", "known_traces", "put", "put_traces"]
