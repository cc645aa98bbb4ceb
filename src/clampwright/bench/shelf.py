"""The shelf of procedures on top of the log: put there, confirmed, looked up."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Protocol, TypedDict, Unpack

from clampwright.bench.acting import id_for
from clampwright.bench.names import Names, checked_name
from clampwright.bench.papers import Papers
from clampwright.errors import Missing, Refused
from clampwright.procedure.reader import read
from clampwright.procedure.reading import Reading
from clampwright.proof.ids import uuid7
from clampwright.proof.strictjson import canonical, normalised
from clampwright.store.log import Store
from clampwright.store.reading import LogReader
from clampwright.store.where import has_log
from clampwright.words import words
from clampwright.work.attached import MOST, type_of
from clampwright.work.exact_stages import exact_stages
from clampwright.work.naming import RESERVED, id_from
from clampwright.work.picture_size import picture_size
from clampwright.work.settling import asked, choice_body, settled, stage_lines
from clampwright.work.shelf import (
    CONFIRMED,
    EMPTY,
    KINDS,
    SHELVED,
    SOURCE_KEYS,
    Attached,
    Shelf,
    Version,
    check_confirmation,
    fold_shelf,
)

LONGEST_TEXT = 30_000
"""Characters of a procedure; a long manual page has 5,000, and each is read again when shown."""
LONGEST_FIELD = 200


class Made(TypedDict, total=False):
    """Where an entry was made, when a device made it; see `clampwright.bench.session.Made`."""

    entry_id: str | None
    device_time: str | None
    device_id: str | None


class Place(Protocol):
    """What is needed of a workshop's folder."""

    @property
    def folder(self) -> Path:
        """The folder."""

    @property
    def papers(self) -> Papers:
        """The kept files."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A procedure that is to be put on the shelf.

    Parameters
    ----------
    title, text : str
    locale : str
        Language tag of the text.
    choice : int or None
        Number (from 1) of the reading that was chosen, where there are several.
    source : mapping of str to str
        Any of ``title``, ``edition``, ``page`` and ``date``; the title is needed.
    attached : tuple of (str, str)
        SHA-256 and name of files that are kept already.
    procedure : str or None
        Id of the procedure this is a new version of; None for a new one.
    stays_open : bool
        Keep it as text with its open point, which no choice can settle; no job can use it.
    """

    title: str
    text: str
    locale: str = "en"
    choice: int | None = None
    source: Mapping[str, str] = field(default_factory=dict)
    attached: tuple[tuple[str, str], ...] = ()
    procedure: str | None = None
    stays_open: bool = False


def draft_of(version: Version) -> Draft:
    """Return a version as a draft of the next one.

    Parameters
    ----------
    version : Version

    Returns
    -------
    Draft
    """
    return Draft(
        version.title,
        version.text,
        version.locale,
        version.choice,
        version.source,
        tuple((one.sha256, one.name) for one in version.attached),
        version.procedure,
    )


def shelf_of(store: LogReader) -> Shelf:
    """Return the shelf of an open store.

    Parameters
    ----------
    store : LogReader

    Returns
    -------
    Shelf
    """
    return fold_shelf(store.entries(kinds=KINDS))


def shelf_in(folder: Path) -> Shelf:
    """Return the shelf of a workshop folder; an empty one where nothing was ever written.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    Shelf
    """
    if not has_log(folder):
        return EMPTY
    with Store.open(folder, write=False) as store:
        return shelf_of(store)


def shelf_for(folder: Path, job_file: bytes) -> Shelf:
    """Return the shelf where a job file may rely on it; else an empty one, without a look.

    Parameters
    ----------
    folder : pathlib.Path
    job_file : bytes

    Returns
    -------
    Shelf
    """
    return shelf_in(folder) if b"shelf" in job_file else EMPTY


