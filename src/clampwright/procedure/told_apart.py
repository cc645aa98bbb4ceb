"""Torques that only a number tells apart: "pos. 3: 23 N·m, pos. 4: 46 N·m" is two joints."""

from __future__ import annotations

from itertools import pairwise

from clampwright.procedure.draft import Draft, Slot
from clampwright.words import words

_TELLING = (
    words("size"),
    words("size or other measure"),
    words("strength class"),
    words("section number"),
)
_POSITION = words("page, part or position number")
_MEASURE = words("temperature, volume or other measure")
_NEAR = 2
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
    taken = {index for slot in draft.slots for index in slot.tokens}
    pulls = [
        (place, slot)
        for place, slot in enumerate(draft.slots)
        if slot.kind == "torque" and slot.tokens
    ]
    heads = [_head(draft, slot, taken) for _, slot in pulls]
    for (pull, head), (next_pull, next_head) in pairwise(zip(pulls, heads, strict=True)):
        first, then = pull[1], next_pull[1]
        if first.fasteners not in {"all", _label(draft, head)} or then.fasteners != "all":
            continue
        one, other = _numbers(draft, head), _numbers(draft, next_head)
        unlike = {kind for kind in one.keys() & other.keys() if other[kind] != one[kind]}
        if str(_MEASURE) in unlike and _alike(first, then):
            _ask_measure(draft, [*head, *next_head])
            return
        differ = bool(unlike)
        if differ and _alike(first, then):
            _name(draft, pull[0], _label(draft, head))
            _name(draft, next_pull[0], _label(draft, next_head))


def _alike(first: Slot, then: Slot) -> bool:
    one, other = first.subject, then.subject
    return one is other or (one is not None and other is not None and one.names == other.names)


def _head(draft: Draft, slot: Slot, taken: set[int]) -> list[int]:
    """Return the words before a torque back to the last break; a colon close to it is none."""
    found: list[int] = []
    found += _bracket_behind(draft, slot)[::-1]
    for index in range(min(slot.tokens) - 1, max(-1, min(slot.tokens) - _LONGEST), -1):
        token = draft.tokens[index]
        if index in taken or token.letter in _BREAKS:
            break
        found.append(index)
    return found[::-1]


def _bracket_behind(draft: Draft, slot: Slot) -> list[int]:
    """Return what stands in the bracket behind a torque: "25 N·m (class 8.8)"."""
    start = max(slot.tokens) + 1
    behind = draft.tokens[start : start + _LONGEST]
    if not behind or behind[0].letter != "(":
        return []
    stop = next((n for n, token in enumerate(behind) if token.letter == ")"), 0)
    inside = range(start + 1, start + stop)
    return [] if any(draft.tokens[i].letter in set("QAS") for i in inside) else list(inside)


def _numbers(draft: Draft, head: list[int]) -> dict[str, list[str]]:
    """Return the numbers of a label by what they were taken for; none where a step is counted."""
    found: dict[str, list[str]] = {}
    position = any(
        draft.tokens[index].value("REF") in {"number", "model", "grade"} for index in head
    )
    for index in head:
        token, mark = draft.tokens[index], draft.marks.get(index)
        if token.letter == "M":
            found.setdefault("M", []).append(token.text)
        if token.letter in {"S", "P", "O", "E"}:
            return {}
        if token.number is None or mark is None or mark[0] != "other":
            continue
        if mark[1] in (*_TELLING, _MEASURE) or (mark[1] == _POSITION and position):
            found.setdefault(str(mark[1]), []).append(token.text)
    return found


def _ask_measure(draft: Draft, heads: list[int]) -> None:
    """Ask which holds of "engine 1.6 l: 40 N·m, 2.0 l: 60 N·m"."""
    draft.ask(
        "variant_choice",
        words(
            "{text}: the text gives figures for several variants; which one is in hand?",
            text=draft.written(heads)[:160],
        ),
    )


def _label(draft: Draft, head: list[int]) -> str:
    kept = [index for index in head if draft.tokens[index].letter not in {"", ":", "-", "=", "("}]
    runs: list[list[int]] = []
    for index in kept:
        if runs and index - runs[-1][-1] <= _NEAR:
            runs[-1].append(index)
        else:
            runs.append([index])  # behind the torque: what its bracket says
    return ", ".join(draft.written([run[0], run[-1]]) for run in runs)


def _name(draft: Draft, place: int, label: str) -> None:
    slot = draft.slots[place]
    for own in draft.slots[place : place + _LONGEST]:
        if own is not slot and (own.kind == "torque" or own.sentence != slot.sentence):
            break
        own.fasteners = label
