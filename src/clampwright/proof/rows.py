"""The entries in a record: each by itself under the signed head, then all of them as a sequence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from clampwright.errors import Refused
from clampwright.proof.checkpoint import Head
from clampwright.proof.entry import LOG_OPENED, RECORD_MADE, entry_problem
from clampwright.proof.keychain import KEY_CHANGED
from clampwright.proof.keys import from_base64
from clampwright.proof.merkle import HASH_BYTES, inclusion_holds, leaf_hash
from clampwright.proof.strictjson import canonical
from clampwright.words import Words, words

MEMBERS = frozenset({"entry", "index", "proof"})
SEAL_MEMBERS = frozenset({"also", "entries"})
MAX_PROOF = 64
"""Longest proof: no log has more than 2**64 entries."""


@dataclass(slots=True)
class Row:
    """One entry of the file and what does not fit about it.

    Parameters
    ----------
    number : int
        Place in the file, counted from 1.
    index : int or None
        Place in the log, as the file gives it.
    id : str or None
        Id of the entry, as the file gives it.
    entry : mapping or None
        The entry, once it is known to be what was signed.
    problem : Words or None
    """

    number: int
    index: int | None
    id: str | None
    entry: Mapping[str, Any] | None
    problem: Words | None

    @property
    def finding(self) -> Words:
        """The problem with the place where it is."""
        return words(
            "Entry {number} of the file (place {index} in the log, id {id}): {problem}",
            number=self.number,
            index="?" if self.index is None else self.index,
            id=self.id or "?",
            problem=str(self.problem),
        )


def read_rows(items: Sequence[object], head: Head | None) -> list[Row]:
    """Check each entry of a record by itself, and that they stand in the order of the log.

    Parameters
    ----------
    items : sequence
        The record's ``entries``.
    head : Head or None
        The head they must belong under; without one none can be checked.

    Returns
    -------
    list of Row
    """
    rows: list[Row] = []
    before = -1
    for number, item in enumerate(items, 1):
        content = item if isinstance(item, Mapping) else {}
        index, entry = content.get("index"), content.get("entry")
        place = index if isinstance(index, int) and not isinstance(index, bool) else None
        given = entry.get("id") if isinstance(entry, Mapping) else None
        problem = _problem(content, head)
        if place is not None:
            if problem is None and place <= before:
                problem = words("it stands out of order, or twice")
            before = max(before, place)
        rows.append(
            Row(
                number,
                place,
                given if isinstance(given, str) else None,
                entry if problem is None else None,
                problem,
            )
        )
    return rows


def _problem(item: Mapping[str, Any], head: Head | None) -> Words | None:
    """Say why one entry with its proof does not belong under the head."""
    if item.keys() != MEMBERS:
        return words("it must have entry, index and proof, and nothing else")
    index, proof = item["index"], _nodes(item["proof"])
    if not isinstance(index, int) or isinstance(index, bool) or proof is None:
        return words("its place or its proof is not readable")
    problem = entry_problem(item["entry"])
    if problem is not None:
        return problem
    try:
        leaf = leaf_hash(canonical(item["entry"]))
    except Refused as refused:
        return refused.message
    if head is None or not inclusion_holds(leaf, index, head.size, proof, head.root):
        return words("it is not what was signed")
    return None


def _nodes(proof: object) -> list[bytes] | None:
    """Read the nodes of a proof, or return None when they are not written as they should be."""
    if not isinstance(proof, list) or len(proof) > MAX_PROOF:
        return None
    nodes: list[bytes] = []
    for text in proof:
        node = from_base64(text) if isinstance(text, str) else None
        if node is None or len(node) != HASH_BYTES:
            return None
        nodes.append(node)
    return nodes


def check_sequence(rows: Sequence[Row], job: str) -> list[Words]:
    """Check that no entry of the job is missing and none stands too many.

    Rows that do not fit by themselves are passed over; a row that does not fit the ones before it
    gets its problem set.

    Parameters
    ----------
    rows : sequence of Row
    job : str
        Name of the job.

    Returns
    -------
    list of Words
        What is wrong with the whole.
    """
    place: int | None = 0  # in the job; None after a row that cannot be trusted
    ids: set[str] = set()
    others: list[str] = []
    for row in rows:
        if row.entry is None:
            place = None
            continue
        row.problem = _problem_in_sequence(row.entry, job, place, ids)
        ids.add(row.entry["id"])
        if row.entry["job"] == job:
            place = row.entry["job_seq"] + 1
        elif row.index:
            others.append(row.entry["id"])
    if not rows or any(row.problem for row in rows):
        return []
    return _problems_of_ends(rows, others)


def _problem_in_sequence(
    entry: Mapping[str, Any], job: str, place: int | None, ids: set[str]
) -> Words | None:
    if entry["id"] in ids:
        return words("another entry has the same id")
    if entry["job"] is None:
        return None
    if entry["kind"] == KEY_CHANGED:
        return words("a change of key belongs to no job")
    if entry["job"] != job:
        return words("it belongs to another job, {job}", job=entry["job"])
    if place is not None and entry["job_seq"] != place:
        return words(
            "entry {wanted} of the job should stand here, not {found}",
            wanted=place + 1,
            found=entry["job_seq"] + 1,
        )
    return None


def _problems_of_ends(rows: Sequence[Row], others: list[str]) -> list[Words]:
    """Check the first entry's place, and the last entry, which closes the record."""
    problems: list[Words] = []
    first, last = rows[0].entry or {}, rows[-1].entry or {}
    if rows[0].index != 0 or first["kind"] != LOG_OPENED:
        problems.append(words("The log's first entry, which names its key, is missing."))
    if last["kind"] != RECORD_MADE or last["job"] is None or last["body"].keys() != SEAL_MEMBERS:
        problems.append(
            words("The record does not end with the entry that closes it; its end is missing.")
        )
    elif last["body"]["entries"] is True or last["body"]["entries"] != last["job_seq"]:
        problems.append(
            words(
                "The record was closed over {wanted} entries of the job; it holds {found}.",
                wanted=str(last["body"]["entries"]),
                found=last["job_seq"],
            )
        )
    elif last["body"]["also"] != others:
        problems.append(
            words("The entries outside the job are not those the record was closed over.")
        )
    return problems
