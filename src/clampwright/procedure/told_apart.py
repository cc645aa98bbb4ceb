"""Torques that only a number tells apart: "pos. 3: 23 N·m, pos. 4: 46 N·m" is two joints."""

from __future__ import annotations

from clampwright.procedure.draft import Draft, Slot
from clampwright.words import words

_TELLING = (
    words("size"),
    words("size or other measure"),
    words("strength class"),
    words("section number"),
)
_POSITION = words("page, part or position number")
_BREAKS = frozenset({",", ";", ".", "n", "a", "h", "|"})
_LONGEST = 16
"""Words before a torque that are looked at; a name with its number is no longer."""


def tell_apart(draft: Draft) -> None:
    """Give stages the label before their torque, where another number stands in each label.

    Without it the torques would be read as one after the other on the same fasteners.

    Parameters
    ----------
    draft : Draft
    """
    pulls = [slot for slot in draft.slots if slot.kind == "torque" and slot.tokens]
    heads = {id(slot): _head(draft, slot) for slot in pulls}
    for first, then in zip(pulls, pulls[1:], strict=False):
        if first.fasteners != "all" and first.fasteners != _label(draft, heads[id(first)]):
            continue
        if then.fasteners != "all" or first.subject is not then.subject and not _alike(first, then):
            continue
        one, other = _numbers(draft, heads[id(first)]), _numbers(draft, heads[id(then)])
        if any(other[kind] != one[kind] for kind in one.keys() & other.keys()):
            for slot in (first, then):
                _name(draft, slot, _label(draft, heads[id(slot)]))


def _alike(first: Slot, then: Slot) -> bool:
    one, other = first.subject, then.subject
    return one is not None and other is not None and one.names == other.names


def _head(draft: Draft, slot: Slot) -> list[int]:
    """Return the words before a torque back to the last break; a colon close to it is none."""
    taken = {i for other in draft.slots if other is not slot for i in other.tokens}
    found: list[int] = []
    for index in range(min(slot.tokens) - 1, max(-1, min(slot.tokens) - _LONGEST), -1):
        token = draft.tokens[index]
        if index in taken or token.letter in _BREAKS:
            break
        found.append(index)
    return found[::-1]


def _numbers(draft: Draft, head: list[int]) -> dict[str, list[str]]:
    """Return the numbers of a label by what they were taken for; none where a step is counted."""
    found: dict[str, list[str]] = {}
    position = any(draft.tokens[index].value("REF") in {"number", "model"} for index in head)
    for index in head:
        token, mark = draft.tokens[index], draft.marks.get(index)
        if token.letter in {"S", "P", "O", "E"}:
            return {}
        if token.number is None or mark is None or mark[0] != "other":
            continue
        if mark[1] in _TELLING or (mark[1] == _POSITION and position):
            found.setdefault(str(mark[1]), []).append(token.text)
    return found


def _label(draft: Draft, head: list[int]) -> str:
    kept = [index for index in head if draft.tokens[index].letter not in {"", ":", "-", "=", "("}]
    return draft.written([kept[0], kept[-1]]) if kept else ""


def _name(draft: Draft, slot: Slot, label: str) -> None:
    place = draft.place_of(slot)
    for own in draft.slots[place:]:
        if own is not slot and (own.kind == "torque" or own.sentence != slot.sentence):
            break
        own.fasteners = label
