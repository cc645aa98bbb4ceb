"""One line of the log: which members it has, and what each may hold.

An entry is one JSON object in canonical form with exactly these members: ``body`` (object, by
kind), ``device`` (``id`` and the device's own ``time``), ``id`` (UUID version 7), ``job`` (text or
null), ``job_seq`` (which entry of that job it is, counted from 0; null without a job), ``kind``,
``recorded`` (when it was written, UTC) and ``version`` (1).
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from clampwright.errors import Refused
from clampwright.proof.ids import is_uuid7
from clampwright.proof.merkle import leaf_hash
from clampwright.proof.strictjson import canonical, parse_strict
from clampwright.words import Words, words

VERSION = 1
LOG_OPENED = "log_opened"
"""Kind of the first entry of every log: it names the workshop, the log and the key."""

RECORD_MADE = "record_made"
"""Kind of the last entry in every record: it says how many entries came before it."""

MAX_DEPTH = 24
"""Nesting of one entry; a record, which holds entries, may nest a little deeper."""

MEMBERS = frozenset({"body", "device", "id", "job", "job_seq", "kind", "recorded", "version"})
MAX_NAME = 200
"""Longest name of a job or a device, characters."""

_KIND = re.compile(r"[a-z][a-z0-9_]{0,63}")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d{1,9})?(?:Z|[+-]\d\d:\d\d)", re.ASCII)


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the log, as read back.

    Parameters
    ----------
    index : int
        Its place in the log, counted from 0.
    id : str
    kind : str
    body : mapping
    job : str or None
    job_seq : int or None
        Its place among the entries of its job, counted from 0.
    device_id, device_time : str
        Where it was made, and what that device's clock said (RFC 3339).
    recorded : str
        When it was written (RFC 3339, UTC).
    data : bytes
        The exact bytes that are hashed.
    """

    index: int
    id: str
    kind: str
    body: Mapping[str, Any]
    job: str | None
    job_seq: int | None
    device_id: str
    device_time: str
    recorded: str
    data: bytes

    @property
    def content(self) -> dict[str, Any]:
        """The entry as it was written: its members by name."""
        return {
            "body": self.body,
            "device": {"id": self.device_id, "time": self.device_time},
            "id": self.id,
            "job": self.job,
            "job_seq": self.job_seq,
            "kind": self.kind,
            "recorded": self.recorded,
            "version": VERSION,
        }

    @property
    def leaf_hash(self) -> bytes:
        """Leaf hash of the entry's bytes, 32 bytes."""
        return leaf_hash(self.data)


def compose(
    *,
    id: str,  # noqa: A002 - the entry's own member name
    kind: str,
    body: Mapping[str, Any],
    job: str | None,
    job_seq: int | None,
    device_id: str,
    device_time: str,
    recorded: str,
) -> bytes:
    """Write one entry.

    Parameters
    ----------
    id, kind, body, job, job_seq, device_id, device_time, recorded
        See `Entry`.

    Returns
    -------
    bytes
        The canonical form, which is what is stored and hashed.

    Raises
    ------
    Refused
        When a member holds what it may not hold.
    """
    content = {
        "body": body,
        "device": {"id": device_id, "time": device_time},
        "id": id,
        "job": job,
        "job_seq": job_seq,
        "kind": kind,
        "recorded": recorded,
        "version": VERSION,
    }
    problem = entry_problem(content)
    if problem is not None:
        raise Refused(problem)
    return canonical(content, max_depth=MAX_DEPTH)


def read_entry(data: bytes, index: int) -> Entry:
    """Read one entry back from its bytes.

    Parameters
    ----------
    data : bytes
        The canonical form.
    index : int
        Its place in the log.

    Returns
    -------
    Entry

    Raises
    ------
    BadFile, Refused
        When the bytes are not an entry.
    """
    content = parse_strict(data, f"entry {index}")
    problem = entry_problem(content)
    if problem is not None:
        raise Refused(words("entry {index}: {problem}", index=index, problem=str(problem)))
    return _entry_of(content, data, index)


