"""Stages that hang together wrongly, and figures without a place: asked about before they are used.

The rules here look at the whole of what was read: a torque after a turn, a procedure that ends
waiting or with everything slack, a second torque in a bracket, a distance nobody asked for.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from clampwright.procedure.draft import Draft
from clampwright.procedure.finished import BACK, PULLED, clause_of, made, one_joint, told
from clampwright.words import Words, words

Find = Callable[[Draft], Words | None]

_LAST_STEP = 40
"""A larger number behind the word "step" is no number of a step."""
_STEP = words("step number")
_TIME = words("time or distance")
_TIMES = frozenset({"h", "min", "s", "d", "km", "mi"})
_LETTERS = frozenset("ABCDEFGH")


def _pulled_after_turn(draft: Draft) -> Words | None:
    """Ask about a torque behind an angle on the same fasteners: it may be the one to start from."""
    if any(one.kind in BACK for one in made(draft)):
        return None
    for first, then in pairwise(told(draft)):
        repeats = then.stage.note.startswith(("repeat", "the same"))
        turned = first.kind == "angle" and then.kind == "torque"
        if turned and not repeats and one_joint(first, then):
            return words(
                "{text}: a torque after a turn does nothing where nothing was slackened; which"
                " comes first, and for which fasteners?",
                text=draft.written([*first.tokens, *then.tokens])[:160],
            )
    return None


def _ends_waiting(draft: Draft) -> Words | None:
    """Ask what is to be done after a wait that nothing follows."""
    stages = made(draft)
    if len(stages) < 2 or stages[-1].kind != "wait":
        return None
    last = stages[-1]
    if any(draft.tokens[index].has("BEFORE", "CURE") for index in last.around):
        return None
    return words("{text}: and what is done then?", text=draft.written(last.tokens))


def _ends_loose(draft: Draft) -> Words | None:
    """Ask about a procedure that ends with everything slackened."""
    stages = made(draft)
    backwards = [slot for slot in reversed(stages) if slot.kind != "torque_check"]
    last = backwards[0] if backwards else None
    pulled = any(slot.kind in {*PULLED, "torque_check"} for slot in stages)
    if last is None or not pulled or last.kind != "loosen":
        return None
    return words(
        "{text}: slackened at the end and not tightened again; is that meant?",
        text=draft.written(last.around),
    )


def _minimum_above(draft: Draft) -> Words | None:
    """Ask about a lowest torque above the one it was tightened to, with no turn between."""
    for first, then in pairwise(made(draft)):
        low, target = then.stage.tolerance_low, first.stage.value
        measured = first.kind == "torque" and then.stage.check == "final_minimum"
        alike = first.stage.unit == then.stage.unit
        if measured and alike and low is not None and target is not None and low > target:
            return words(
                "{text}: at least that much, after less? Is the second figure a limit from above?",
                text=draft.written([*first.tokens, *then.tokens])[:160],
            )
    return None


def _time_left_out(draft: Draft) -> Words | None:
    """Ask what a time or distance among the stages is for."""
    if not made(draft):
        return None
    for index, (role, what) in draft.marks.items():
        if role == "other" and what == _TIME:
            return words(
                "{text}: is this a wait between the stages?",
                text=draft.written([index, min(index + 1, len(draft.tokens) - 1)]),
            )
    return None


def _than_what(draft: Draft) -> Words | None:
    """Ask what "20 N·m below the value for ..." is less than."""
    for slot in told(draft):
        behind = draft.tokens[max(slot.tokens) + 1 : max(slot.tokens) + 4]
        spoken = [token for token in behind if token.letter]
        if slot.kind == "torque" and spoken and spoken[0].has("BELOW", "EXCEED"):
            return words(
                "{text}: above or below what?",
                text=draft.written([*slot.tokens, max(slot.tokens) + 1]),
            )
    return None


def _time_unheard(draft: Draft) -> Words | None:
    """Ask about "after ... hours" when the number of them was not understood."""
    if not told(draft):
        return None
    for clause in draft.clauses:
        if not clause.has("AFTER", "WAIT", "DRIVE", "RECHECK"):
            continue
        for index, token in clause.words():
            if token.letter == "w" and token.value("UNIT") in _TIMES and index not in draft.marks:
                return words("{text}: how long is this wait?", text=draft.written(clause.own)[:160])
    return None


def _second_in_bracket(draft: Draft) -> Words | None:
    """Ask what a second torque is for that stands in a bracket behind the first."""
    for first, then in pairwise(told(draft)):
        if not first.kind == then.kind == "torque" or not one_joint(first, then):
            continue
        one, other = clause_of(draft, first), clause_of(draft, then)
        if one is not None and other is not None and other.inside and not one.inside:
            return words(
                "{text}: is the figure in brackets a further stage?",
                text=draft.written([*first.tokens, *then.tokens])[:160],
            )
    return None


def _added_to_what(draft: Draft) -> Words | None:
    """Ask for the torque that a measured running torque is to be added to."""
    stages = made(draft)
    last = stages[-1].stage if stages else None
    if last is None or last.check != "running":
        return None
    if {last.value, last.tolerance_low, last.tolerance_high} != {None}:
        return None
    return words("the running torque is measured; and to which torque is it tightened?")


def _metres(draft: Draft) -> Words | None:
    """Ask what a length of metres among the stages is for: a way to drive, or a size."""
    for index in draft.marks:
        unit = draft.tokens[index].unit
        if unit is not None and unit.name == "m" and draft.marks[index][0] == "other":
            return words(
                "{text}: what is this distance for?", text=draft.written([max(0, index - 1), index])
            )
    return None


def _some_of_them(draft: Draft) -> Words | None:
    """Ask which fasteners "every second bolt" are."""
    for clause in draft.clauses:
        place = clause.place("SOMEOF")
        if place is not None and clause.has("FASTENER"):
            return words(
                "{text}: which fasteners are these, by their numbers?",
                text=draft.written(clause.own)[:160],
            )
    return None


def _letters_for(draft: Draft) -> Words | None:
    """Ask whether "(A) 20 N·m (B) 35 N·m" counts steps or names fasteners."""
    stages = told(draft)
    if len(stages) < 2 or any(slot.kind != "torque" for slot in stages):
        return None
    if any(token.letter in {"S", "P", "O"} for token in draft.tokens):
        return None
    letters = [
        index
        for index, (_, what) in draft.marks.items()
        if what == _STEP and draft.tokens[index].text in _LETTERS
    ]
    if len(letters) < 2:
        return None
    return words(
        "{text}: do the letters count the steps, or name fasteners?",
        text=draft.written(sorted(letters))[:160],
    )


def _no_step_number(draft: Draft) -> Words | None:
    """Ask about a number taken for that of a step which is too large for one."""
    for index, (_, what) in draft.marks.items():
        if what != _STEP:
            continue
        token = draft.tokens[index]
        after = draft.tokens[index + 1 : index + 2]
        steps = any(one.letter in {"S", "P", ":", ".", ")"} or one.has("STEP") for one in after)
        part = token.has("NUMBER") and token.has("ORDINAL") and not steps
        if part or (token.number is not None and token.number.value > _LAST_STEP):
            return words(
                "{text}: a step, or a figure?", text=draft.written([max(0, index - 1), index])
            )
    return None


OPEN_ENDS: tuple[Find, ...] = (
    _pulled_after_turn,
    _ends_waiting,
    _ends_loose,
    _minimum_above,
    _time_left_out,
    _than_what,
    _time_unheard,
    _second_in_bracket,
    _added_to_what,
    _metres,
    _some_of_them,
    _letters_for,
    _no_step_number,
)