def put(
    store: Store,
    place: Place,
    draft: Draft,
    by: str,
    *,
    files: Sequence[tuple[bytes, str]] = (),
    **made: Unpack[Made],
) -> Version:
    """Put a procedure on the shelf: a new one, or a new version of one.

    Parameters
    ----------
    store : Store
        Open for writing.
    place : Workshop
        For the kept files and the names.
    draft : Draft
    by : str
        Name of the person who enters it and has answered its questions.
    files : sequence of (bytes, str)
        Photographs and pages to keep with it, with their names, that are not kept yet.
    **made
        See `Made`.

    Returns
    -------
    Version

    Raises
    ------
    Missing, Ambiguous, Refused, BadFile
        When it cannot be taken as it is; nothing was stored.
    """
    known = _there(store, made.get("entry_id"), SHELVED)
    if known is not None:
        if content_hash(content_of(draft, place.papers)) != known["sha256"]:
            raise _taken(str(made.get("entry_id")))
        return shelf_of(store).version(known["procedure"], known["version"])
    shelf = shelf_of(store)
    versions = shelf.versions(draft.procedure) if draft.procedure is not None else ()
    checked_name(by)
    content_of(draft, place.papers)  # what cannot be taken is told before a file is kept
    for data, name in files:
        picture_size(data, type_of(data, name).type, name)
    if files:
        kept = [keep_file(place.papers, data, name) for data, name in files]
        attached = (*draft.attached, *((one.sha256, one.name) for one in kept))
        draft = replace(draft, attached=attached)
    content = content_of(draft, place.papers)
    sha256 = content_hash(content)
    for one in versions[-1:]:
        if one.sha256 == sha256:
            raise Refused(words("nothing was changed: that is version {n}", n=one.number))
    procedure = draft.procedure or id_from(draft.title, {*shelf.procedures, *RESERVED})
    body = {
        "procedure": procedure,
        "version": len(versions) + 1,
        "content": content,
        "sha256": sha256,
        "by": id_for(store, Names(place.folder), by),
    }
    _append(store, SHELVED, body, made)
    return shelf_of(store).version(procedure, len(versions) + 1)


def confirm(store: Store, place: Place, version: Version, by: str, **made: Unpack[Made]) -> Version:
    """Note that a second person has compared a version with its source.

    Parameters
    ----------
    store : Store
        Open for writing.
    place : Workshop
    version : Version
        As that person had it before them.
    by : str
        Name of the person.
    **made
        See `Made`.

    Returns
    -------
    Version

    Raises
    ------
    Refused
        When it is the same person, or the version is another one by now.
    """
    now = shelf_of(store).version(version.procedure, version.number)
    if _there(store, made.get("entry_id"), CONFIRMED) is not None:
        return now
    names = Names(place.folder)
    checked_name(by)
    person = store.actor.person if store.actor is not None else names.known(by) or ""
    check_confirmation(now, version.sha256, person)
    body = {
        "procedure": now.procedure,
        "version": now.number,
        "sha256": now.sha256,
        "by": id_for(store, names, by),
    }
    _append(store, CONFIRMED, body, made)
    return shelf_of(store).version(now.procedure, now.number)


def keep_file(papers: Papers, data: bytes, name: str) -> Attached:
    """Keep a photograph or a page, by its content.

    Parameters
    ----------
    papers : Papers
    data : bytes
    name : str
        As the person's device names it.

    Returns
    -------
    Attached

    Raises
    ------
    BadFile
        When it is no such file, whatever its name says; nothing is kept.
    """
    found = type_of(data, name or "-")
    picture_size(data, found.type, name or "-")
    return Attached(papers.keep(data), found.type, _line(name, "name")[:100], len(data))


