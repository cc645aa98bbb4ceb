"""Whether a record is as it was signed: offline, from the file alone, and in words.

The checks follow the file from outside in: can it be read, has it the right members, is its head
signed by its key, does each entry belong under that head, does any entry miss, whose key is it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from clampwright.errors import BadFile
from clampwright.intake import most
from clampwright.proof.anchors import Anchor, compare, compare_stamp
from clampwright.proof.checkpoint import Checkpoint, read_checkpoint
from clampwright.proof.keychain import KeyChange, follow
from clampwright.proof.keys import PUBLIC_BYTES, PublicKey, fingerprint_named, from_base64
from clampwright.proof.rows import Row, check_sequence, read_rows
from clampwright.proof.strictjson import canonical, parse_strict
from clampwright.proof.timestamp import TimeStamp
from clampwright.words import Words, words

if TYPE_CHECKING:
    from cryptography.x509 import Certificate

FORMAT = "clampwright-record"
VERSION = 1
MAX_BYTES = most("record")
MAX_FINDINGS = 8
"""More than these would not be read; how many are left out is said."""

MEMBERS = frozenset({"checkpoint", "entries", "format", "job", "key", "origin", "version"})


@dataclass(frozen=True, slots=True)
class Verification:
    """What was found about a record.

    Parameters
    ----------
    ok : bool
        Nothing was altered, and the key is the one that was demanded (if one was).
    findings : tuple of Words
        What does not fit, the first first. Empty when `ok`.
    notes : tuple of Words
        What a reader should know although it is no fault.
    readable : bool
        Whether the file is a record at all.
    first_bad_index : int or None
        Place in the log of the first entry that does not fit, as the file gives it.
    first_bad_id : str or None
        Id of that entry, as the file gives it.
    origin, fingerprint, key : str or None
        Name of the log; fingerprint and base64 form of the key in the file.
    size : int or None
        Number of entries in the log when its head was signed.
    root : str or None
        Root hash, hexadecimal.
    job, made : str or None
        Name of the job; when the record was closed (RFC 3339, UTC).
    entries : int
        Number of entries in the file.
    """

    ok: bool
    findings: tuple[Words, ...] = ()
    notes: tuple[Words, ...] = ()
    readable: bool = True
    first_bad_index: int | None = None
    first_bad_id: str | None = None
    origin: str | None = None
    fingerprint: str | None = None
    key: str | None = None
    size: int | None = None
    root: str | None = None
    job: str | None = None
    made: str | None = None
    entries: int = 0

    def as_json(self) -> dict[str, object]:
        """Return the result as plain data; sentences in English.

        Returns
        -------
        dict
        """
        return {
            "ok": self.ok,
            "readable": self.readable,
            "findings": [str(finding) for finding in self.findings],
            "notes": [str(note) for note in self.notes],
            "first_bad": None
            if self.first_bad_index is None
            else {"index": self.first_bad_index, "id": self.first_bad_id},
            "origin": self.origin,
            "key": {"fingerprint": self.fingerprint, "text": self.key},
            "log": {"size": self.size, "root": self.root},
            "job": self.job,
            "made": self.made,
            "entries": self.entries,
        }


def verify(
    data: bytes,
    *,
    key: str | None = None,
    name: str = "record",
    anchors: Sequence[Anchor | TimeStamp] = (),
    witnesses: Sequence[tuple[str, PublicKey]] = (),
    chain: Sequence[Certificate] = (),
) -> Verification:
    """Find out whether a record is as it was signed. Needs nothing but the file.

    Parameters
    ----------
    data : bytes
        The file's content.
    key : str, optional
        The key it must have been signed with: fingerprint, base64 form or key line.
    name : str
        Name of the file, for messages.
    anchors : sequence of Anchor or TimeStamp
        What was kept outside the log, to hold the record against.
    witnesses : sequence of tuple of (str, PublicKey)
        Witnesses that are trusted, by name and key.
    chain : sequence of Certificate
        Certificates of time-stamp authorities that are trusted.

    Returns
    -------
    Verification

    Raises
    ------
    Refused
        When `key` names no key.
    """
    wanted = fingerprint_named(key) if key is not None else None
    try:
        content = parse_strict(data, name, max_bytes=MAX_BYTES, exact=False)
    except BadFile as bad:
        return Verification(ok=False, findings=(bad.message,), readable=False)
    problem = _problem_of_file(content, name)
    if problem is not None:
        return Verification(ok=False, findings=(problem,), readable=False)
    check = _Check(content)
    check.members()
    check.head()
    check.entries()
    check.whose(wanted)
    heads = [one for one in anchors if isinstance(one, Anchor)]
    check.against(heads, witnesses)
    check.stamped([one for one in anchors if isinstance(one, TimeStamp)], heads, chain)
    if canonical(content, max_bytes=MAX_BYTES) != data:
        check.notes.append(words("Another program saved this file anew; what it says is the same."))
    return check.result()


def _problem_of_file(content: object, name: str) -> Words | None:
    if not isinstance(content, Mapping) or content.get("format") != FORMAT:
        return words("{file} is not a record of this program", file=name)
    if content.get("version") is True or content.get("version") != VERSION:
        return words(
            "{file}: version {version} of the record's form is not known here; "
            "a newer program may know it",
            file=name,
            version=str(content.get("version")),
        )
    return None


@dataclass(frozen=True, slots=True)
class KeyLine:
    """What `follow` needs of an entry."""

    index: int
    kind: str
    body: Mapping[str, Any]


def _told(change: KeyChange) -> Words:
    """Tell a reader of a change of key, and how sure it is."""
    place, old, new = change.size, change.old.fingerprint[:9], change.new.fingerprint[:9]
    if change.vouched:
        return words(
            "The key was changed at place {place} of the log, from {old}… to {new}…; both keys "
            "signed the change.",
            place=place,
            old=old,
            new=new,
        )
    return words(
        "The key was replaced at place {place} of the log, from {old}… to {new}…, without the old "
        "key's signature. That it is still the same workshop, only something outside this file can "
        "show: a head it gave out before (--against).",
        place=place,
        old=old,
        new=new,
    )


@dataclass(slots=True)
class _Check:
    """One pass over a record; each step adds what it finds."""

    content: Mapping[str, Any]
    findings: list[Words] = field(default_factory=list)
    notes: list[Words] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    key: PublicKey | None = None
    keys: list[PublicKey] = field(default_factory=list)
    checkpoint: Checkpoint | None = None
    signed: bool = False

    def text(self, member: str) -> str:
        """Return a member that should be text, or nothing."""
        value = self.content.get(member)
        return value if isinstance(value, str) else ""

    def members(self) -> None:
        """Look for members that are missing, unknown or of the wrong kind."""
        for odd in sorted(self.content.keys() - MEMBERS):
            self.findings.append(words("The record holds {name!r}, which is not signed.", name=odd))
        for lost in sorted(MEMBERS - self.content.keys()):
            self.findings.append(words("The record lacks {name!r}.", name=lost))
        raw = from_base64(self.text("key"))
        if raw is not None and len(raw) == PUBLIC_BYTES:
            self.key = PublicKey(raw)
        else:
            self.findings.append(words("The key in the record is not a key."))

    def head(self) -> None:
        """Check the signed head."""
        try:
            self.checkpoint = read_checkpoint(self.text("checkpoint"))
        except BadFile as bad:
            self.findings.append(
                words("The signed head of the log was changed: {problem}", problem=bad.message)
            )
            return
        self.signed = self.key is not None and self.checkpoint.signed_by(self.key)
        if not self.signed:
            self.findings.append(words("The log's head is not signed by the key in the record."))
        if self.text("origin") != self.checkpoint.head.origin:
            self.findings.append(
                words(
                    "The record says it is from {said}, its signed head says {origin}.",
                    said=self.text("origin"),
                    origin=self.checkpoint.head.origin,
                )
            )

    def entries(self) -> None:
        """Check the entries, each and together."""
        items = self.content.get("entries")
        if not isinstance(items, list) or not items:
            self.findings.append(words("The record holds no entries."))
            return
        self.rows = read_rows(items, self.checkpoint.head if self.checkpoint else None)
        self.findings += check_sequence(self.rows, self.text("job"))

    def whose(self, wanted: str | None) -> None:
        """Check whose key it is: against the log's first entry, and against a demand."""
        first = self.rows[0].entry if self.rows else None
        if first is not None and self.key is not None:
            self.chain(first, self.key)
        if first is not None and first["body"].get("origin") != self.content.get("origin"):
            self.findings.append(words("The log began under another name than the record says."))
        if self.key is None:
            return
        if wanted is None:
            self.notes.append(
                words(
                    "No key was demanded. Compare this fingerprint with the one the workshop gave "
                    "you by another way: {fingerprint}",
                    fingerprint=self.key.fingerprint,
                )
            )
        elif self.key.fingerprint != wanted:
            self.findings.append(
                words(
                    "The record is signed with another key than the one demanded; its key has the "
                    "fingerprint {fingerprint}",
                    fingerprint=self.key.fingerprint,
                )
            )

    def against(
        self, anchors: Sequence[Anchor], witnesses: Sequence[tuple[str, PublicKey]]
    ) -> None:
        """Hold the head against what was kept outside the log."""
        if self.checkpoint is not None:
            told = compare(self.checkpoint.head, anchors, self.keys, witnesses)
            self.findings += told.findings
            self.notes += told.notes

    def stamped(
        self, stamps: Sequence[TimeStamp], heads: Sequence[Anchor], chain: Sequence[Certificate]
    ) -> None:
        """Hold time stamps against the heads."""
        if self.checkpoint is None:
            return
        for stamp in stamps:
            told = compare_stamp(stamp, self.checkpoint, heads, chain)
            self.findings += told.findings
            self.notes += told.notes

    def chain(self, first: Mapping[str, Any], key: PublicKey) -> None:
        """Follow the log's keys from its first entry to the one that signed."""
        raw = from_base64(str(first["body"].get("public_key")))
        if raw is None or len(raw) != PUBLIC_BYTES:
            self.findings.append(words("The log's first entry names no key."))
            return
        changes = [
            KeyLine(row.index, row.entry["kind"], row.entry["body"])
            for row in self.rows
            if row.entry is not None and row.index is not None
        ]
        chain = follow(PublicKey(raw), self.text("origin"), changes)
        if isinstance(chain, Words):
            self.findings.append(words("Its keys do not follow: {problem}.", problem=str(chain)))
        elif chain.current != key:
            self.findings.append(
                words(
                    "The record is signed with another key than its log began with: it was rebuilt."
                )
            )
        else:
            self.keys = [chain.first, *(change.new for change in chain.changes)]
            self.notes += [_told(change) for change in chain.changes]

    def result(self) -> Verification:
        """Put everything together."""
        bad = [row for row in self.rows if row.problem is not None]
        if len(bad) == len(self.rows) > 0 and not self.signed:
            # Under a head that is itself changed no entry can fit; naming one would mislead.
            bad = []
            self.findings.append(words("Under this head no entry of the file can be checked."))
        findings = self.findings + [row.finding for row in bad]
        if len(findings) > MAX_FINDINGS:
            left = len(findings) - MAX_FINDINGS
            findings = [*findings[:MAX_FINDINGS], words("{count} more do not fit.", count=left)]
        head = self.checkpoint.head if self.checkpoint else None
        last = self.rows[-1].entry if self.rows else None
        return Verification(
            ok=not findings,
            findings=tuple(findings),
            notes=tuple(self.notes),
            first_bad_index=bad[0].index if bad else None,
            first_bad_id=bad[0].id if bad else None,
            origin=head.origin if head else None,
            fingerprint=self.key.fingerprint if self.key else None,
            key=self.key.text if self.key else None,
            size=head.size if head else None,
            root=head.root.hex() if head else None,
            job=self.text("job") or None,
            made=last["recorded"] if last else None,
            entries=len(self.rows),
        )
