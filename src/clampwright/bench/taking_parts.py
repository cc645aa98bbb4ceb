"""What a job, a procedure or a tool from another workshop becomes here."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from clampwright.bench.drawer_writing import drawer_with_table, undo_drawer
from clampwright.bench.folder import Workshop, read_bytes
from clampwright.bench.friction import own_conditions
from clampwright.bench.newjobs import taken_ids, write_new
from clampwright.bench.shelf import content_hash, shelf_of
from clampwright.bench.tool_entries import KINDS as TOOL_KINDS
from clampwright.drawer.files import load_drawer
from clampwright.drawer.history import TOOL_EVENT
from clampwright.drawer.tool_text import with_id, with_tool
from clampwright.errors import BadFile, ClampwrightError, Refused
from clampwright.procedure.reader import read
from clampwright.proof.handover import Handover, What
from clampwright.proof.verification import verify
from clampwright.store.reading import LogReader
from clampwright.words import Words, words
from clampwright.work.exact_stages import exact_stages
from clampwright.work.fold import fold
from clampwright.work.jobfile import load_job
from clampwright.work.naming import LONGEST_ID, RESERVED
from clampwright.work.settling import settled
from clampwright.work.shelf import CONFIRMED, SHELVED

Made = Iterator[tuple[str, Mapping[str, Any]]]
Undo = Callable[[], None]
_ID = re.compile(rf"[a-z0-9][a-z0-9-]{{0,{LONGEST_ID - 1}}}")
_JOB_ID = re.compile(r"""(?ms)^(\[job\][^\[]*?^[ \t]*id[ \t]*=[ \t]*)(?:"[^"\n]*"|'[^'\n]*')""")


def nothing() -> None:
    """Undo nothing."""


def checked_id(name: str) -> str:
    """Return an id that something may have here.

    Raises
    ------
    Refused
        When it is none.
    """
    if not _ID.fullmatch(name) or name in RESERVED:
        raise Refused(
            words(
                "{name} cannot be an id here: small letters, digits and hyphens, at most {limit}",
                name=repr(name[:80]),
                limit=LONGEST_ID,
            )
        )
    return name


def _in_use(what: Words, name: str) -> Refused:
    return Refused(
        words(
            "{what} {name} is here already, and nothing is merged. Take it in under another id "
            "(--as), or keep only the file (--file-only)",
            what=what,
            name=name,
        )
    )


# A job: its record is kept, and its job file is set up for work of one's own.


def _job_file(given: Handover, name: str) -> bytes:
    record = next((one for one in given.files.values() if one.startswith(b'{"checkpoint":')), b"")
    found = verify(record)
    if not found.ok or found.origin != given.head.origin or found.job != given.name:
        raise _damaged(words("the record of the job is not in it, or does not hold"))
    state = fold(row["entry"] for row in json.loads(record)["entries"])
    text = str((state.opened or {}).get("job_file", ""))
    if name != given.name:
        text, count = _JOB_ID.subn(rf'\g<1>"{name}"', text, count=1)
        if not count:
            raise _damaged(words("its job file names no id that could be changed"))
    return text.encode("utf-8")


def _damaged(problem: Words) -> BadFile:
    return BadFile(words("this cannot be used here: {problem}", problem=problem), file="handover")


def _look_at_job(
    place: Workshop, store: LogReader, given: Handover, name: str
) -> tuple[Words, ...]:
    if name in set(taken_ids(place, store)):
        raise _in_use(words("a job"), name)
    data = _job_file(given, name)
    try:
        load_job(data, "job", friction=own_conditions(place.folder), shelf=shelf_of(store))
    except ClampwrightError as error:
        raise Refused(
            words(
                "the job cannot be set up here ({why}). Its record can: keep only the file "
                "(--file-only)",
                why=error.message,
            )
        ) from error
    return (
        words(
            "The job is set up here anew, with no pull done. What was done at the other workshop "
            "stands in its record."
        ),
    )


def _write_job(place: Workshop, given: Handover, name: str) -> Undo:
    path = write_new(place, name, _job_file(given, name))
    return path.unlink


# A procedure: the text and what was understood, as version 1 here.


