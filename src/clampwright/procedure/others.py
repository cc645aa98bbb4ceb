"""Lengths, times, distances and the rest: stretch, limits of use, waits, or something else."""

from __future__ import annotations

from collections.abc import Sequence

from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import stage_of
from clampwright.procedure.limits import bound_of
from clampwright.procedure.naming import name_by_size
from clampwright.procedure.physical import not_physical, note_oddities
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.reading import Limit
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Stage
from clampwright.words import words

_WAITING = ("WAIT", "AFTER", "DRIVE", "RECHECK", "RETIGHTEN", "CHECK")
_AGAIN = ("RECHECK", "RETIGHTEN")
_REUSING = ("LONGER", "REPLACE", "REUSE", "MAX", "EXCEED")


def length(scope: Scope, clause: Clause, quantity: Quantity, others: Sequence[Quantity]) -> None:
    """Take a length as stretch, as a limit of use, or as something else.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity
    others : sequence of Quantity
        All quantities of the clause.
    """
    draft = scope.draft
    if _limits_use(scope, clause):
        _limit_of_use(scope, quantity)
        return
    near = scope.sentence.has("STRETCH") or (
        scope.subject is not None and "STRETCH" in scope.subject.text.upper()
    )
    if near and not clause.has("THICKNESS", "ADAPTER", "TOOL"):
        _stretch(scope, quantity, others)
        return
    if "until" in clause.leads or clause.has("UNSUPPORTED"):
        draft.warn("unsupported_step")
        draft.mark(quantity.tokens, "reported", words("to be adjusted by measuring"))
        return
    draft.mark(quantity.tokens, "other", words("size"))
    name_by_size(scope, clause, quantity)


def _limits_use(scope: Scope, clause: Clause) -> bool:
    lengthy = scope.sentence.has("LENGTH", "LONGER")
    return lengthy and (scope.sentence.has(*_REUSING) or clause.has("MAX"))


def _limit_of_use(scope: Scope, quantity: Quantity) -> None:
    draft = scope.draft
    amount = quantity.amounts[0]
    value = amount.high if amount.from_range else amount.value
    if value is None:
        return
    draft.mark(quantity.tokens, "used", words("longest length for reuse"))
    draft.limits.append(Limit("length_max", float(value), amount.unit))
    allowed = scope.sentence.has("REUSE") and not scope.sentence.has("NOT", "WITHOUT")
    if draft.reuse == "new_required" and allowed:
        draft.reuse = "conflict"
    draft.reuse = draft.reuse or "reuse_if_length_ok"


def _stretch(scope: Scope, quantity: Quantity, others: Sequence[Quantity]) -> None:
    draft = scope.draft
    if not_physical(scope, quantity):
        return
    note_oddities(scope, quantity)
    draft.mark(quantity.tokens, "used", words("stretch"))
    amount = quantity.amounts[0]
    bound = None if amount.low is not None else bound_of(scope, quantity, others)
    if bound is None:
        scope.add(
            [[stage_of("stretch", amount, draft=draft, also=quantity.also)]],
            tokens=quantity.tokens,
        )
        return
    limited = amount.as_limit(low=bound.side == "low")
    last = draft.last()
    if last is not None and last.kind == "stretch" and last.stage.unit == amount.unit:
        key = "tolerance_low" if bound.side == "low" else "tolerance_high"
        last.change(**{key: float(amount.value or 0)})
        last.extra += quantity.tokens
        return
    scope.ask(
        "limit_only",
        words("{text} is only a limit; what is the stretch?", text=draft.written(quantity.tokens)),
        [[stage_of("stretch", limited, draft=draft)]],
        quantity.tokens,
    )


def waiting(scope: Scope, clause: Clause, quantity: Quantity) -> None:
    """Take a time or distance as a wait before the next stage, or as something else.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity
    """
    draft = scope.draft
    if quantity.first in draft.marks:
        return  # taken with the torque it stands behind
    soon = quantity.letter == "H" and clause.has("WITHIN") and not clause.has(*_AGAIN)
    if soon or clause.has("EVERY"):
        draft.mark(quantity.tokens, "other", words("interval"))
        return
    relevant = clause.has(*_WAITING, "REPEAT") or scope.sentence.has("RECHECK", "WAIT")
    if not relevant or not _physical(quantity):
        draft.mark(quantity.tokens, "other", words("time or distance"))
        return
    draft.mark(quantity.tokens, "used", words("wait before the next stage"))
    for amount in quantity.amounts:
        stage = stage_of("wait", amount, draft=draft)
        slot = scope.add([[stage]], tokens=quantity.tokens, at=_place(scope, clause, quantity))
        slot.curing = clause.has("CURE")
    _check_after(scope, clause)


def _physical(quantity: Quantity) -> bool:
    value = quantity.amounts[0].value
    return value is not None and value > 0


def _place(scope: Scope, clause: Clause, quantity: Quantity) -> int:
    """Return the place of a wait: before the stage of its own clause that comes after it."""
    slots = scope.draft.slots
    place = len(slots)
    if not clause.has("AFTER", "WITHIN"):
        return place
    while place > 0:
        slot = slots[place - 1]
        own = slot.sentence == clause.sentence and slot.tokens and slot.tokens[0] in clause.own
        if not own or slot.kind == "wait" or slot.tokens[0] > quantity.first:
            break
        place -= 1
    return place


def _check_after(scope: Scope, clause: Clause) -> None:
    """Add the check of the torque that a wait was for, unless the text gives its figure."""
    sentence = scope.sentence
    again = ("RECHECK", "RETIGHTEN", "REPEAT")
    if _checks_nothing_else(clause) and scope.new_slots and not scope.checked:
        scope.checked = recheck(scope)
        return
    if not sentence.has(*again) or (scope.checked and not clause.has(*again)):
        return
    place = next(n for n, one in enumerate(sentence.clauses) if one is clause)
    later = sentence.clauses[place:]
    if any(_torque_in(one) for one in later if one.has(*again) or one is not clause):
        return
    if recheck(scope):
        scope.checked = True


def _checks_nothing_else(clause: Clause) -> bool:
    """Tell "22 N·m, to be checked after 15 minutes" from "check the level after 15 minutes"."""
    if not clause.has("CHECK") or clause.has("RECHECK", "NOT") or _torque_in(clause):
        return False
    own = [clause.tokens[index] for index in clause.own]
    return all(one.means or one.letter not in {"w", "B", "C"} for one in own if one.letter)


def _torque_in(clause: Clause) -> bool:
    return any(
        clause.tokens[index].letter == "Q"
        for item in clause.figures
        for part in item.parts
        for index in part.tokens
    )


def recheck(scope: Scope) -> bool:
    """Add a check of the latest torque; tell whether there was one.

    Parameters
    ----------
    scope : Scope

    Returns
    -------
    bool
    """
    target = scope.draft.last("torque")
    if target is None or not target.certain:
        return False
    stage = target.stage
    scope.add(
        [
            [
                Stage(
                    "torque_check",
                    stage.value,
                    stage.unit,
                    stage.tolerance_low,
                    stage.tolerance_high,
                    check="re_check",
                    value_from=stage.value_from,
                    direction=stage.direction,
                )
            ]
        ]
    )
    scope.draft.slots[-1].fasteners = target.fasteners
    scope.draft.slots[-1].subject = target.subject
    return True
