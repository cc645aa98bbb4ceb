"""Handing over a job, a procedure or a tool to another workshop, as one signed file."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from clampwright.bench.folder import Workshop, read_bytes
from clampwright.bench.histories import histories_of
from clampwright.bench.records import record_of
from clampwright.bench.shelf import shelf_of
from clampwright.bench.tool_entries import KINDS as TOOL_KINDS
from clampwright.drawer.as_of import newest_record
from clampwright.drawer.files import load_drawer
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.tool_text import tool_text
from clampwright.errors import Missing
from clampwright.proof.entry import Entry
from clampwright.proof.handover import HANDED_OVER, What, build, closing_body
from clampwright.proof.ids import uuid7
from clampwright.proof.keychain import KEY_CHANGED
from clampwright.report.paper.recordings import named_recordings
from clampwright.store.log import Store
from clampwright.words import words
from clampwright.work.fold import fold


def hand_over(place: Workshop, store: Store, what: What, name: str) -> bytes:
    """Return a job, a procedure or a tool as one signed file; the log says that it was handed over.

    Parameters
    ----------
    place : Workshop
    store : Store
        Open for writing.
    what : str
        ``job``, ``procedure`` or ``tool``.
    name : str
        Its id.

    Returns
    -------
    bytes

    Raises
    ------
    Missing
        When there is no such thing.
    ClampwrightError
        When a file that belongs to it is missing or changed; the log is as it was then.
    """
    title, content, entries, files = _PARTS[what](place, store, name)
    key = store.signing_key()  # without it nothing is put on the log
    also = sorted(
        {one.id: one for one in [*entries, *store.of_kind(KEY_CHANGED)]}.values(),
        key=lambda one: one.index,
    )
    body = closing_body(
        what=what,
        name=name,
        title=title,
        workshop=store.workshop,
        content=content,
        also=also,
        files=files,
    )
    last = store.line(store.append(HANDED_OVER, body, entry_id=str(uuid7())).id)
    note, tree = store.sign_checkpoint(key), store.tree()
    rows = [next(iter(store.lines())), *also, last]
    return build(
        entries=rows,
        proofs=[tree.inclusion(row.index, last.index + 1) for row in rows],
        checkpoint=note,
        key=key.public,
        files=files,
    )


_Parts = tuple[str, Mapping[str, Any], Sequence[Entry], Sequence[bytes]]


def _job(place: Workshop, store: Store, name: str) -> _Parts:
    """Return a job as its record, with the recordings and papers it names."""
    record = record_of(store, name)
    state = fold(row["entry"] for row in json.loads(record)["entries"])
    opened = state.opened or {}
    names = sorted({*named_recordings(state), *(one["file"] for one in state.papers)})
    files = [record, *(place.papers.read(one) for one in names)]
    return str(opened["plan"]["title"]), {"recordings": names}, (), files


def _procedure(place: Workshop, store: Store, name: str) -> _Parts:
    """Return the newest version of a procedure, who confirmed it, and the pages it came from."""
    version = shelf_of(store).versions(name)[-1]
    entries = [version.entry, *(one.entry for one in version.confirmed)]
    files = [place.papers.read(one.sha256) for one in version.attached]
    return version.title, {}, [store.line(one) for one in entries], files


def _tool(place: Workshop, store: Store, name: str) -> _Parts:
    """Return the tables of a tool, what happened to it, and its papers."""
    data = read_bytes(place.drawer)
    drawer = load_drawer(data, str(place.drawer))
    known = {one.id: one for one in drawer.tools}
    if name not in known:
        raise Missing(words("there is no tool {tool} in the drawer", tool=name), needed="tool")
    tool = known[name]
    history = histories_of(store).get(name, ToolHistory())
    newest = newest_record(tool, history)
    since = None if newest is None else newest.date
    entries = [one for one in store.lines(kinds=TOOL_KINDS) if one.body.get("tool") == name]
    files = [read_bytes(place.folder / one.file) for one in tool.belongings.papers]
    content = {
        "table": tool_text(data.decode("utf-8-sig"), name),
        "uses": history.uses_since(since),
        "high_uses": history.uses_since(since, above=tool.high_torque),
    }
    return tool.title, content, entries, files


_PARTS = {"job": _job, "procedure": _procedure, "tool": _tool}
