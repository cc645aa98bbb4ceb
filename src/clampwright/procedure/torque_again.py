"""The same torque once more, in another unit."""

from __future__ import annotations

from fractions import Fraction

from clampwright.procedure.amounts import Amount
from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import figure_of, shown, stage_of
from clampwright.procedure.dual import agreement
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Stage
from clampwright.words import words


def once_more(scope: Scope, clause: Clause, amount: Amount) -> bool:
    """Take a second bracket with the same torque in a third unit; ask when it does not agree.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    amount : Amount

    Returns
    -------
    bool
    """
    last = scope.draft.last()
    if (
        last is None
        or last.kind != "torque"
        or last.sentence not in {clause.sentence, clause.sentence - 1}
        or not last.certain
    ):
        return False
    stage = last.stage
    if stage.value is None or stage.unit is None or amount.unit == stage.unit:
        return False
    told = _told(stage, amount)
    verdict = agreement(told, amount)
    if verdict == "ask" and not clause.inside:
        return False
    if verdict == "ask":
        scope.ask(
            "dual_unit_mismatch",
            words(
                "{first} {unit} and {second} are not the same torque; which one holds?",
                first=shown(stage.value),
                unit=stage.unit,
                second=scope.draft.written(amount.tokens),
            ),
            [[stage], [stage_of("torque", amount, draft=scope.draft)]],
            (*last.tokens, *amount.tokens),
        )
        scope.draft.slots.remove(last)
        return True
    if verdict == "warn":
        scope.draft.warn("dual_unit_mismatch")
    last.change(also=(*stage.also, figure_of(amount)))
    last.extra += amount.tokens
    return True


def _told(stage: Stage, amount: Amount) -> Amount:
    """Return a stage as the amount it was read from, printed as finely as the other figure."""
    value, low, high = (
        None if number is None else Fraction(str(number))
        for number in (stage.value, stage.tolerance_low, stage.tolerance_high)
    )
    ranged = bool(stage.value_from) and amount.from_range
    step = _step(stage.value)
    return Amount("Q", stage.unit or "", value, low, high, step=step, from_range=ranged)


def _step(value: float | None) -> Fraction:
    places = len(str(value).partition(".")[2].rstrip("0")) if value is not None else 0
    return Fraction(1, 10**places)
