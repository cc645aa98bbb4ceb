"""Heads of a workshop's log kept outside it, and a witness for other workshops' logs.

A witness keeps, for each log it was introduced to, the log's key and the newest head it has signed;
nothing of what stands in the log itself.
"""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Unpack

from clampwright.errors import BadFile, Missing, Refused
from clampwright.intake import json_of
from clampwright.proof.checkpoint import Head, check_origin, read_checkpoint
from clampwright.proof.entry import RECORD_MADE
from clampwright.proof.keys import PublicKey, SigningKey, public_key_from
from clampwright.proof.witness import (
    Refusal,
    countersign,
    read_note,
    read_request,
    refusal,
    request_text,
    witness_line,
)
from clampwright.store.keyfile import read_key, sync_folder, write_key
from clampwright.store.lock import WriterLock
from clampwright.store.log import Store
from clampwright.store.reading import LogReader
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.bench.session import Origin

HEAD_KEPT = "head_kept"
"""Kind of the entry that says that a head of the log is kept outside it."""


def signed_head_at(store: LogReader, size: int) -> str:
    """Return the kept checkpoint over exactly `size` entries.

    Parameters
    ----------
    store : LogReader
    size : int

    Returns
    -------
    str

    Raises
    ------
    Missing
        When no head was signed there.
    """
    for signed in store.signed_heads(up_to=size):
        if read_checkpoint(signed.note).head.size == size:
            return signed.note
    raise Missing(words("no head was signed over {size} entries", size=size), "signed head")


def bridge(store: LogReader, old: int, note: str) -> str:
    """Return the proof that the log grew from `old` entries to a signed head without a change.

    Parameters
    ----------
    store : LogReader
    old : int
    note : str
        A checkpoint of this log.

    Returns
    -------
    str
        After C2SP tlog-witness; also what a witness is asked with.

    Raises
    ------
    Refused
        When `old` is not below the head's size.
    """
    size = read_checkpoint(note).head.size
    if not 0 <= old <= size:
        raise Refused(
            words(
                "there is no way from {old} entries to a head over {size}; give a smaller number",
                old=old,
                size=size,
            )
        )
    return request_text(old, store.tree().consistency(old, size), note)


def keep_head(
    store: Store,
    note: str,
    where: str,
    *,
    stamp: Mapping[str, str] | None = None,
    **made: Unpack[Origin],
) -> None:
    """Put on the log that a head is kept outside it.

    Parameters
    ----------
    store : Store
    note : str
        A head of this log, with or without countersignatures.
    where : str
        Who keeps it, or where.
    stamp : mapping of str to str, optional
        Of a time stamp over it: ``stamp`` and ``chain`` (kept files), ``time``.
    **made
        Id, clock and device of the entry, where another device made it.

    Raises
    ------
    Refused
        When it is not a head of this log.
    """
    head = read_note(note).checkpoint.head
    size, _ = store.head()
    if head.origin != store.origin or head.size > size or store.tree().root(head.size) != head.root:
        raise Refused(words("this is not a head of the log {origin}", origin=store.origin))
    more = {} if stamp is None else {"stamp": dict(stamp)}
    store.append(HEAD_KEPT, {"note": note, "where": where, **more}, **made)


def anchored_size(store: LogReader) -> int:
    """Return how many entries lie under a head that is known to be kept outside the log.

    Records count: each one handed out carries the head it was closed under.

    Parameters
    ----------
    store : LogReader

    Returns
    -------
    int
    """
    lines = [*store.of_kind(HEAD_KEPT), *store.of_kind(RECORD_MADE)]
    return max((anchored_by(line.kind, line.body, line.index) for line in lines), default=0)


def anchored_by(kind: str, body: Mapping[str, Any], index: int) -> int:
    """Return how many entries an entry shows to lie under a head that is kept outside the log.

    Parameters
    ----------
    kind : str
    body : mapping
    index : int
        Its place in the log.

    Returns
    -------
    int
        0 where it shows nothing of the kind.
    """
    if kind == HEAD_KEPT:
        return read_note(str(body["note"])).checkpoint.head.size
    return index + 1 if kind == RECORD_MADE else 0


@dataclass(frozen=True, slots=True)
class Introduced:
    """A log that a witness was introduced to.

    Parameters
    ----------
    origin : str
    key : PublicKey
    head : Head or None
        The newest one that was countersigned.
    """

    origin: str
    key: PublicKey
    head: Head | None


class WitnessRefusedError(Refused):
    """A witness does not sign.

    Parameters
    ----------
    refusal : Refusal
    size : int or None
        The size it knows, where it knows the log.
    """

    def __init__(self, refusal: Refusal, size: int | None = None) -> None:
        super().__init__(refusal.say)
        self.why, self.size = refusal.why, size


