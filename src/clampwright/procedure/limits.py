"""Figures that are limits and not targets: max., at least, must not exceed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.procedure.tokens import Token

Side = Literal["low", "high"]


@dataclass(frozen=True, slots=True)
class Bound:
    """Which side a figure limits.

    Parameters
    ----------
    side : str
        ``low`` or ``high``.
    reached : bool
        Whether the text speaks of the figure being passed ("if 150 N·m is exceeded").
    """

    side: Side
    reached: bool = False


def bound_of(scope: Scope, quantity: Quantity, others: Sequence[Quantity]) -> Bound | None:
    """Return which side a figure limits, or None when it is a target.

    Parameters
    ----------
    scope : Scope
    quantity : Quantity
    others : sequence of Quantity
        All quantities of the clause.

    Returns
    -------
    Bound or None
    """
    tokens = scope.draft.tokens
    ahead = scope.before(quantity, others)
    found = _in_front(tokens, ahead, first=not any(o.last < quantity.first for o in others))
    if found is None:
        found = _behind(scope, quantity, others)
    return found


def _in_front(tokens: Sequence[Token], ahead: Sequence[int], *, first: bool) -> Bound | None:
    if not first and ahead and tokens[ahead[0]].has("MAX", "MIN") and _directly(tokens, ahead):
        ahead = ahead[1:]  # "12 N·m max": the word belongs to the figure before it
    negated = False
    for index in ahead:
        token = tokens[index]
        negated = negated or token.has("NOT", "WITHOUT")
        if bound := _word(token, negated=negated):
            return bound
    return None


def _directly(tokens: Sequence[Token], ahead: Sequence[int]) -> bool:
    return len([index for index in ahead if tokens[index].letter]) == 1


def _word(token: Token, *, negated: bool) -> Bound | None:
    if token.has("MAX"):
        return Bound("high")
    if token.has("MIN"):
        return Bound("low")
    if token.has("EXCEED"):
        return Bound("high", reached=not negated)
    if token.has("BELOW"):
        return Bound("low", reached=not negated)
    return None


def _behind(scope: Scope, quantity: Quantity, others: Sequence[Quantity]) -> Bound | None:
    tokens = scope.draft.tokens
    trail = scope.behind(quantity, others)
    last = not any(other.first > quantity.last for other in others)
    negated = scope.any(trail, "NOT")
    for place, index in enumerate(trail):
        bound = _word(tokens[index], negated=negated)
        if bound is None:
            continue
        if place == 0 or (last and tokens[index].has("EXCEED", "BELOW")):
            if not last and not _closes(tokens, trail):
                return None
            return bound
    return None


def _closes(tokens: Sequence[Token], trail: Sequence[int]) -> bool:
    return len([index for index in trail if tokens[index].letter]) <= 1
