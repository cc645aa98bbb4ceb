"""Closing a job's record: the last entry, the signed head, the proofs, the file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from clampwright.errors import Missing, Refused
from clampwright.proof import record
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.entry import RECORD_MADE, Entry
from clampwright.proof.keychain import KEY_CHANGED
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
    lines = list(store.lines(job))
    if not lines:
        raise Missing(words("there is no job {job} on the log", job=job), "job")
    last, keys = lines[-1], store.keys()
    # Changes of key before the record was closed belong to it: they lead from the log's first key
    # to the one that signs.
    others = _others(store, also, before=last.index)
    sealed = last.kind == RECORD_MADE and last.body == _closing(others, len(lines) - 1)
    note = store.checkpoint_covering(last.index) if sealed else None
    if note is not None and keys.key_for(_size(note)) != keys.key_for(last.index + 1):
        # It was closed, and the key changed before a head was signed over it: close it anew.
        sealed, note = False, None
    if not sealed:
        others = _others(store, also, before=None)
    if note is None:
        # The key comes first: without it nothing is put on the log.
        key = key or store.signing_key()
        while not sealed:
            body = _closing(others, len(lines))
            last = store.line(store.append(RECORD_MADE, body, job=job).id)
            # On a server another program may have added meanwhile; then it is closed anew.
            lines = [one for one in store.lines(job) if one.index <= last.index]
            others = _others(store, also, before=last.index)
            sealed = last.body == _closing(others, len(lines) - 1)
        note = store.sign_checkpoint(key)
    first = next(iter(store.lines()))
    chosen = sorted([first, *others, *lines], key=lambda one: one.index)
    size, tree = _size(note), store.tree()
    return record.build(
        job=job,
        origin=store.origin,
        entries=chosen,
        proofs=[tree.inclusion(one.index, size) for one in chosen],
        checkpoint=note,
        key=store.keys().key_for(size),
    )


def _closing(others: Sequence[Entry], count: int) -> dict[str, object]:
    return {"also": [one.id for one in others], "entries": count}


def _size(note: str) -> int:
    return read_checkpoint(note).head.size


def _others(store: Store, also: Sequence[str], before: int | None) -> list[Entry]:
    found = {entry_id: store.line(entry_id) for entry_id in also}
    found |= {
        one.id: one for one in store.of_kind(KEY_CHANGED) if before is None or one.index < before
    }
    for one in found.values():
        if one.job is not None or one.index == 0:
            raise Refused(words("entry {id} cannot be taken along: it belongs to a job", id=one.id))
    return sorted(found.values(), key=lambda one: one.index)
