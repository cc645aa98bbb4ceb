"""What one workshop hands over to another: one signed file, and how it is checked.

A handover is one JSON object in canonical form. Its last entry, of kind ``handed_over``, says what
it is, which entries stand before it and which files go with it; that entry lies under the head in
the file, like all the others. So nothing can be added, left out, moved or renamed unseen.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

from clampwright.errors import BadFile
from clampwright.intake import most
from clampwright.proof.checkpoint import Head, read_checkpoint
from clampwright.proof.entry import LOG_OPENED, Entry
from clampwright.proof.keychain import KeyChain, follow
from clampwright.proof.keys import (
    PUBLIC_BYTES,
    PublicKey,
    fingerprint_named,
    from_base64,
    to_base64,
)
from clampwright.proof.rows import Row, read_rows
from clampwright.proof.strictjson import canonical, parse_strict
from clampwright.words import Words, words

FORMAT = "clampwright-handover"
VERSION = 1
MAX_BYTES = most("hand-over")
HANDED_OVER = "handed_over"
"""Kind of the entry that closes a handover."""
TAKEN_IN = "taken_in"
"""Kind of the entry that says that something came from another workshop."""
MEMBERS = frozenset({"checkpoint", "entries", "files", "format", "key", "version"})
FILE_MEMBERS = frozenset({"data", "sha256"})
BODY_MEMBERS = frozenset({"also", "content", "files", "name", "title", "what", "workshop"})

What = Literal["job", "procedure", "tool"]
WHATS: tuple[What, ...] = get_args(What)


@dataclass(frozen=True, slots=True)
class Proved:
    """One entry of a handover.

    Parameters
    ----------
    index : int
        Its place in the other workshop's log.
    leaf : str
        Its leaf hash, hexadecimal.
    entry : mapping
    """

    index: int
    leaf: str
    entry: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Handover:
    """A handover whose every part holds.

    Parameters
    ----------
    what : str
        ``job``, ``procedure`` or ``tool``.
    name, title : str
        Its id and title at the workshop it comes from.
    workshop : str
        As that workshop calls itself in its log's first entry.
    head : Head
        Of its log, with the handover as the last entry.
    key : PublicKey
        That signed the head.
    id : str
        Id of the entry that closes it.
    made : str
        When it was closed (RFC 3339, UTC).
    content : mapping
        What goes with it that is no entry.
    entries : tuple of Proved
        In the order of the log.
    files : mapping of str to bytes
        By their SHA-256.
    sha256 : str
        Of the file itself.
    """

    what: What
    name: str
    title: str
    workshop: str
    head: Head
    key: PublicKey
    id: str
    made: str
    content: Mapping[str, Any]
    entries: tuple[Proved, ...]
    files: Mapping[str, bytes]
    sha256: str

    def of_kind(self, *kinds: str) -> list[Mapping[str, Any]]:
        """Return the entries of some kinds.

        Parameters
        ----------
        *kinds : str

        Returns
        -------
        list of mapping
        """
        return [one.entry for one in self.entries if one.entry["kind"] in kinds]


def closing_body(
    *,
    what: What,
    name: str,
    title: str,
    workshop: str,
    content: Mapping[str, Any],
    also: Sequence[Entry],
    files: Sequence[bytes],
) -> dict[str, Any]:
    """Return the body of the entry that closes a handover.

    Parameters
    ----------
    what, name, title, workshop : str
    content : mapping
    also : sequence of Entry
        The entries between the log's first and this one, in the order of the log.
    files : sequence of bytes

    Returns
    -------
    dict
    """
    return {
        "what": what,
        "name": name,
        "title": title,
        "workshop": workshop,
        "content": dict(content),
        "also": [one.id for one in also],
        "files": sorted({hashlib.sha256(one).hexdigest() for one in files}),
    }


def build(
    *,
    entries: Sequence[Entry],
    proofs: Sequence[Sequence[bytes]],
    checkpoint: str,
    key: PublicKey,
    files: Sequence[bytes],
) -> bytes:
    """Write a handover, and check it before it leaves.

    Parameters
    ----------
    entries : sequence of Entry
        The log's first entry, those that belong to it, and last the one that closes it.
    proofs : sequence of sequence of bytes
        For each entry its inclusion proof under the checkpoint.
    checkpoint : str
    key : PublicKey
        The key that signed it.
    files : sequence of bytes

    Returns
    -------
    bytes

    Raises
    ------
    BadFile, Refused
        When the parts do not hold or are too large.
    """
    named = {hashlib.sha256(one).hexdigest(): one for one in files}
    content = {
        "checkpoint": checkpoint,
        "entries": [
            {
                "entry": json.loads(entry.data),
                "index": entry.index,
                "proof": [to_base64(node) for node in proof],
            }
            for entry, proof in zip(entries, proofs, strict=True)
        ],
        "files": [{"data": to_base64(named[one]), "sha256": one} for one in sorted(named)],
        "format": FORMAT,
        "key": key.text,
        "version": VERSION,
    }
    data = canonical(content, max_bytes=MAX_BYTES)
    read_handover(data, FORMAT)
    return data


def read_handover(data: bytes, name: str, key: str | None = None) -> Handover:
    """Read a handover and check all of it; needs nothing but the file.

    Parameters
    ----------
    data : bytes
    name : str
        Of the file, for messages; it decides nothing.
    key : str, optional
        The workshop key it must be signed with: fingerprint, base64 form or key line.

    Returns
    -------
    Handover

    Raises
    ------
    BadFile
        When it is cut off, of another form or version, changed, or signed with another key.
    """
    content = _content(data, name)
    if content.keys() != MEMBERS:
        raise _bad(name, words("its members are not those of a handover"))
    signer, head = _signed(content, name)
    rows = _rows(content, head, name)
    last = rows[-1].entry
    if last is None or last["kind"] != HANDED_OVER or last["body"].keys() != BODY_MEMBERS:
        raise _bad(name, words("its last entry does not close a handover; its end is missing"))
    body, first = last["body"], rows[0].entry or {}
    _check_keys(rows, signer, head, name)
    _check_belongs(rows, body, first, name)
    if key is not None and signer.fingerprint != fingerprint_named(key):
        raise _bad(
            name,
            words(
                "it is signed with another key than the one demanded: {fingerprint}",
                fingerprint=signer.fingerprint,
            ),
        )
    return Handover(
        body["what"],
        body["name"],
        body["title"],
        body["workshop"],
        head,
        signer,
        last["id"],
        last["recorded"],
        body["content"],
        tuple(_proved(row) for row in rows),
        _files(content["files"], body["files"], name),
        hashlib.sha256(data).hexdigest(),
    )


def _bad(name: str, problem: Words) -> BadFile:
    return BadFile(
        words("{file} cannot be taken: {problem}", file=name, problem=problem),
        file=name,
        expected="a handover, as it was handed out",
    )


def _content(data: bytes, name: str) -> Mapping[str, Any]:
    """Return what the file holds, if it is of this form, version, and the very bytes."""
    try:
        content = parse_strict(data, name, max_bytes=MAX_BYTES, exact=False)
    except BadFile as bad:
        raise _bad(name, words("it is cut off or no handover ({why})", why=bad.message)) from bad
    if not isinstance(content, Mapping) or content.get("format") != FORMAT:
        raise _bad(name, words("it is not a handover of this program"))
    version = content.get("version")
    if isinstance(version, bool) or version != VERSION:
        told = words("its form {version} is none that is known", version=str(version))
        if isinstance(version, int) and version > VERSION:
            told = words("it has the newer form {version}; a newer program can take it",
                         version=version)  # fmt: skip
        raise _bad(name, told)
    if canonical(content, max_bytes=MAX_BYTES) != data:
        raise _bad(name, words("another program saved it anew; ask for the file as it was made"))
    return content


def _signed(content: Mapping[str, Any], name: str) -> tuple[PublicKey, Head]:
    raw = from_base64(content["key"]) if isinstance(content["key"], str) else None
    if raw is None or len(raw) != PUBLIC_BYTES:
        raise _bad(name, words("the key in it is not a key"))
    key, text = PublicKey(raw), content["checkpoint"]
    checkpoint = read_checkpoint(text if isinstance(text, str) else "", name)
    if not checkpoint.signed_by(key):
        raise _bad(name, words("its head is not signed with the key in it"))
    return key, checkpoint.head


def _rows(content: Mapping[str, Any], head: Head, name: str) -> list[Row]:
    items = content["entries"]
    rows = read_rows(items if isinstance(items, list) else [], head)
    if len(rows) < 2:
        raise _bad(name, words("it holds no entries"))
    for row in rows:
        if row.problem is not None:
            raise _bad(name, row.finding)
    return rows


@dataclass(frozen=True, slots=True)
class _Line:
    """What `follow` needs of an entry."""

    index: int
    kind: str
    body: Mapping[str, Any]


def _check_keys(rows: Sequence[Row], signer: PublicKey, head: Head, name: str) -> None:
    """Follow the log's keys from its first entry to the one that signed."""
    first = rows[0].entry or {}
    raw = from_base64(str(first["body"].get("public_key")))
    if rows[0].index != 0 or first["kind"] != LOG_OPENED or raw is None or len(raw) != PUBLIC_BYTES:
        raise _bad(name, words("the first entry of its log, which names its key, is missing"))
    lines = [
        _Line(row.index, row.entry["kind"], row.entry["body"])
        for row in rows
        if row.entry is not None and row.index is not None
    ]
    chain = follow(PublicKey(raw), head.origin, lines)
    if not isinstance(chain, KeyChain):
        raise _bad(name, words("its keys do not follow: {problem}", problem=chain))
    if chain.current != signer or first["body"].get("origin") != head.origin:
        raise _bad(name, words("it is signed with another key than its log began with"))