class Witness:
    """A folder with a witness's key and the newest heads it has signed.

    Parameters
    ----------
    folder : pathlib.Path
        As made by `Witness.make`.
    clock : callable
        Seconds since 1970 (UTC).
    """

    def __init__(self, folder: Path, clock: Callable[[], float] = time.time) -> None:
        self.folder = folder
        self._clock = clock
        try:
            self.name = (folder / "witness.name").read_text("utf-8").strip()
        except OSError as error:
            raise BadFile(
                words("{folder} is no witness's folder; make one first", folder=str(folder)),
                file=str(folder),
            ) from error
        self._key = read_key(folder / "witness.key")

    @classmethod
    def make(cls, folder: Path, name: str) -> Witness:
        """Make a witness: a folder with a key of its own.

        Parameters
        ----------
        folder : pathlib.Path
            Must not hold a witness.
        name : str
            How it signs; no spaces, no plus sign.

        Returns
        -------
        Witness
        """
        check_origin(name)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_key(folder / "witness.key", SigningKey.new())
        (folder / "witness.name").write_text(f"{name}\n", "utf-8")
        return cls(folder)

    @property
    def line(self) -> str:
        """The key line to hand to those who verify."""
        return witness_line(self.name, self._key.public)

    def introduce(self, line: str) -> Introduced:
        """Let the witness know a log: its name and key.

        Parameters
        ----------
        line : str
            The log's key line (``clampwright key show``).

        Returns
        -------
        Introduced

        Raises
        ------
        Refused
            When it is no key line, or the log is known with another key.
        """
        origin, key = line.strip().partition("+")[0], public_key_from(line)
        check_origin(origin)
        with self._alone():
            known = self._known(origin)
            if known is not None and known.key != key:
                raise Refused(
                    words(
                        "{origin} is known here with another key; a change of key is agreed on in "
                        "person: remove {file} and introduce it anew",
                        origin=origin,
                        file=str(self._file(origin)),
                    )
                )
            found = known or Introduced(origin, key, None)
            self._write(found)
        return found

    def sign(self, text: str) -> str:
        """Countersign a head, if the log grew from the one signed last.

        Parameters
        ----------
        text : str
            A request after C2SP tlog-witness.

        Returns
        -------
        str
            The signature line.

        Raises
        ------
        WitnessRefusedError
            When it did not grow, is not known, or is not signed with its key.
        BadFile
            When it is no request.
        """
        request = read_request(text)
        head = request.note.checkpoint.head
        with self._alone():
            known = self._known(head.origin)
            if known is None:
                raise WitnessRefusedError(
                    Refusal(
                        "unknown",
                        words("the log {origin} was not introduced here", origin=head.origin),
                    )
                )
            problem = refusal(request, known.head, known.key)
            if problem is not None:
                raise WitnessRefusedError(problem, known.head.size if known.head else 0)
            # What was signed is on the disk before the signature leaves: never two ways.
            self._write(Introduced(known.origin, known.key, head))
            made = countersign(head, self.name, self._key, int(self._clock()))
        return made.line

    def _alone(self) -> _Held:
        return _Held(self.folder / "witness.lock")

    def _file(self, origin: str) -> Path:
        return self.folder / f"{hashlib.sha256(origin.encode()).hexdigest()[:32]}.json"

    def _known(self, origin: str) -> Introduced | None:
        file = self._file(origin)
        if not file.is_file():
            return None
        try:
            data = json_of(file.read_bytes(), "witness state", str(file))
            head = data["head"]
            return Introduced(
                data["origin"],
                public_key_from(data["key"]),
                None
                if head is None
                else Head(data["origin"], int(head["size"]), bytes.fromhex(head["root"])),
            )
        except (OSError, BadFile, ValueError, KeyError, TypeError) as error:
            raise BadFile(
                words("{file} is damaged; put it back from a copy", file=str(file)), file=str(file)
            ) from error

    def _write(self, one: Introduced) -> None:
        head = one.head and {"size": one.head.size, "root": one.head.root.hex()}
        data = {"origin": one.origin, "key": one.key.text, "head": head}
        file = self._file(one.origin)
        part = file.with_suffix(".new")
        with part.open("w", encoding="utf-8") as out:
            json.dump(data, out)
            out.flush()
            os.fsync(out.fileno())
        part.replace(file)
        sync_folder(self.folder)


class _Held:
    """The witness's folder, for one at a time."""

    def __init__(self, file: Path) -> None:
        self._file = file

    def __enter__(self) -> None:
        self._lock = WriterLock(self._file)

    def __exit__(self, *_: object) -> None:
        self._lock.release()


def with_countersignature(note: str, line: str) -> str:
    """Put a witness's line under a head.

    Parameters
    ----------
    note, line : str

    Returns
    -------
    str

    Raises
    ------
    BadFile
        When the line is none.
    """
    text = note + line.strip("\n") + "\n"
    if len(read_note(text).witnesses) != len(read_note(note).witnesses) + 1:
        raise BadFile(words("this is not the signature line of a witness"), file="line")
    return text