def read_composed(data: bytes, index: int) -> Entry:
    """Read an entry back whose bytes `compose` has written in this program: proved already.

    Parameters
    ----------
    data : bytes
    index : int
        Its place in the log.

    Returns
    -------
    Entry
    """
    return _entry_of(json.loads(data), data, index)


def _entry_of(content: Mapping[str, Any], data: bytes, index: int) -> Entry:
    return Entry(
        index=index,
        id=content["id"],
        kind=content["kind"],
        body=content["body"],
        job=content["job"],
        job_seq=content["job_seq"],
        device_id=content["device"]["id"],
        device_time=content["device"]["time"],
        recorded=content["recorded"],
        data=data,
    )


def entry_problem(content: object) -> Words | None:
    """Say what is wrong with the members of an entry.

    Parameters
    ----------
    content : object
        What stands where an entry should stand.

    Returns
    -------
    Words or None
        The first problem, or None.
    """
    if not isinstance(content, Mapping):
        return words("an entry is an object")
    if content.keys() != MEMBERS:
        odd = ", ".join(sorted(str(key) for key in content.keys() ^ MEMBERS))
        return words("an entry has other members than it may have: {odd}", odd=odd)
    if content["version"] is True or content["version"] != VERSION:
        return words("entry version {version!r} is not known", version=str(content["version"]))
    return _problem_of_names(content) or _problem_of_times(content)


def _problem_of_names(content: Mapping[str, Any]) -> Words | None:
    if not isinstance(content["id"], str) or not is_uuid7(content["id"]):
        return words(
            "the id {id!r} is not a UUID of version 7 in lower case", id=str(content["id"])
        )
    if not isinstance(content["kind"], str) or not _KIND.fullmatch(content["kind"]):
        return words(
            "the kind {kind!r} must be small letters, digits and _", kind=str(content["kind"])
        )
    if not isinstance(content["body"], Mapping):
        return words("the body of an entry is an object")
    return _problem_of_place(content["job"], content["job_seq"])


def _problem_of_place(job: object, place: object) -> Words | None:
    if job is None:
        return None if place is None else words("an entry without a job has no place in one")
    if not _is_name(job):
        return words("the job's name must be 1 to {limit} characters of text", limit=MAX_NAME)
    if not isinstance(place, int) or isinstance(place, bool) or place < 0:
        return words("the entry's place in its job must be 0 or a whole number above")
    return None


def _problem_of_times(content: Mapping[str, Any]) -> Words | None:
    device = content["device"]
    if not isinstance(device, Mapping) or device.keys() != {"id", "time"}:
        return words("the device of an entry has an id and a time, nothing else")
    if not _is_name(device["id"]):
        return words("the device's id must be 1 to {limit} characters of text", limit=MAX_NAME)
    if not is_time(device["time"]):
        return words(
            "the device's time {time!r} is not a time after RFC 3339, such as 2026-01-31T14:05:00Z",
            time=str(device["time"]),
        )
    if not is_time(content["recorded"]) or not content["recorded"].endswith("Z"):
        return words(
            "the time of recording {time!r} is not a time in UTC after RFC 3339",
            time=str(content["recorded"]),
        )
    return None


def _is_name(value: object) -> bool:
    return isinstance(value, str) and 0 < len(value) <= MAX_NAME and value.isprintable()


def is_time(value: object) -> bool:
    """Say whether a value is a date and time after RFC 3339.

    Parameters
    ----------
    value : object

    Returns
    -------
    bool

    Examples
    --------
    >>> is_time("2026-02-28T14:05:00.5+01:00"), is_time("2026-02-29T14:05:00Z")
    (True, False)
    """
    if not isinstance(value, str) or not _TIME.fullmatch(value):
        return False
    try:
        datetime.fromisoformat(value)
    except ValueError:
        return False
    return True