def _check_belongs(
    rows: Sequence[Row], body: Mapping[str, Any], first: Mapping[str, Any], name: str
) -> None:
    """Check that the entries are just those the last one names, and that it says who it is."""
    ids = [row.id for row in rows[1:-1]]
    if body["also"] != ids:
        raise _bad(name, words("its entries are not those it was closed over"))
    sound = all(isinstance(body[one], str) and body[one] for one in ("name", "title", "workshop"))
    if body["what"] not in WHATS or not sound or not isinstance(body["content"], Mapping):
        raise _bad(name, words("what it hands over is none of {known}", known=", ".join(WHATS)))
    if body["workshop"] != first["body"].get("workshop"):
        raise _bad(name, words("it does not name the workshop that its log names"))


def _proved(row: Row) -> Proved:
    entry = row.entry or {}
    leaf = hashlib.sha256(b"\x00" + canonical(dict(entry))).hexdigest()
    return Proved(row.index or 0, leaf, entry)


def _files(items: object, wanted: object, name: str) -> dict[str, bytes]:
    found: dict[str, bytes] = {}
    for item in items if isinstance(items, list) else []:
        if not isinstance(item, Mapping) or item.keys() != FILE_MEMBERS:
            raise _bad(name, words("a file in it has not the members it must have"))
        data = from_base64(item["data"]) if isinstance(item["data"], str) else None
        if data is None or hashlib.sha256(data).hexdigest() != item["sha256"]:
            raise _bad(name, words("a file in it is not what was handed over"))
        if item["sha256"] in found:
            raise _bad(name, words("a file stands in it twice"))
        found[item["sha256"]] = data
    if list(found) != wanted:
        raise _bad(name, words("its files are not those it was closed over"))
    return found
