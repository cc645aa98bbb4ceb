"""Countersigned heads: somebody else says that a log only grew since they last saw it.

The form is that of C2SP tlog-cosignature (version 1, Ed25519) and the exchange that of C2SP
tlog-witness: a request names the size the witness knows, gives a consistency proof (RFC 9162,
section 2.1.4) and the new signed head; the answer is a signature line with a time.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Literal

from clampwright.errors import BadFile, Refused
from clampwright.proof.checkpoint import (
    MAX_CHARACTERS,
    Checkpoint,
    Head,
    check_origin,
    read_checkpoint,
)
from clampwright.proof.keys import (
    PUBLIC_BYTES,
    SIGNATURE_BYTES,
    PublicKey,
    SigningKey,
    from_base64,
    to_base64,
)
from clampwright.proof.merkle import HASH_BYTES, consistency_holds
from clampwright.words import Words, words

COSIGNATURE = b"\x04"
"""Type of signature in key names and key ids (C2SP signed-note, Signature types)."""
TIME_BYTES = 8
MAX_LINES = 16
"""Signature lines that a note may bear."""
MAX_PROOF = 63
"""Longest proof in a request (C2SP tlog-witness)."""
_OLD = re.compile(r"old (0|[1-9][0-9]{0,15})")


@dataclass(frozen=True, slots=True)
class Countersignature:
    """A witness's line under a head.

    Parameters
    ----------
    name : str
        Of the witness.
    key_id : bytes
        4 bytes.
    time : int
        When, seconds since 1970 (UTC).
    signature : bytes
    """

    name: str
    key_id: bytes
    time: int
    signature: bytes

    @property
    def line(self) -> str:
        """The line under the note."""
        data = self.key_id + self.time.to_bytes(TIME_BYTES, "big") + self.signature
        return f"— {self.name} {to_base64(data)}\n"

    def made_by(self, key: PublicKey, head: Head) -> bool:
        """Say whether a witness's key made it over a head.

        Parameters
        ----------
        key : PublicKey
        head : Head

        Returns
        -------
        bool
        """
        return self.key_id == witness_id(self.name, key) and key.signed(
            self.signature, _said(head, self.time)
        )


@dataclass(frozen=True, slots=True)
class Note:
    """A signed head with the lines of its witnesses.

    Parameters
    ----------
    checkpoint : Checkpoint
        As the log signed it.
    witnesses : tuple of Countersignature
    """

    checkpoint: Checkpoint
    witnesses: tuple[Countersignature, ...] = ()


@dataclass(frozen=True, slots=True)
class Request:
    """What a log asks a witness for; also a bridge between two heads.

    Parameters
    ----------
    old : int
        Size that is known already.
    proof : tuple of bytes
        From there to the head.
    note : Note
    text : str
        The head as it was sent.
    """

    old: int
    proof: tuple[bytes, ...]
    note: Note
    text: str

    def joins(self, old: Head) -> bool:
        """Say whether the log grew from an earlier head to this one without a change.

        Parameters
        ----------
        old : Head

        Returns
        -------
        bool
        """
        head = self.note.checkpoint.head
        return (
            old.origin == head.origin
            and old.size == self.old
            and consistency_holds(old.size, head.size, self.proof, old.root, head.root)
        )


def witness_id(name: str, key: PublicKey) -> bytes:
    """Return the four bytes that point to a witness's key.

    Parameters
    ----------
    name : str
    key : PublicKey

    Returns
    -------
    bytes
        First 4 bytes of SHA-256(name || 0x0A || 0x04 || key) (C2SP signed-note).
    """
    return sha256(name.encode("utf-8") + b"\n" + COSIGNATURE + key.raw).digest()[:4]


def witness_line(name: str, key: PublicKey) -> str:
    """Return a witness's key as one line of text, ``name+id+key``.

    Parameters
    ----------
    name : str
    key : PublicKey

    Returns
    -------
    str
    """
    return f"{name}+{witness_id(name, key).hex()}+{to_base64(COSIGNATURE + key.raw)}"


def witness_from(line: str) -> tuple[str, PublicKey]:
    """Read a witness's key line.

    Parameters
    ----------
    line : str

    Returns
    -------
    str, PublicKey
        Name and key.

    Raises
    ------
    Refused
        When it is none.
    """
    name, _, rest = line.strip().partition("+")
    key_id, _, encoded = rest.partition("+")
    raw = from_base64(encoded) or b""
    if raw[:1] == COSIGNATURE and len(raw) == 1 + PUBLIC_BYTES:
        key = PublicKey(raw[1:])
        if witness_id(name, key).hex() == key_id:
            return name, key
    raise Refused(
        words("{line!r} is not the key line of a witness (name+id+key)", line=line.strip()[:80])
    )


def countersign(head: Head, name: str, key: SigningKey, time: int) -> Countersignature:
    """Sign a head as a witness. Whoever calls this has checked that the log only grew.

    Parameters
    ----------
    head : Head
    name : str
        Of the witness.
    key : SigningKey
        Not the key of a log.
    time : int
        Seconds since 1970 (UTC).

    Returns
    -------
    Countersignature
    """
    check_origin(name)
    return Countersignature(name, witness_id(name, key.public), time, key.sign(_said(head, time)))


def _said(head: Head, time: int) -> bytes:
    """Return what a witness signs (C2SP tlog-cosignature, version 1)."""
    return f"cosignature/v1\ntime {time}\n{head.text}".encode()


def read_note(text: str, name: str = "head") -> Note:
    """Read a signed head with any countersignatures under it.

    Parameters
    ----------
    text : str
    name : str
        For messages.

    Returns
    -------
    Note

    Raises
    ------
    BadFile
        When it is no signed head. Lines of a kind not known here are passed over, as the note's
        form demands.
    """
    lines = text.split("\n")
    if len(text) > MAX_CHARACTERS * MAX_LINES or not 6 <= len(lines) <= 5 + MAX_LINES or lines[-1]:
        raise BadFile(
            words("{name}: a signed head has three lines, a blank line and signatures", name=name),
            file=name,
        )
    body, signatures = lines[:4], lines[4:-1]
    own = [line for line in signatures if line.startswith(f"— {lines[0]} ")]
    if len(own) != 1:
        raise BadFile(
            words("{name}: it does not bear exactly one signature of its log", name=name), file=name
        )
    checkpoint = read_checkpoint("\n".join([*body, own[0], ""]), name)
    found = (_countersignature(line) for line in signatures if line != own[0])
    return Note(checkpoint, tuple(one for one in found if one is not None))


def _countersignature(line: str) -> Countersignature | None:
    parts = line.split(" ")
    data = from_base64(parts[2]) if len(parts) == 3 and parts[0] == "—" else None
    if data is None or len(data) != 4 + TIME_BYTES + SIGNATURE_BYTES:
        return None
    time = int.from_bytes(data[4 : 4 + TIME_BYTES], "big")
    return Countersignature(parts[1], data[:4], time, data[4 + TIME_BYTES :])


def request_text(old: int, proof: Sequence[bytes], note: str) -> str:
    """Write a request to a witness, which is also a bridge between two heads.

    Parameters
    ----------
    old : int
        Size that is known already.
    proof : sequence of bytes
    note : str
        The newer signed head.

    Returns
    -------
    str
        After C2SP tlog-witness, "add-checkpoint".
    """
    nodes = "".join(f"{to_base64(node)}\n" for node in proof)
    return f"old {old}\n{nodes}\n{note}"


def read_request(text: str, name: str = "request") -> Request:
    """Read a request to a witness.

    Parameters
    ----------
    text : str
    name : str
        For messages.

    Returns
    -------
    Request

    Raises
    ------
    BadFile
        When it has another form.
    """
    lead, blank, note = text.partition("\n\n")
    first, *nodes = lead.split("\n")
    size = _OLD.fullmatch(first)
    proof = [from_base64(node) for node in nodes]
    if (
        size is None
        or not blank
        or len(nodes) > MAX_PROOF
        or any(node is None or len(node) != HASH_BYTES for node in proof)
    ):
        raise BadFile(
            words(
                "{name} is not a proof between two heads (old, nodes, blank line, head)", name=name
            ),
            file=name,
        )
    known = tuple(node for node in proof if node is not None)
    return Request(int(size[1]), known, read_note(note, name), note)


Why = Literal["unknown", "unsigned", "impossible", "size", "changed"]
"""Why a witness does not sign; C2SP tlog-witness has a status for each."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """A witness's no.

    Parameters
    ----------
    why : str
        One of `Why`.
    say : Words
    """

    why: Why
    say: Words


def refusal(request: Request, known: Head | None, key: PublicKey) -> Refusal | None:
    """Say why a witness must not countersign a request.

    Parameters
    ----------
    request : Request
    known : Head or None
        The newest head of this log that the witness has signed.
    key : PublicKey
        The log's key, as the witness knows it.

    Returns
    -------
    Refusal or None
        Looked for in the order of C2SP tlog-witness.
    """
    head = request.note.checkpoint.head
    size = known.size if known else 0
    if not request.note.checkpoint.signed_by(key):
        return Refusal(
            "unsigned",
            words(
                "the head is not signed with the key that is known for {origin}", origin=head.origin
            ),
        )
    if request.old > head.size:
        return Refusal("impossible", words("the head is older than the one it should grow from"))
    if request.old != size:
        return Refusal(
            "size",
            words("the last head seen here has {size} entries, not {old}", size=size,
                  old=request.old),
        )  # fmt: skip
    changed = words("the log did not grow from the head seen here: it was changed or cut off")
    if known is not None and head.size == size and head.root != known.root:
        return Refusal("size", changed)
    if known is not None and not request.joins(known):
        return Refusal("changed", changed)
    if known is None and request.proof:
        return Refusal(
            "changed", words("there is nothing to prove to somebody who has seen no head yet")
        )
    return None
