"""Figures that no fastener can be tightened to, and figures of an odd form."""

from __future__ import annotations

from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.words import words


def not_physical(scope: Scope, quantity: Quantity) -> bool:
    """Refuse what is negative, zero or not finite; tell whether that was the case.

    Parameters
    ----------
    scope : Scope
    quantity : Quantity

    Returns
    -------
    bool
    """
    for amount in (*quantity.amounts, *quantity.also):
        text = scope.draft.written(amount.tokens)
        if "not_finite" in amount.oddities:
            scope.draft.not_physical = words("{text}: values must be finite numbers", text=text)
        elif amount.value is not None and amount.value <= 0:
            scope.draft.not_physical = words(
                "{text}: a tightening torque, angle or stretch must be above zero", text=text
            )
        elif amount.low is not None and amount.low < 0 and "lost_sign" not in amount.oddities:
            scope.draft.not_physical = words("{text}: a limit cannot be below zero", text=text)
        else:
            continue
        scope.draft.mark(quantity.tokens, "reported", words("not a physical value"))
        return True
    return False


def note_oddities(scope: Scope, quantity: Quantity) -> None:
    """Warn of what is odd about the form of a figure that is used.

    Parameters
    ----------
    scope : Scope
    quantity : Quantity
    """
    for amount in (*quantity.amounts, *quantity.also):
        if "letters" in amount.oddities:
            scope.draft.warn("ocr_suspect")
        if "reversed" in amount.oddities:
            scope.draft.warn("range_reversed")
        if amount.letter in "QA" and amount.oddities & {"thousands", "foreign_mark"}:
            scope.draft.warn("number_format")
