"""Figures with a unit that is no torque: bare pounds and kilograms, forces, quotients."""

from __future__ import annotations

from dataclasses import replace

from clampwright.procedure.amounts import in_unit
from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import stage_of
from clampwright.procedure.physical import not_physical, note_oddities
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.procedure.unit_text import UnitText
from clampwright.words import words

MORE_LIKELY = ("TIGHTEN", "TORQUE", "RETIGHTEN", "SNUG")


def asked_unit(scope: Scope, clause: Clause, quantity: Quantity) -> None:
    """Ask about a figure whose unit is a bare pound or kilogram, a force, or a quotient.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity
    """
    draft = scope.draft
    amount = quantity.amounts[0]
    text = draft.written(quantity.tokens)
    measured = clause.has("WHATEVER", "UNSUPPORTED", "LUBE") or not amount.readings
    torque_near = any(other.letter == "Q" for other in _quantities_of(scope))
    if measured or (torque_near and not clause.has(*MORE_LIKELY, "TURN")):
        draft.mark(quantity.tokens, "other", words("weight or force"))
        return
    if not_physical(scope, quantity):
        return
    note_oddities(scope, quantity)
    draft.mark(quantity.tokens, "used", words("figure without a torque unit"))
    readings = [
        in_unit(replace(amount, written_unit=""), UnitText("Q", name, 0))
        for name in amount.readings
    ]
    options = [[stage_of("torque", one, draft=draft)] for one in readings]
    pound = "ft·lbf" in amount.readings
    if _is_quotient(scope, quantity):
        scope.ask(
            "wrong_unit",
            words("{text}: a unit with a slash is no torque; which one is meant?", text=text),
            options,
            quantity.tokens,
        )
    elif pound:
        scope.ask(
            "lbs_without_length",
            words("{text}: pounds are a force; feet or inches are missing", text=text),
            options,
            quantity.tokens,
        )
    else:
        scope.ask(
            "force_without_radius",
            words("{text}: this is a force; the length of the lever is missing", text=text),
            options,
            quantity.tokens,
        )


def _is_quotient(scope: Scope, quantity: Quantity) -> bool:
    return any(
        unit is not None and unit.oddity == "quotient"
        for unit in (scope.draft.tokens[index].unit for index in quantity.tokens)
    )


def _quantities_of(scope: Scope) -> list[Quantity]:
    from clampwright.procedure.quantities import quantities  # noqa: PLC0415 - as used

    return [found for clause in scope.sentence.clauses for found in quantities(clause)]
