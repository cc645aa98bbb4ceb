"""Closing a job's record: the last entry, the signed head, the proofs, the file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from clampwright.errors import Missing, Refused
from clampwright.proof import record
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.entry import RECORD_MADE, Entry
from clampwright.proof.keys import SigningKey
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.store.log import Store


def write_record(store: Store, job: str, key: SigningKey | None, also: Sequence[str]) -> bytes:
    """Close and write a job's record.

    Parameters
    ----------
    store : Store
    job : str
    key : SigningKey or None
    also : sequence of str
        Ids of entries outside the job.

    Returns
    -------
    bytes

    Raises
    ------
    Missing
        When the log knows no such job or entry.
    Refused
        When an entry in `also` belongs to a job, or the parts do not hold.
    """
    others = _others(store, also)
    lines = list(store.lines(job))
    if not lines:
        raise Missing(words("there is no job {job} on the log", job=job), "job")
    body = {"also": [one.id for one in others], "entries": len(lines)}
    last = lines[-1]
    sealed = last.kind == RECORD_MADE and last.body == {**body, "entries": len(lines) - 1}
    note = store.checkpoint_covering(last.index) if sealed else None
    if note is None:
        # The key comes first: without it nothing is put on the log.
        key = key or store.signing_key()
        if not sealed:
            last = store.line(store.append(RECORD_MADE, body, job=job).id)
            lines.append(last)
        note = store.sign_checkpoint(key)
    first = next(iter(store.lines()))
    chosen = sorted([first, *others, *lines], key=lambda one: one.index)
    size, tree = read_checkpoint(note).head.size, store.tree()
    return record.build(
        job=job,
        origin=store.origin,
        entries=chosen,
        proofs=[tree.inclusion(one.index, size) for one in chosen],
        checkpoint=note,
        key=store.public_key,
    )


def _others(store: Store, also: Sequence[str]) -> list[Entry]:
    found = {entry_id: store.line(entry_id) for entry_id in also}
    for one in found.values():
        if one.job is not None or one.index == 0:
            raise Refused(words("entry {id} cannot be taken along: it belongs to a job", id=one.id))
    return sorted(found.values(), key=lambda one: one.index)
