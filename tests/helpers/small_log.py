"""A small log in memory, signed by its own key, and the records that are made of it.

All of its content is invented. No store takes part in it: what a proof holds is shown by itself.
"""

from __future__ import annotations

from typing import Any

from clampwright.proof import record
from clampwright.proof.checkpoint import Head, origin_for
from clampwright.proof.entry import LOG_OPENED, RECORD_MADE, Entry, compose, read_entry
from clampwright.proof.ids import IdMaker
from clampwright.proof.keychain import KEY_CHANGED, Reason, compose_change
from clampwright.proof.keys import PublicKey, SigningKey, to_base64
from clampwright.proof.merkle import Tree
from clampwright.proof.witness import request_text

KEY = SigningKey.from_seed(bytes(range(32)))
OTHER = SigningKey.from_seed(bytes(range(1, 33)))


class Log:
    """A small log in memory: the first entry, a tool, and two jobs in turn."""

    def __init__(self, key: SigningKey = KEY, named: SigningKey | None = None) -> None:
        self.key, self.lines = key, list[bytes]()
        self.ids = IdMaker(iter(range(1_700_000_000_000, 1_800_000_000_000, 1000)).__next__)
        named = named or key
        self.origin = origin_for("Invented yard", named.public)
        self.add(LOG_OPENED, {"public_key": named.public.text, "origin": self.origin})
        self.also = [self.add("tool_added", {"title": "beam wrench (invented)"}).id]
        self.counts = {"wheel": 0, "head": 0}
        for turn in range(6):
            self.add_to("wheel", {"fastener": turn % 5 + 1, "read": "80"})
            self.add_to("head", {"fastener": turn + 1, "read": "31.5", "note": "später geprüft"})

    def add(self, kind: str, body: dict[str, Any], **more: Any) -> Entry:
        """Add an entry, which belongs to no job unless one is named."""
        line = compose(
            id=self.ids(),
            kind=kind,
            body=body,
            job=more.get("job"),
            job_seq=more.get("job_seq"),
            device_id="bench",
            device_time="2026-01-31T14:05:00+01:00",
            recorded="2026-01-31T13:05:00.250000Z",
        )
        self.lines.append(line)
        return read_entry(line, len(self.lines) - 1)

    def add_to(self, job: str, body: dict[str, Any], kind: str = "pull") -> Entry:
        """Add the next entry of a job."""
        self.counts[job] += 1
        return self.add(kind, body, job=job, job_seq=self.counts[job] - 1)

    def seal(self, job: str, entries: int | None = None) -> Entry:
        """Add the entry that closes the record of a job."""
        count = self.counts[job] if entries is None else entries
        return self.add_to(job, {"also": self.also, "entries": count}, RECORD_MADE)

    def change_key(
        self, new: SigningKey, reason: Reason = "planned", old: PublicKey | None = None
    ) -> Entry:
        """Add a change of key, signed by the old one unless only its public half is given."""
        head = Head(self.origin, self.tree.size, self.tree.root())
        entry = self.add(KEY_CHANGED, compose_change(head, old or self.key, new, reason))
        self.also.append(entry.id)
        self.key = new
        return entry

    @property
    def entries(self) -> list[Entry]:
        """All entries, read."""
        return [read_entry(line, index) for index, line in enumerate(self.lines)]

    @property
    def tree(self) -> Tree:
        """The tree over all entries."""
        return Tree(one.leaf_hash for one in self.entries)

    def note(self, size: int | None = None, key: SigningKey | None = None) -> str:
        """Sign the head over the first entries, or over all."""
        tree = Tree(one.leaf_hash for one in self.entries[:size])
        return Head(self.origin, tree.size, tree.root()).sign(key or self.key)

    def bridge(self, size: int) -> str:
        """Write the proof from a smaller head to the one over all entries."""
        return request_text(size, self.tree.consistency(size), self.note())

    @staticmethod
    def proof(tree: Tree, index: int) -> list[str]:
        """Return the proof of an entry as a record bears it."""
        return [to_base64(node) for node in tree.inclusion(index)]

    def chosen(self, job: str) -> list[Entry]:
        """What belongs to a record: the first entry, the job's, and those the job rests on."""
        return [
            one for one in self.entries if one.index == 0 or one.job == job or one.id in self.also
        ]

    def record(self, job: str, start: int = 0) -> bytes:
        """Make the record of a job, of what belongs to it from a place in the log on."""
        tree = self.tree
        chosen = [one for one in self.chosen(job) if one.index >= start]
        return record.build(
            job=job,
            origin=self.origin,
            entries=chosen,
            proofs=[tree.inclusion(one.index) for one in chosen],
            checkpoint=self.note(),
            key=self.key.public,
        )
