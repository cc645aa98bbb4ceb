"""Torques that are measured and not set: of bearings, of self-locking nuts, after a while."""

from __future__ import annotations

from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import number_of, stage_of
from clampwright.procedure.limits import Bound
from clampwright.procedure.quantities import Quantity, quantities
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Check
from clampwright.procedure.torque_limits import close, open_on
from clampwright.words import words


def sort_of_check(scope: Scope, clause: Clause, quantity: Quantity) -> Check | None:
    """Return what a torque measures, or None when it is one to set.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity

    Returns
    -------
    str or None
    """
    if _is_rotating(scope, clause) or _goes_on_rotating(scope, clause):
        return "rotating"
    if "until" in clause.leads and clause.has("TURN") and not clause.has("TIGHTEN", "ANGLE"):
        return "rotating"  # "until 2.0-2.6 N·m turns the shaft"
    running = clause.has("RUNNING") or inherits(scope, clause, "RUNNING")
    if running and (not scope.sentence.has("ADD", "PLUS") or _is_added_to_another(scope, quantity)):
        return "running"
    if scope.sentence.has("RUNNING") or _adds_running(scope):
        return None
    again = clause.has("RECHECK", "CHECK") or any(
        inherits(scope, clause, name) for name in ("RECHECK", "CHECK")
    )
    if clause.has("RETIGHTEN") or (clause.inside and inherits(scope, clause, "RETIGHTEN")):
        return "re_check" if _retightened(scope, quantity) else None
    return "re_check" if again and not clause.has("TIGHTEN") else None


def _is_added_to_another(scope: Scope, quantity: Quantity) -> bool:
    """Tell the 5 in "running torque: 5 N·m, to be added to the torque of 45 N·m"."""
    added = [i for one in scope.sentence.clauses for i, token in one.words() if token.has("ADD")]
    later = [
        one
        for clause in scope.sentence.clauses
        for one in quantities(clause)
        if one.letter == "Q" and one.first > quantity.last
    ]
    return any(quantity.last < place < one.first for place in added for one in later)


def _goes_on_rotating(scope: Scope, clause: Clause) -> bool:
    """Tell the figure for used bearings behind "rotating torque 2 N·m (new), 1 N·m (used)"."""
    last = scope.draft.last()
    if last is None or last.stage.check != "rotating" or last.sentence != clause.sentence:
        return False
    told = clause.has("TIGHTEN", "TURN", "LOOSEN", "TORQUE") or "h" in clause.leads
    return scope.sentence.has("USED") and not told


def _adds_running(scope: Scope) -> bool:
    return scope.sentence.has("ROTATING") and scope.sentence.has("ADD")


def _is_rotating(scope: Scope, clause: Clause) -> bool:
    """Tell the resistance of bearings from a bare "preload 15 N·m, then 90°", which is pulled."""
    if scope.sentence.has("ADD") and not scope.sentence.has("RUNNING"):
        return False  # measured to be added to the torque
    if not clause.has("ROTATING"):
        return inherits(scope, clause, "ROTATING")
    if set(clause.values("ROTATING")) != {"preload"}:
        return True
    turned = any(one.letter == "A" for other in scope.sentence.clauses for one in quantities(other))
    return not turned and not clause.has("TIGHTEN")


def _retightened(scope: Scope, quantity: Quantity) -> bool:
    """Tell going over the same torque again after a wait from a new, higher stage."""
    value = number_of(quantity.amounts[0].value)
    driven = any(other.letter == "K" for one in scope.sentence.clauses for other in quantities(one))
    waited = driven
    for slot in reversed(scope.draft.slots):
        if slot.kind in {"loosen", "back_off_then"}:
            return False
        waited = waited or slot.kind == "wait"
        if slot.kind == "torque":
            same = slot.stage.value == value and slot.stage.unit == quantity.amounts[0].unit
            again = scope.clause is not None and scope.clause.has("AFTER")
            return driven or ((waited or again) and same)
    return driven


def inherits(scope: Scope, clause: Clause, name: str) -> bool:
    """Tell whether the clause before, without a figure of its own, was about a check.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    name : str
        Class of the word that is looked for.

    Returns
    -------
    bool
    """
    clauses = scope.sentence.clauses
    place = next((n for n, one in enumerate(clauses) if one is clause), 0)
    if place == 0 or clause.has("TIGHTEN", "TURN", "LOOSEN"):
        return False
    outer = [one for one in clauses[:place] if not one.inside]
    if "r" in clause.leads and outer and name in {"ROTATING", "RUNNING"}:
        return outer[-1].has(name)  # "... is 15 in-lb (used) or 25 in-lb (new)"
    before = clauses[place - 1]
    if "h" in clause.leads and name in {"CHECK", "RECHECK"} and clause.has("TORQUE"):
        return False  # "check the gap, then torque to 9 N·m"
    told = any(scope.draft.tokens[i].letter in set("QL") for i in before.own)
    return before.has(name) and not told


def asked_when(scope: Scope, clause: Clause, quantity: Quantity) -> bool:
    """Ask about "98 N·m after 100 km check again" where no torque was set before.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity
        The torque.

    Returns
    -------
    bool
        Whether it was asked.
    """
    draft = scope.draft
    later = [one for one in quantities(clause) if one.first > quantity.last]
    if not later or later[0].letter not in "HK" or clause.has("TIGHTEN", "RETIGHTEN"):
        return False
    place = clause.place("RECHECK", "CHECK")
    if place is None or place < later[0].first or draft.last("torque") is not None:
        return False
    draft.mark(quantity.tokens, "used", words("torque"))
    draft.mark(later[0].tokens, "used", words("wait before the next stage"))
    check = stage_of(
        "torque_check", quantity.amounts[0], draft=draft, also=quantity.also, check="re_check"
    )
    again = [stage_of("wait", later[0].amounts[0], draft=draft), check]
    target = stage_of("torque", quantity.amounts[0], draft=draft, also=quantity.also)
    scope.ask(
        "sign_unclear",
        words(
            "{text}: is the torque set first and checked later, or only checked?",
            text=draft.written(clause.own),
        ),
        [[target, *again], again],
        quantity.tokens,
    )
    scope.checked = True
    return True


def measure(scope: Scope, quantity: Quantity, check: Check, bound: Bound | None) -> None:
    """Add a torque that is measured, or close the range of the one before it.

    Parameters
    ----------
    scope : Scope
    quantity : Quantity
    check : str
        What it measures.
    bound : Bound or None
    """
    amount = quantity.amounts[0]
    if bound is not None:
        amount = amount.as_limit(low=bound.side == "low")
    scope.draft.mark(quantity.tokens, "used", words("torque to be measured"))
    previous = scope.draft.last("torque_check")
    if (
        bound
        and previous
        and previous.sentence == scope.sentence.number
        and open_on(previous, bound)
    ):
        close(previous, amount, bound)
        return
    scope.add(
        [[stage_of("torque_check", amount, draft=scope.draft, also=quantity.also, check=check)]],
        tokens=quantity.tokens,
    )
    scope.checked = scope.checked or check == "re_check"
