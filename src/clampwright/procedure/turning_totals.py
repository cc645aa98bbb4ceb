"""Angles in total: what is missing, what adds up, and what may be a running total."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import Slot, shown, stage_of
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Stage
from clampwright.procedure.syntax import Item
from clampwright.words import words

LEAST_REST_DEG = 15.0
"""A running total that leaves less than this to turn is not asked about; our own choice."""


def add_rest(scope: Scope, quantity: Quantity) -> bool:
    """Take an angle in total: what is missing to it, or nothing when it is the sum already.

    Parameters
    ----------
    scope : Scope
    quantity : Quantity

    Returns
    -------
    bool
    """
    draft = scope.draft
    amount = quantity.amounts[0]
    done = Fraction(0)
    same = _says_the_same(scope)
    for slot in reversed(draft.slots):
        if slot.kind == "snug" and slot.sentence == scope.sentence.number:
            continue  # "in total 150°, counted from snug"
        if slot.kind != "angle" or not slot.certain or slot.stage.unit != amount.unit:
            break
        done += Fraction(str(slot.stage.value or 0))
    if done == 0 or amount.value is None:
        return False
    if amount.value == done:
        return True
    if same:
        draft.ask(
            "conflicting_instructions",
            words(
                "{text} in total, but the angles stated come to {sum} {unit}; which one holds?",
                text=draft.written(amount.tokens),
                sum=shown(done),
                unit=amount.unit,
            ),
        )
        return True
    if amount.value < done:
        draft.ask(
            "conflicting_instructions",
            words(
                "{text} in total is less than the {sum} {unit} stated before",
                text=draft.written(amount.tokens),
                sum=shown(done),
                unit=amount.unit,
            ),
        )
        return True
    rest = replace(amount, value=amount.value - done, written_unit=amount.unit)
    note = "what is missing to the stated total"
    scope.add(
        [[stage_of("angle", rest, draft=draft, note=note)]], tokens=quantity.tokens, explicit=True
    )
    return True


def _says_the_same(scope: Scope) -> bool:
    """Tell "90° (180° in total)" from "90°, then 180° in total", which turns once more."""
    clause = scope.clause
    if clause is None:
        return False
    last = scope.draft.last()
    if clause.inside:
        return last is not None and last.sentence == clause.sentence
    return last is not None and bool(last.tokens) and last.tokens[0] in clause.own


def settle_total(scope: Scope) -> None:
    """Drop "180° in total" said first, once its parts are there; ask when they do not add up.

    Parameters
    ----------
    scope : Scope
    """
    total = scope.total
    if total is None or total not in scope.draft.slots:
        return
    place = scope.draft.slots.index(total)
    parts = [slot.stage.angle_deg or 0.0 for slot in scope.draft.slots[place + 1 :]]
    whole = total.stage.angle_deg or 0.0
    if abs(sum(parts) - whole) < 0.5:
        scope.draft.slots.remove(total)
        scope.total = None
    elif sum(parts) > whole:
        scope.total = None
        scope.draft.ask(
            "conflicting_instructions",
            words("the angles stated do not add up to {whole:g}° in total", whole=whole),
        )


def clock(scope: Scope, _clause: Clause, item: Item) -> None:
    """Take a turn from one hour of the clock to another: 30 degrees to the hour.

    Parameters
    ----------
    scope : Scope
    _clause : Clause
        Not needed; all phrases are taken the same way.
    item : Item
    """
    draft = scope.draft
    hours = [
        token.number.value
        for token in (draft.tokens[index] for index in item.tokens)
        if token.number is not None
    ]
    clock_turn(scope, item.tokens, hours)


def clock_hours(clause: Clause, quantity: Quantity) -> list[Fraction]:
    """Return the hours of "turn from 6 h to 9 h"; none where times are meant.

    Parameters
    ----------
    clause : Clause
    quantity : Quantity
        Of hours.

    Returns
    -------
    list of Fraction
    """
    amount = quantity.amounts[0]
    turned = clause.has("TURN") and not clause.has("WAIT", "CHECK", "RECHECK")
    if not (turned and amount.from_range and amount.written_unit == "h"):
        return []
    numbers = [clause.tokens[index].number for index in amount.tokens]
    return [number.value for number in numbers if number is not None]


def clock_turn(scope: Scope, tokens: Sequence[int], hours: Sequence[Fraction]) -> None:
    """Add the turn from one hour of the clock to another.

    Parameters
    ----------
    scope : Scope
    tokens : sequence of int
        Where it stands.
    hours : sequence of Fraction
        Two whole hours from 1 to 12, else it is asked about.
    """
    draft = scope.draft
    draft.mark(tokens, "used", words("angle by the clock"))
    if len(hours) != 2 or any(hour.denominator != 1 or not 1 <= hour <= 12 for hour in hours):
        draft.ask(
            "unexpected_text",
            words("{text}: no turn on a clock face", text=draft.written(tokens)),
        )
        return
    degrees = (hours[1] - hours[0]) % 12 * 30
    if degrees == 0:
        degrees = Fraction(360)
    stage = Stage(
        "angle", float(degrees), "deg", as_written=draft.written(tokens), note="by the clock"
    )
    scope.add([[stage]], tokens=tokens, explicit=True)


def ask_cumulative(draft_slots: list[Slot]) -> list[tuple[Slot, Slot]]:
    """Return the pairs of angle stages of which the later may be a running total.

    Parameters
    ----------
    draft_slots : list of Slot

    Returns
    -------
    list of tuple of Slot
        Earlier and later.
    """
    pairs = []
    for earlier, later in pairwise(draft_slots):
        if not (earlier.kind == later.kind == "angle" and earlier.certain and later.certain):
            continue
        if later.explicit or earlier.stage.fasteners != later.stage.fasteners:
            continue
        first, second = earlier.stage.angle_deg, later.stage.angle_deg
        if first is not None and second is not None and second - first >= LEAST_REST_DEG:
            pairs.append((earlier, later))
    return pairs


def running_total(earlier: Slot, later: Slot) -> list[list[Stage]]:
    """Return both readings of a later angle: further, or in total.

    Parameters
    ----------
    earlier, later : Slot

    Returns
    -------
    list of list of Stage
    """
    stage = later.stage
    first, second = earlier.stage.angle_deg, stage.angle_deg
    if first is None or second is None:
        return [[stage]]
    rest = second - first
    unit = stage.unit
    if unit == "turn" and earlier.stage.unit == "turn":
        value: float = (stage.value or 0.0) - (earlier.stage.value or 0.0)
    else:
        value, unit = rest, "deg"
    missing = replace(
        stage, value=value, unit=unit, also=(), tolerance_low=None, tolerance_high=None
    )
    return [[stage], [missing]]
