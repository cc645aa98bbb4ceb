"""Time stamps over heads of the log: asked for, taken in, kept beside it, handed on.

The stamp and the certificates it was verified with lie among the kept files; the log says which
head it is over. Nothing in the program needs a stamp.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from clampwright.bench.anchoring import HEAD_KEPT, keep_head
from clampwright.bench.folder import Workshop, read_bytes
from clampwright.bench.outside import needed, outside_of, post
from clampwright.errors import Missing, Refused
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.timestamp import (
    MAX_ANSWER,
    StampRequest,
    TimeStamp,
    read_chain,
    read_stamp,
    read_stamp_request,
    stamp_problem,
    stamp_request,
)
from clampwright.proof.witness import read_note
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.store.log import Store
    from clampwright.store.reading import LogReader

ASKED, ANSWERED = "application/timestamp-query", "application/timestamp-reply"
"""Media types (RFC 3161, 3.4)."""


@dataclass(frozen=True, slots=True)
class KeptStamp:
    """A time stamp in a workshop.

    Parameters
    ----------
    size : int
        Entries under the head.
    note : str
        The head.
    time : str
        When, as the authority says; RFC 3339.
    where : str
        The authority, as its certificate names it.
    stamp, chain : str
        SHA-256 of the kept files.
    """

    size: int
    note: str
    time: str
    where: str
    stamp: str
    chain: str


def kept_stamps(store: LogReader) -> Iterator[KeptStamp]:
    """Go through the time stamps of a workshop, the oldest first.

    Parameters
    ----------
    store : LogReader

    Yields
    ------
    KeptStamp
    """
    for line in store.of_kind(HEAD_KEPT):
        more = line.body.get("stamp")
        if more:
            head = read_note(str(line.body["note"])).checkpoint.head
            yield KeptStamp(head.size, str(line.body["note"]), where=line.body["where"], **more)


def keep_stamp(
    place: Workshop, store: Store, answer: bytes, chain: bytes, *, request: StampRequest, name: str
) -> TimeStamp:
    """Verify an authority's answer and keep it beside the log; the log says so.

    Parameters
    ----------
    place : Workshop
    store : Store
        Open for writing.
    answer : bytes
        TimeStampResp, DER.
    chain : bytes
        Certificates that the person trusts, PEM or DER.
    request : StampRequest
        What was asked.
    name : str
        Of the answer's file.

    Returns
    -------
    TimeStamp

    Raises
    ------
    BadFile
        When a file cannot be read.
    Refused
        When it does not hold, or is over no head of this log; nothing is kept.
    """
    stamp = read_stamp(answer, name)
    problem = stamp_problem(stamp, read_chain(chain, "chain"), request)
    if problem is not None:
        raise Refused(problem)
    note = _note_under(store, stamp)
    kept = {
        "stamp": place.papers.keep(answer),
        "chain": place.papers.keep(chain),
        "time": stamp.time.astimezone(dt.UTC).isoformat().replace("+00:00", "Z"),
    }
    keep_head(store, note, stamp.signer or name, stamp=kept)
    return stamp


def _note_under(store: LogReader, stamp: TimeStamp) -> str:
    """Return the head of this log that a stamp is over; the newest are looked at first."""
    for signed in reversed(list(store.signed_heads(up_to=store.signed_size()))):
        if stamp.over(read_checkpoint(signed.note)):
            return signed.note
    raise Refused(
        words(
            "{name}: the time stamp is over no head of the log {origin}",
            name=stamp.name,
            origin=store.origin,
        )
    )


def fetch_stamp(place: Workshop, store: Store) -> TimeStamp:
    """Ask the authority in ``outside.toml`` about the present head, and keep its answer.

    The only request that leaves; what it carries is a hash and a random number.

    Parameters
    ----------
    place : Workshop
    store : Store
        Open for writing.

    Returns
    -------
    TimeStamp

    Raises
    ------
    Missing
        When no authority is named.
    Refused
        When it does not answer as it should, or its answer does not hold; nothing is kept.
    """
    named = outside_of(place.folder).time_stamp
    if named is None:
        raise needed(place.folder, "time_stamp")
    chain = read_bytes(place.folder / named.chain)
    request = stamp_request(store.sign_checkpoint())
    answer = post(named.url, request.data, ASKED, largest=MAX_ANSWER)
    if answer.status != 200 or answer.kind != ANSWERED:
        raise Refused(
            words(
                "{url} gave no time stamp (status {status}, {kind})",
                url=named.url,
                status=answer.status,
                kind=answer.kind or "-",
            )
        )
    return keep_stamp(place, store, answer.body, chain, request=request, name=named.url)


def read_request_file(path: Path) -> StampRequest:
    """Read a request that was written to a file.

    Parameters
    ----------
    path : pathlib.Path

    Returns
    -------
    StampRequest
    """
    return read_stamp_request(read_bytes(path), str(path))


def hand_out(place: Workshop, store: LogReader, folder: Path) -> tuple[KeptStamp, list[Path]]:
    """Write the newest time stamp with its head and certificates, as plain files.

    Parameters
    ----------
    place : Workshop
    store : LogReader
    folder : pathlib.Path
        Where to; made if it is not there. No file is written over.

    Returns
    -------
    KeptStamp, list of pathlib.Path

    Raises
    ------
    Missing
        When there is no time stamp.
    Refused
        When a file is there already or cannot be written.
    """
    found = list(kept_stamps(store))
    if not found:
        raise Missing(words("no time stamp is kept here"), "time stamp")
    newest = found[-1]
    content = {
        f"head-{newest.size}.txt": read_note(newest.note).checkpoint.text.encode("utf-8"),
        f"head-{newest.size}.tsr": place.papers.read(newest.stamp),
        f"authority-{newest.size}.pem": place.papers.read(newest.chain),
    }
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in content.items():
            with (folder / name).open("xb") as file:
                file.write(data)
            written.append(folder / name)
    except OSError as error:
        for path in written:
            path.unlink()
        raise Refused(
            words("{file} cannot be written: {problem}", file=str(error.filename or folder),
                  problem=str(error.strerror))
        ) from error  # fmt: skip
    return newest, written
