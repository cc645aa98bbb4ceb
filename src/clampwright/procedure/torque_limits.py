"""Torques that are limits: put to the stage they limit, measured, or asked about."""

from __future__ import annotations

from clampwright.procedure.amounts import Amount
from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import Draft, Slot, number_of, stage_of
from clampwright.procedure.limits import Bound
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Check
from clampwright.procedure.subjects import same
from clampwright.words import words

_NEAR = 4
"""Stages behind a limit that are looked at for the torque it holds for."""


def limit(scope: Scope, clause: Clause, quantity: Quantity, bound: Bound) -> None:
    """Put a limit to the stage it belongs to, make a check of it, or ask for the target.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity
    bound : Bound
    """
    draft = scope.draft
    amount = quantity.amounts[0].as_limit(low=bound.side == "low")
    draft.mark(quantity.tokens, "used", words("limit"))
    target = draft.last()
    if target is not None and _attaches(scope, clause, target, amount, bound):
        close(target, amount, bound)
        target.extra += quantity.tokens
        return
    place = next(n for n, one in enumerate(scope.sentence.clauses) if one is clause)
    later = scope.sentence.clauses[place + 1 :]
    rising = any(one.has("ROTATING") for one in later) and clause.has("TIGHTEN", "TORQUE")
    if rising:
        note = "minimum, rising until the rotating torque is reached"
        scope.add([[stage_of("torque", amount, draft=draft, note=note)]], tokens=quantity.tokens)
        return
    late = clause.has("FINALVALUE") and not draft.slots
    if late or draft.last("torque", "angle", "snug") is not None:
        check: Check = "final_minimum" if bound.side == "low" else "ceiling"
        stage = stage_of("torque_check", amount, draft=draft, also=quantity.also, check=check)
        slot = scope.add([[stage]], tokens=quantity.tokens)
        if late:  # "the final torque" said first still is measured last
            draft.slots.remove(slot)
            scope.deferred.append(slot)
        return
    _ask_limit(scope, quantity, amount, bound)


def _ask_limit(scope: Scope, quantity: Quantity, amount: Amount, bound: Bound) -> None:
    text = scope.draft.written(quantity.tokens)
    if bound.side == "low":
        why = words("{text} is only a lower limit; what is the target?", text=text)
    else:
        why = words("{text} is only an upper limit; what is the target?", text=text)
    stage = stage_of("torque", amount, draft=scope.draft)
    asked = scope.ask("limit_only", why, [[stage]], quantity.tokens)
    scope.draft.ceilings.append(asked)


def tolerance(scope: Scope, clause: Clause, quantity: Quantity) -> bool:
    """Take "50 N·m, tolerance ± 3 N·m" as limits of the torque before it.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity

    Returns
    -------
    bool
        Whether a tolerance was spoken of.
    """
    draft, amount = scope.draft, quantity.amounts[0]
    ahead = [draft.tokens[i] for i in clause.own if i < quantity.first and draft.tokens[i].letter]
    both_ways = bool(ahead) and ahead[-1].letter == "±"
    if not both_ways and not (ahead and ahead[-1].has("TOLERANCE")):
        return False
    target = draft.last()
    width = number_of(amount.value) or 0.0
    held = target.stage if target is not None and target.certain else None
    known = held is not None and held.kind == "torque" and held.value is not None
    draft.mark(quantity.tokens, "used", words("limit"))
    if target is None or held is None or held.value is None or not known:
        draft.ask(
            "sign_unclear",
            words("{text}: a tolerance of which torque?", text=draft.written(quantity.tokens)),
        )
        return True
    width = width / 100 * held.value if quantity.letter == "%" else width
    alike = quantity.letter == "%" or held.unit == amount.unit
    if not (both_ways and alike and held.tolerance_low is None and width < held.value):
        draft.ask(
            "sign_unclear",
            words(
                "{text}: above, below, or both ways of the torque before it?",
                text=draft.written(quantity.tokens),
            ),
        )
        return True
    target.change(tolerance_low=held.value - width, tolerance_high=held.value + width)
    target.extra += quantity.tokens
    return True


def settle_ceilings(draft: Draft) -> None:
    """Put a limit that was said first to the torque behind it.

    Parameters
    ----------
    draft : Draft
    """
    places = {id(slot): place for place, slot in enumerate(draft.slots)}
    settled: set[int] = set()
    for asked in draft.ceilings:
        place = places.get(id(asked), len(draft.slots))
        behind = draft.slots[place + 1 : place + _NEAR]
        target = next((slot for slot in behind if slot.kind == "torque"), None)
        if target is None or not target.certain or target.sentence > asked.sentence + 1:
            continue
        low, high = asked.stage.tolerance_low, asked.stage.tolerance_high
        held, value = target.stage, target.stage.value
        alike = held.unit == asked.stage.unit and same(asked.subject, target.subject)
        named = asked.subject is None and target.subject is not None
        if named or not alike or value is None or asked.fasteners != target.fasteners:
            continue
        if high is not None and held.tolerance_high is None and value <= high:
            target.change(tolerance_high=high)
        elif low is not None and held.tolerance_low is None and value >= low:
            target.change(tolerance_low=low)
        else:
            continue
        target.extra += asked.tokens
        settled.add(id(asked))
    draft.slots[:] = [slot for slot in draft.slots if id(slot) not in settled]


def open_on(slot: Slot, bound: Bound) -> bool:
    """Tell whether a stage has no limit yet on a side.

    Parameters
    ----------
    slot : Slot
    bound : Bound

    Returns
    -------
    bool
    """
    stage = slot.stage
    return (stage.tolerance_low if bound.side == "low" else stage.tolerance_high) is None


def _attaches(scope: Scope, clause: Clause, target: Slot, amount: Amount, bound: Bound) -> bool:
    """Tell whether a limit belongs to the torque stage just before it."""
    if bound.reached and "if" in clause.leads:
        return False
    stage = target.stage
    same_unit = target.kind == "torque" and stage.unit == amount.unit
    if not same_unit or not open_on(target, bound) or clause.has("FINALVALUE"):
        return False
    if stage.value is None:
        return target.sentence == scope.sentence.number
    limit = number_of(amount.low if bound.side == "low" else amount.high)
    fits = limit is not None and (
        limit <= stage.value if bound.side == "low" else limit >= stage.value
    )
    return fits and target.certain


def close(target: Slot, amount: Amount, bound: Bound) -> None:
    """Add a limit to a stage; two limits without a target make a range.

    Parameters
    ----------
    target : Slot
    amount : Amount
    bound : Bound
    """
    limit = number_of(amount.low if bound.side == "low" else amount.high)
    target.extra += amount.tokens
    target.change(**{"tolerance_low" if bound.side == "low" else "tolerance_high": limit})
    stage = target.stage
    low, high = stage.tolerance_low, stage.tolerance_high
    if stage.value is None and low is not None and high is not None and stage.kind == "torque":
        target.change(value=(low + high) / 2, value_from="range_midpoint", note="")
        target.certain = True
