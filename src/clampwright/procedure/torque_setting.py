"""The setting of a wrench with an adapter, beside the torque it gives."""

from __future__ import annotations

from clampwright.procedure.clauses import Clause, Sentence
from clampwright.procedure.draft import number_of
from clampwright.procedure.quantities import Quantity, quantities
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import WrenchSetting
from clampwright.words import words


def speaks_of_setting(scope: Scope, clause: Clause) -> bool:
    """Tell whether a clause, or the words before its colon, name the setting of a wrench.

    Parameters
    ----------
    scope : Scope
    clause : Clause

    Returns
    -------
    bool
    """
    if clause.has("SETTOOL") or ":" not in clause.leads:
        return clause.has("SETTOOL")
    place = next(n for n, one in enumerate(scope.sentence.clauses) if one is clause)
    before = scope.sentence.clauses[place - 1] if place else None
    return before is not None and before.has("SETTOOL") and not before.figures


def is_setting(scope: Scope, clause: Clause, quantity: Quantity) -> bool:
    """Take a wrench setting as such; "set the wrench to 40 N·m" without a torque is the torque.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity

    Returns
    -------
    bool
    """
    draft = scope.draft
    target = draft.last("torque")
    neighbours = [c for c in scope.sentence.clauses if c is not clause]
    fitted = clause.has("ADAPTER") or any(c.has("ADAPTER") for c in neighbours)
    elsewhere = target is None or target.sentence != clause.sentence
    if fitted and elsewhere and _setting_first(scope, quantity):
        return True
    if target is None or (elsewhere and not fitted):
        return False
    amount = quantity.amounts[0]
    value = number_of(amount.value)
    if value is None or not target.certain:
        return False
    words_of_fitting = [i for c in (clause, *neighbours) for i, t in c.words() if t.has("ADAPTER")]
    setting = WrenchSetting(value, amount.unit, draft.written(words_of_fitting))
    target.change(wrench_setting=setting)
    target.extra += quantity.tokens
    draft.mark(quantity.tokens, "used", words("wrench setting"))
    return True


def _names_the_torque(following: Sentence) -> bool:
    """Tell "Tightening torque 70 N·m" from the next piece of work."""
    work = ("THEN", "TO", "FASTENER", "OTHERS", "TURN", "LOOSEN", "STEP")
    return following.has("TORQUE") and not following.has(*work)


def _setting_first(scope: Scope, quantity: Quantity) -> bool:
    """Keep a setting named before the torque it gives: "set 72 to obtain 80 N·m at the nut"."""
    following = scope.following
    clauses = list(scope.sentence.clauses)
    if following is not None and (following.has("GIVES") or _names_the_torque(following)):
        clauses += following.clauses
    later = any(
        other.letter == "Q" and other.first > quantity.last
        for one in clauses
        for other in quantities(one)
    )
    value = number_of(quantity.amounts[0].value)
    if not later or value is None or scope.setting is not None:
        return False
    scope.setting = WrenchSetting(value, quantity.amounts[0].unit)
    scope.draft.mark(quantity.tokens, "used", words("wrench setting"))
    return True
