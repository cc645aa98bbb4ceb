"""A record held against what was kept outside the log: earlier or later heads, and bridges.

A log signed by its own workshop shows that nothing was changed without the key. It cannot show that
the holder of the key did not cut it off or write it anew. A head that somebody else kept can: it
must be the same log, grown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clampwright.errors import BadFile
from clampwright.intake import most, text_of
from clampwright.proof.checkpoint import Checkpoint, Head
from clampwright.proof.keys import PublicKey
from clampwright.proof.merkle import EMPTY_ROOT
from clampwright.proof.strictjson import parse_strict
from clampwright.proof.timestamp import DER, TimeStamp, read_stamp, stamp_problem
from clampwright.proof.witness import Countersignature, Note, Request, read_note, read_request
from clampwright.words import Words, words

if TYPE_CHECKING:
    from cryptography.x509 import Certificate

MAX_RECORD = most("record")


@dataclass(frozen=True, slots=True)
class Anchor:
    """Something that was kept outside the log.

    Parameters
    ----------
    name : str
        Of its file.
    note : Note
        The head in it.
    bridge : Request or None
        Where it is a proof between two heads.
    """

    name: str
    note: Note
    bridge: Request | None = None

    @property
    def head(self) -> Head:
        """The head it fixes."""
        return self.note.checkpoint.head


@dataclass(frozen=True, slots=True)
class Compared:
    """What a comparison with anchors gave.

    Parameters
    ----------
    findings : tuple of Words
        What does not fit.
    notes : tuple of Words
        What was shown, and what could not be compared.
    """

    findings: tuple[Words, ...] = ()
    notes: tuple[Words, ...] = ()


def read_anchor(data: bytes, name: str) -> Anchor:
    """Read an anchor: a signed head, a bridge between two, or another record of the same log.

    Parameters
    ----------
    data : bytes
    name : str
        Of its file.

    Returns
    -------
    Anchor

    Raises
    ------
    BadFile
        When it is none of them.
    """
    if data[:1] == b"{":
        content = parse_strict(data, name, max_bytes=MAX_RECORD, exact=False)
        text = content.get("checkpoint")
        if not isinstance(text, str):
            raise BadFile(words("{name} holds no signed head", name=name), file=name)
        return Anchor(name, read_note(text, name))
    text = text_of(data, "signed head", name).replace("\r\n", "\n")
    if text.startswith("old "):
        request = read_request(text, name)
        return Anchor(name, request.note, request)
    return Anchor(name, read_note(text.rstrip("\n") + "\n", name))


def read_kept(data: bytes, name: str) -> Anchor | TimeStamp:
    """Read whatever was kept outside a log: an anchor, or a time stamp over one.

    Parameters
    ----------
    data : bytes
    name : str
        Of its file.

    Returns
    -------
    Anchor or TimeStamp

    Raises
    ------
    BadFile
        When it is neither.
    """
    return read_stamp(data, name) if data[:1] == DER else read_anchor(data, name)


def compare_stamp(
    stamp: TimeStamp,
    own: Checkpoint,
    anchors: Sequence[Anchor],
    chain: Sequence[Certificate],
) -> Compared:
    """Hold a time stamp against a record's head and the heads that were kept elsewhere.

    Parameters
    ----------
    stamp : TimeStamp
    own : Checkpoint
        Of the record.
    anchors : sequence of Anchor
        Whether they fit the record is told by `compare`.
    chain : sequence of Certificate
        The authority's, as the person trusts them; without any nothing is shown.

    Returns
    -------
    Compared
    """
    said = {"name": stamp.name, "signer": stamp.signer or "?", "time": stamp.time.isoformat()}
    under = [one for one in anchors if stamp.over(one.note.checkpoint)]
    if stamp.over(own):
        what = words("{name}: a time stamp over the head of this record.", **said)
    elif under:
        what = words("{name}: a time stamp over the head in {head}.", head=under[0].name, **said)
    else:
        return Compared(
            (
                words(
                    "{name}: the time stamp is over none of the heads given. If it is over another "
                    "head of this log, give that head and the proof between them too.",
                    **said,
                ),
            )
        )
    if not chain:
        unproved = words(
            "{name}: its signature was not checked, for the authority's certificate was not given "
            "(--chain). It says: {signer}, {time}.",
            **said,
        )
        return Compared((), (what, unproved))
    problem = stamp_problem(stamp, chain)
    if problem is not None:
        return Compared((problem,), (what,))
    shown = words(
        "{name}: {signer} saw its hash at {time}, so the entries under it were on the log by then. "
        "Whether that certificate was called back is not looked up.",
        **said,
    )
    return Compared((), (what, shown))


def compare(
    head: Head,
    anchors: Sequence[Anchor],
    keys: Sequence[PublicKey] = (),
    witnesses: Sequence[tuple[str, PublicKey]] = (),
) -> Compared:
    """Hold a record's head against anchors.

    Parameters
    ----------
    head : Head
        Of the record.
    anchors : sequence of Anchor
    keys : sequence of PublicKey
        Keys of the log, as the record leads from one to the next.
    witnesses : sequence of tuple of (str, PublicKey)
        Witnesses that are trusted, by name and key.

    Returns
    -------
    Compared
    """
    findings: list[Words] = []
    notes: list[Words] = []
    bridges = [one.bridge for one in anchors if one.bridge is not None]
    for anchor in anchors:
        told = _compared(head, anchor, bridges)
        (findings if told[0] else notes).append(told[1])
        if keys and not any(anchor.note.checkpoint.signed_by(key) for key in keys):
            notes.append(
                words(
                    "{name}: its signature is of another key than those of this record; it is "
                    "worth what the place is worth where it was kept.",
                    name=anchor.name,
                )
            )
        for wrong, sentence in _witnessed(anchor, witnesses):
            (findings if wrong else notes).append(sentence)
    return Compared(tuple(findings), tuple(notes))


def _compared(head: Head, anchor: Anchor, bridges: Sequence[Request]) -> tuple[bool, Words]:
    """Return whether it is a finding, and what is told."""
    kept, name = anchor.head, anchor.name
    if kept.origin != head.origin:
        return True, words(
            "{name} is of another log, {other}; the record is of {own}.",
            name=name,
            other=kept.origin,
            own=head.origin,
        )
    old, new = (kept, head) if kept.size <= head.size else (head, kept)
    if old.size == new.size:
        fits = old.root == new.root
    elif old.size == 0:
        fits = old.root == EMPTY_ROOT
    elif (bridge := _bridge(old.size, new, bridges)) is not None:
        fits = bridge.joins(old)
    else:
        return False, words(
            "{name}: not compared. It covers {kept} entries, the record's head {own}; ask the "
            "workshop for the proof between them (clampwright head FOLDER --since {old} "
            "--size {new}) and give it too.",
            name=name,
            kept=kept.size,
            own=head.size,
            old=old.size,
            new=new.size,
        )
    if not fits:
        return True, words(
            "{name}: the log went another way. The head kept there covers {kept} entries and does "
            "not belong to the log of this record: it was changed, cut off or written anew.",
            name=name,
            kept=kept.size,
        )
    return False, words(
        "{name}: the same log; its first {count} entries are as they were when that head was kept.",
        name=name,
        count=min(kept.size, head.size),
    )


def _bridge(old: int, new: Head, bridges: Sequence[Request]) -> Request | None:
    for bridge in bridges:
        if bridge.old == old and bridge.note.checkpoint.head == new:
            return bridge
    return None


def _witnessed(
    anchor: Anchor, witnesses: Sequence[tuple[str, PublicKey]]
) -> list[tuple[bool, Words]]:
    """Tell which witnesses signed an anchor, and whether a line of a trusted one is wrong."""
    return [_line_told(anchor, line, witnesses) for line in anchor.note.witnesses]


def _line_told(
    anchor: Anchor, line: Countersignature, witnesses: Sequence[tuple[str, PublicKey]]
) -> tuple[bool, Words]:
    keys = [key for name, key in witnesses if name == line.name]
    said = {"name": anchor.name, "witness": line.name}
    if not keys:
        return False, words(
            "{name}: it bears a line of {witness}, whose key was not given (--witness).", **said
        )
    if not any(line.made_by(key, anchor.head) for key in keys):
        return True, words("{name}: the line of {witness} was not made with its key.", **said)
    return False, words(
        "{name}: countersigned by {witness} at {time}.", time=_time(line.time), **said
    )


def _time(seconds: int) -> str:
    from datetime import UTC, datetime  # noqa: PLC0415 - only where a witness is told of

    try:
        return datetime.fromtimestamp(seconds, UTC).isoformat()
    except (OverflowError, ValueError, OSError):
        return str(seconds)
