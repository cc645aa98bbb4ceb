"""Asking witnesses over HTTP to sign the present head (C2SP tlog-witness, "add-checkpoint").

A witness is asked when a person says so, and learns the log's name, its length and a hash.
"""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.bench.anchoring import HEAD_KEPT, bridge, keep_head, with_countersignature
from clampwright.bench.folder import Workshop
from clampwright.bench.outside import Answer, needed, outside_of, post
from clampwright.errors import BadFile, Refused
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.keys import PublicKey
from clampwright.proof.witness import read_note, witness_from
from clampwright.store.log import Store
from clampwright.store.reading import LogReader
from clampwright.words import Words, words

ADD_CHECKPOINT = "add-checkpoint"
SIZE = "text/x.tlog.size"
"""Media type of the answer that names the size a witness knows (C2SP tlog-witness)."""
LARGEST = 10_000
"""Bytes of a witness's answer; a line has under 300."""
OK, CONFLICT = 200, 409


@dataclass(frozen=True, slots=True)
class Asked:
    """What became of asking one witness.

    Parameters
    ----------
    witness : str
    size : int
        Entries under the head.
    problem : Words or None
        Why it did not sign; None when its line is kept.
    """

    witness: str
    size: int
    problem: Words | None = None


def ask_witnesses(place: Workshop, store: Store) -> list[Asked]:
    """Ask every witness in ``outside.toml`` to sign the present head, and keep their lines.

    Parameters
    ----------
    place : Workshop
    store : Store
        Open for writing.

    Returns
    -------
    list of Asked

    Raises
    ------
    Missing
        When no witness is named.
    """
    named = outside_of(place.folder).witness
    if not named:
        raise needed(place.folder, "[witness]")
    keys = [witness_from(table.key) for table in named]
    note = store.sign_checkpoint()
    size = read_checkpoint(note).head.size
    found = []
    for table, (name, key) in zip(named, keys, strict=True):
        try:
            line = _line_of(store, note, table.url, name, key)
            keep_head(store, line, name)
            found.append(Asked(name, size))
        except (Refused, BadFile) as error:
            found.append(Asked(name, size, error.message))
    return found


def _line_of(store: Store, note: str, url: str, name: str, key: PublicKey) -> str:
    """Return the head with a witness's line, from the size it knows on."""
    answer = _asked(store, note, url, _seen(store, name, key))
    if answer.status == CONFLICT and answer.kind == SIZE:
        answer = _asked(store, note, url, _size(answer, url))
    if answer.status != OK:
        raise Refused(
            words(
                "{url} did not sign (status {status}): {said}",
                url=url,
                status=answer.status,
                said=answer.body[:200].decode("utf-8", "replace").strip() or "-",
            )
        )
    signed = with_countersignature(note, answer.body.decode("utf-8", "replace"))
    read = read_note(signed)
    if not read.witnesses[-1].made_by(key, read.checkpoint.head):
        raise Refused(
            words("{url} answered with a line that was not made with the key of {witness}",
                  url=url, witness=name)
        )  # fmt: skip
    return signed


def _asked(store: Store, note: str, url: str, old: int) -> Answer:
    text = bridge(store, old, note).encode("utf-8")
    return post(f"{url.rstrip('/')}/{ADD_CHECKPOINT}", text, "text/plain", largest=LARGEST)


def _size(answer: Answer, url: str) -> int:
    text = answer.body.decode("ascii", "replace").removesuffix("\n")
    if not (text.isascii() and text.isdecimal() and len(text) <= 16):
        raise Refused(words("{url} named no size it knows", url=url))
    return int(text)


def _seen(store: LogReader, name: str, key: PublicKey) -> int:
    """Return the size of the newest head that bears this witness's line; 0 where there is none."""
    sizes = [0]
    for line in store.of_kind(HEAD_KEPT):
        note = read_note(str(line.body["note"]))
        head = note.checkpoint.head
        sizes += [head.size for w in note.witnesses if w.name == name and w.made_by(key, head)]
    return max(sizes)
