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
    ahead = [*_heading(scope, quantity, others), *scope.before(quantity, others)]
    conditional = scope.clause is not None and "if" in scope.clause.leads
    first = not any(other.last < quantity.first for other in others)
    if (between := _limits_the_one_before(tokens, ahead, quantity, others)) is not None:
        return between
    found = _in_front(tokens, ahead, first=first, conditional=conditional)
    if found is None and not _limits_the_next(tokens, scope, quantity, others):
        found = _behind(scope, quantity, others, conditional=conditional)
    return found


def _limits_the_one_before(
    tokens: Sequence[Token],
    ahead: Sequence[int],
    quantity: Quantity,
    others: Sequence[Quantity],
) -> Bound | None:
    """Return the side of the second figure in "22 N·m min. 20 N·m", where its size tells."""
    earlier = [other for other in others if other.last < quantity.first]
    spoken = [index for index in ahead if tokens[index].letter]
    if not earlier or len(spoken) != 1:
        return None
    target, limit = earlier[-1].amounts[0], quantity.amounts[0]
    if target.unit != limit.unit or None in {target.value, limit.value}:
        return None
    token = tokens[spoken[0]]
    less = (limit.value or 0) < (target.value or 0)
    if token.has("MIN") and less:
        return Bound("low")
    return Bound("high") if token.has("MAX") and not less else None


def _limits_the_next(
    tokens: Sequence[Token], scope: Scope, quantity: Quantity, others: Sequence[Quantity]
) -> bool:
    """Tell whether the limit word behind a figure belongs to the next one."""
    later = [other for other in others if other.first > quantity.last][:1]
    if not later:
        return False
    between = scope.behind(quantity, others)
    return _limits_the_one_before(tokens, between, later[0], [quantity]) is not None


def _heading(scope: Scope, quantity: Quantity, others: Sequence[Quantity]) -> list[int]:
    """Return the words before the colon in "maximum torque: 12 N·m"."""
    clause = scope.clause
    if clause is None or not clause.leads & {":", "|"}:
        return []
    if any(other.last < quantity.first for other in others):
        return []
    place = next((n for n, one in enumerate(scope.sentence.clauses) if one is clause), 0)
    before = scope.sentence.clauses[place - 1] if place else None
    limits = before is not None and before.has("MAX", "MIN") and not before.figures
    return list(before.own) if before is not None and limits and not before.inside else []


def _in_front(
    tokens: Sequence[Token], ahead: Sequence[int], *, first: bool, conditional: bool
) -> Bound | None:
    if not first and ahead and tokens[ahead[0]].has("MAX", "MIN") and _directly(tokens, ahead):
        ahead = ahead[1:]  # "12 N·m max": the word belongs to the figure before it
    negated = False
    near = [index for index in ahead if tokens[index].letter][-4:]
    for index in ahead:
        token = tokens[index]
        negated = negated or token.has("NOT", "WITHOUT")
        if index not in near or (token.has("EXCEED", "BELOW") and index not in near[-2:]):
            continue
        if token.has("EXCEED") and index != near[-1] and not tokens[near[-1]].has("TO"):
            continue
        if bound := _word(token, negated=negated, conditional=conditional):
            return bound
    return None


def _directly(tokens: Sequence[Token], ahead: Sequence[int]) -> bool:
    return len([index for index in ahead if tokens[index].letter]) == 1


def _word(token: Token, *, negated: bool, conditional: bool) -> Bound | None:
    if token.has("MAX"):
        return Bound("high")
    if token.has("MIN"):
        return Bound("low")
    above = token.has("EXCEED")
    if not above and not token.has("BELOW"):
        return None
    if conditional and not negated:  # "if 150 N·m is exceeded"
        return Bound("high" if above else "low", reached=True)
    # "must not exceed" is an upper limit, "must exceed" a lower one.
    return Bound("high" if above == negated else "low")


def _behind(
    scope: Scope, quantity: Quantity, others: Sequence[Quantity], *, conditional: bool
) -> Bound | None:
    tokens = scope.draft.tokens
    trail = scope.behind(quantity, others)
    last = not any(other.first > quantity.last for other in others)
    negated = scope.any(trail, "NOT")
    for place, index in enumerate([index for index in trail if tokens[index].letter]):
        bound = _word(tokens[index], negated=negated, conditional=conditional)
        if bound is None:
            continue
        verb = tokens[index].has("EXCEED", "BELOW")
        if verb and any(tokens[later].letter for later in trail if later > index):
            return None  # "½ turn beyond finger tight"
        if place == 0 or (last and verb):
            if not last and not _closes(tokens, trail):
                return None
            return bound
    return None


def _closes(tokens: Sequence[Token], trail: Sequence[int]) -> bool:
    return len([index for index in trail if tokens[index].letter]) <= 1
