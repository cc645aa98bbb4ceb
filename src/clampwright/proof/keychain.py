"""Which key signs a log at which time: the first one it names, and every change since.

A change of key is an entry of the log, of kind ``key_changed``. Old and new key both sign the same
statement, which holds the log's head before the change: so a change cannot be moved to another
place or another log. After a loss the old key cannot sign; then only something outside the log (a
head that somebody kept) shows that it is still the same workshop, and a verifier says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, Protocol, get_args

from clampwright.errors import Refused
from clampwright.proof.checkpoint import Head
from clampwright.proof.keys import PUBLIC_BYTES, PublicKey, SigningKey, from_base64, to_base64
from clampwright.words import Words, words

KEY_CHANGED = "key_changed"
"""Kind of the entry that changes the key."""

Reason = Literal["planned", "lost", "stolen"]
REASONS: tuple[Reason, ...] = get_args(Reason)

MEMBERS = frozenset({"before", "key", "reason", "signed_by_new", "signed_by_old"})
BEFORE_MEMBERS = frozenset({"key", "root", "size"})


class Line(Protocol):
    """What is needed of an entry."""

    @property
    def index(self) -> int:
        """Place in the log."""

    @property
    def kind(self) -> str:
        """Kind of entry."""

    @property
    def body(self) -> Mapping[str, Any]:
        """Its content."""


@dataclass(frozen=True, slots=True)
class KeyChange:
    """One change of key.

    Parameters
    ----------
    size : int
        Entries before the change, and so its place in the log.
    old, new : PublicKey
    reason : str
        ``planned``, ``lost`` or ``stolen``.
    vouched : bool
        The old key signed the change.
    """

    size: int
    old: PublicKey
    new: PublicKey
    reason: Reason
    vouched: bool


@dataclass(frozen=True, slots=True)
class KeyChain:
    """The keys of a log, in order.

    Parameters
    ----------
    first : PublicKey
        The one named in the log's first entry.
    changes : tuple of KeyChange
    """

    first: PublicKey
    changes: tuple[KeyChange, ...] = ()

    @property
    def current(self) -> PublicKey:
        """The key that signs now."""
        return self.changes[-1].new if self.changes else self.first

    def key_for(self, size: int) -> PublicKey:
        """Return the key that signs a head over `size` entries.

        Parameters
        ----------
        size : int

        Returns
        -------
        PublicKey
        """
        key = self.first
        for change in self.changes:
            if change.size < size:
                key = change.new
        return key


def statement(before: Head, old: PublicKey, new: PublicKey, reason: str) -> bytes:
    r"""Return the bytes that both keys sign when the key of a log is changed.

    Parameters
    ----------
    before : Head
        Of the log before the change.
    old, new : PublicKey
    reason : str

    Returns
    -------
    bytes

    Examples
    --------
    >>> head = Head("yard.56475aa7", 3, bytes(32))
    >>> text = statement(head, PublicKey(bytes(32)), PublicKey(bytes(32)), "planned")
    >>> text.decode().splitlines()[:3]
    ['clampwright key change', 'yard.56475aa7', '3']
    """
    return f"clampwright key change\n{before.text}{old.text}\n{new.text}\n{reason}\n".encode()


def compose_change(
    before: Head, old: SigningKey | PublicKey, new: SigningKey, reason: Reason
) -> dict[str, Any]:
    """Write the body of the entry that changes the key.

    Parameters
    ----------
    before : Head
        Of the log before the change.
    old : SigningKey or PublicKey
        The public half alone where the private one is lost.
    new : SigningKey
    reason : str

    Returns
    -------
    dict

    Raises
    ------
    Refused
        When a planned change is not signed by the old key, or both are the same.
    """
    public = old.public if isinstance(old, SigningKey) else old
    if new.public == public:
        raise Refused(words("the new key is the old one"))
    if reason not in REASONS:
        raise Refused(words("{reason!r} is no reason to change a key", reason=reason))
    if reason == "planned" and not isinstance(old, SigningKey):
        raise Refused(words("a planned change of key is signed by the old key too"))
    said = statement(before, public, new.public, reason)
    return {
        "before": {"key": public.text, "root": to_base64(before.root), "size": before.size},
        "key": new.public.text,
        "reason": reason,
        "signed_by_new": to_base64(new.sign(said)),
        "signed_by_old": to_base64(old.sign(said)) if isinstance(old, SigningKey) else None,
    }


def follow(first: PublicKey, origin: str, entries: Iterable[Line]) -> KeyChain | Words:
    """Follow the changes of key in a log.

    Parameters
    ----------
    first : PublicKey
        Of the log's first entry.
    origin : str
        Name of the log.
    entries : iterable
        Entries in the order of the log; other kinds are passed over.

    Returns
    -------
    KeyChain or Words
        What is wrong with the first change that does not hold.
    """
    chain = KeyChain(first)
    for line in entries:
        if line.kind == KEY_CHANGED:
            change = _change(line, chain, origin)
            if isinstance(change, Words):
                return change
            chain = KeyChain(first, (*chain.changes, change))
    return chain


def _change(line: Line, chain: KeyChain, origin: str) -> KeyChange | Words:
    body, before = line.body, line.body.get("before")
    if (
        body.keys() != MEMBERS
        or not isinstance(before, Mapping)
        or before.keys() != BEFORE_MEMBERS
        or body["reason"] not in REASONS
        or before["size"] is True
    ):
        return words("the change of key at place {place} has another form", place=line.index)
    old, new, root = (_bytes(one) for one in (before["key"], body["key"], before["root"]))
    if old is None or new is None or root is None:
        return words("the change of key at place {place} is not readable", place=line.index)
    if before["size"] != line.index:
        return words(
            "the change of key at place {place} was made for another place", place=line.index
        )
    if old != chain.current.raw:
        return words(
            "the change of key at place {place} starts from another key than the log had",
            place=line.index,
        )
    return _signed(line, PublicKey(old), PublicKey(new), Head(origin, line.index, root))


def _signed(line: Line, old: PublicKey, new: PublicKey, before: Head) -> KeyChange | Words:
    body = line.body
    said = statement(before, old, new, body["reason"])
    vouched = body["signed_by_old"] is not None
    signatures = [(new, body["signed_by_new"]), *([(old, body["signed_by_old"])] * vouched)]
    if any(not key.signed(_signature(text), said) for key, text in signatures):
        return words(
            "the change of key at place {place} is not signed by its keys", place=line.index
        )
    if body["reason"] == "planned" and not vouched:
        return words(
            "the change of key at place {place} lacks the old key's signature", place=line.index
        )
    return KeyChange(line.index, old, new, body["reason"], vouched)


def _bytes(text: object) -> bytes | None:
    data = from_base64(text) if isinstance(text, str) else None
    return data if data is not None and len(data) == PUBLIC_BYTES else None


def _signature(text: object) -> bytes:
    return (from_base64(text) if isinstance(text, str) else None) or b""
