"""A torque beside a turn: before it, instead of it, or a limit to it."""

from __future__ import annotations

from collections.abc import Sequence

from clampwright.procedure.clauses import Clause
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Stage
from clampwright.words import words


def before_turn(scope: Scope, ahead: Sequence[int]) -> int | None:
    """Return the place of the torque in "turn 60°, after tightening to 35 N·m".

    Parameters
    ----------
    scope : Scope
    ahead : sequence of int
        Words before the torque.

    Returns
    -------
    int or None
    """
    starts = any(scope.draft.tokens[i].value("REFERENCE") == "start" for i in ahead)
    if not starts and not scope.any(ahead, "AFTER"):
        return None
    place = len(scope.draft.slots)
    for slot in reversed(scope.new_slots):
        if slot.kind != "angle":
            break
        place -= 1
    return place if place < len(scope.draft.slots) else None


def instead_of_turn(scope: Scope, clause: Clause, stage: Stage, quantity: Quantity) -> bool:
    """Ask about "½ turn after contact, 15 N·m": one or the other; tell whether it was asked.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    stage : Stage
        The torque.
    quantity : Quantity

    Returns
    -------
    bool
    """
    new, driven = scope.new_slots, ("TIGHTEN", "RETIGHTEN", "THEN", "SNUG", "AFTER", "PLUS")
    if [slot.kind for slot in new] != ["snug", "angle"] or clause.has(*driven):
        return False
    turn = new[-1]
    if clause.leads & {"h", "+", ">", "a"} or not turn.certain or turn.subject != scope.subject:
        return False
    turn.options, turn.certain = [[turn.stage], [stage]], False
    turn.extra += quantity.tokens
    turn.question = (
        "variant_choice",
        words("a turn after contact and a torque beside it: which one holds?"),
    )
    return True


def limits_the_turn(scope: Scope, quantity: Quantity) -> bool:
    """Tell whether "15-20 ft-lb max" stands behind a turn, which it may limit.

    Parameters
    ----------
    scope : Scope
    quantity : Quantity

    Returns
    -------
    bool
    """
    last = scope.draft.last()
    if last is None or last.kind != "angle" or last.sentence != scope.sentence.number:
        return False
    near = scope.draft.tokens
    behind = [token for token in near[quantity.last + 1 : quantity.last + 4] if token.letter][:1]
    ahead = [token for token in near[max(0, quantity.first - 4) : quantity.first] if token.letter]
    return any(token.has("MAX", "MIN") for token in (*behind, *ahead[-1:]))