def _content(given: Handover) -> Mapping[str, Any]:
    (shelved,) = given.of_kind(SHELVED)
    content: Mapping[str, Any] = shelved["body"]["content"]
    if content_hash(content) != shelved["body"]["sha256"]:
        raise _damaged(words("the procedure is not what its hash says"))
    return content


def _look_at_procedure(
    _place: Workshop, store: LogReader, given: Handover, name: str
) -> tuple[Words, ...]:
    if name in shelf_of(store).procedures:
        raise _in_use(words("a procedure"), name)
    content = _content(given)
    chosen = content["choice"]
    reading = read(content["text"], content["locale"])
    stages = settled(reading, None if chosen is None else int(chosen["chosen"]))
    if exact_stages(stages) != content["stages"]:
        raise Refused(
            words(
                "this version of the program understands the text otherwise than it was "
                "understood there; keep only the file (--file-only), and put the text on the shelf "
                "anew"
            )
        )
    count = len(given.of_kind(CONFIRMED))
    return (
        words(
            "{count} people there compared it with its source. Here nobody has yet.", count=count
        ),
    )


def _procedure_entries(given: Handover, name: str, by: str, _today: dt.date) -> Made:
    content = _content(given)
    yield (
        SHELVED,
        {
            "procedure": name,
            "version": 1,
            "content": content,
            "sha256": content_hash(content),
            "by": by,
        },
    )


# A tool: its tables in the drawer file, and what happened to it.


def _table(given: Handover, name: str) -> str:
    table = given.content.get("table")
    if not isinstance(table, str):
        raise _damaged(words("the tool's tables are not in it"))
    (tool,) = load_drawer(table.encode("utf-8"), "handover").tools
    if tool.id != given.name:
        raise _damaged(words("the tool's tables are of another tool"))
    return with_id(table, name)


def _look_at_tool(
    place: Workshop, _store: LogReader, given: Handover, name: str
) -> tuple[Words, ...]:
    text = read_bytes(place.drawer).decode("utf-8-sig")
    drawer = load_drawer(text.encode("utf-8"), str(place.drawer))
    if name in {tool.id for tool in drawer.tools}:
        raise _in_use(words("a tool"), name)
    with_tool(text, _table(given, name), str(place.drawer))
    return (
        words(
            "{count} calibrations, checks and events come along, as the other workshop wrote them.",
            count=len(given.of_kind(*TOOL_KINDS)),
        ),
    )


def _tool_entries(given: Handover, name: str, _by: str, today: dt.date) -> Made:
    for entry in given.of_kind(*TOOL_KINDS):
        body = entry["body"]
        if not (entry["kind"] == TOOL_EVENT and body.get("event") == "used"):
            yield entry["kind"], {**body, "tool": name}
    uses, high = given.content.get("uses"), given.content.get("high_uses")
    if isinstance(uses, int) and isinstance(high, int) and uses > 0:
        yield (
            TOOL_EVENT,
            {
                "tool": name,
                "event": "used",
                "date": today.isoformat(),
                "note": "before it was handed over",
                "count": uses,
                "high": min(high, uses),
            },
        )


def _write_tool(place: Workshop, given: Handover, name: str) -> Undo:
    table = _table(given, name)
    before, after = drawer_with_table(place, table, given.files)
    return lambda: undo_drawer(place, before, after)


def _no_entries(_given: Handover, _name: str, _by: str, _today: dt.date) -> Made:
    yield from ()


def _no_file(_place: Workshop, _given: Handover, _name: str) -> Undo:
    return nothing


LOOKED_AT: Mapping[What, Callable[[Workshop, LogReader, Handover, str], tuple[Words, ...]]] = {
    "job": _look_at_job,
    "procedure": _look_at_procedure,
    "tool": _look_at_tool,
}
ENTRIES: Mapping[What, Callable[[Handover, str, str, dt.date], Made]] = {
    "job": _no_entries,
    "procedure": _procedure_entries,
    "tool": _tool_entries,
}
WRITTEN: Mapping[What, Callable[[Workshop, Handover, str], Undo]] = {
    "job": _write_job,
    "procedure": _no_file,
    "tool": _write_tool,
}