def content_of(draft: Draft, papers: Papers) -> dict[str, Any]:
    """Return what is hashed of a procedure: the text, what was understood, the source.

    Parameters
    ----------
    draft : Draft
    papers : Papers
        Where the attached files are.

    Returns
    -------
    dict

    Raises
    ------
    Missing, Ambiguous, Refused, BadFile
        When it cannot be taken as it is.
    """
    if len(draft.text) > LONGEST_TEXT:
        raise Refused(
            words(
                "the text has {count} characters; at most {limit} are kept as one procedure",
                count=len(draft.text),
                limit=LONGEST_TEXT,
            )
        )
    text = str(normalised(draft.text))  # as it will stand on the log, so that it reads the same
    reading = read(text, draft.locale)
    stages = () if draft.stays_open else settled(reading, draft.choice)
    if draft.stays_open:
        _check_open(reading)
    content: dict[str, Any] = {
        "title": _needed(draft.title, "title", words("give the procedure a title")),
        "text": text,
        "locale": _line(draft.locale, "locale"),
        "choice": None if draft.choice is None else choice_body(reading, draft.choice),
        "understood": list(stage_lines(stages)),
        "stages": exact_stages(stages),
        "source": _source(draft.source),
        "attached": [one.as_body() for one in _attached(draft.attached, papers)],
    }
    if draft.stays_open:
        content["open"] = [str(why) for why in reading.why]
    plain: dict[str, Any] = normalised(content)
    return plain


def _check_open(reading: Reading) -> None:
    """Refuse to keep a text open that is plain, holds no procedure, or can be settled now."""
    if reading.error is not None:
        settled(reading, None)  # raises: says what is wrong
    if not reading.ambiguous or asked(reading) is not None:
        raise Refused(
            words("only what no choice can settle is kept open: this text can be settled now")
        )


def content_hash(content: Mapping[str, Any]) -> str:
    """Return the hash that names a version's content.

    Parameters
    ----------
    content : mapping

    Returns
    -------
    str
        SHA-256 of the canonical form (RFC 8785), hexadecimal.
    """
    return hashlib.sha256(canonical(dict(content))).hexdigest()


def _source(given: Mapping[str, str]) -> dict[str, str]:
    strange = sorted(set(given) - set(SOURCE_KEYS))
    if strange:
        raise Refused(words("a source has no {key}", key=strange[0]))
    missing = words("say where the procedure was taken from: manual, sheet or label")
    _needed(given.get("title", ""), "source", missing)
    return {key: _line(given.get(key, ""), key) for key in SOURCE_KEYS}


def _needed(text: str, key: str, missing: Any) -> str:
    found = _line(text, key)
    if not found:
        raise Missing(missing, needed=key)
    return found


def _line(text: str, key: str) -> str:
    found = " ".join(text.split())
    if len(found) > LONGEST_FIELD or not found.isprintable():
        raise Refused(
            words("{key} has at most {limit} printable characters", key=key, limit=LONGEST_FIELD)
        )
    return found


def _attached(given: tuple[tuple[str, str], ...], papers: Papers) -> list[Attached]:
    if len(given) > MOST:
        raise Refused(words("at most {limit} files are attached to a procedure", limit=MOST))
    found = []
    for sha256, name in dict(given).items():
        data = papers.read(sha256)
        found.append(Attached(sha256, type_of(data, name).type, _line(name, "name"), len(data)))
    return found


def _there(store: Store, entry_id: str | None, kind: str) -> Mapping[str, Any] | None:
    """Return the body of an entry that was taken before; sending it again changes nothing."""
    if entry_id is None:
        return None
    try:
        entry = store.get(entry_id)
    except Missing:
        return None
    if entry["kind"] != kind:
        raise _taken(entry_id)
    body: Mapping[str, Any] = entry["body"]
    return body


def _taken(entry_id: str) -> Refused:
    return Refused(words("entry {id} is on the log already with other content", id=entry_id))


def _append(store: Store, kind: str, body: Mapping[str, Any], made: Made) -> None:
    given: dict[str, Any] = {**made, "entry_id": made.get("entry_id") or str(uuid7())}
    store.append(kind, body, **given)
