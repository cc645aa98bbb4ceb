"""Questions a torque can raise, with the readings to choose from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Literal

from clampwright.procedure.amounts import Amount
from clampwright.procedure.draft import Slot, number_of, shown, stage_of
from clampwright.procedure.dual import agreement, likely_slip
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope, with_value
from clampwright.procedure.stage import Stage
from clampwright.words import words


def ask_format(scope: Scope, amount: Amount) -> None:
    """Ask whether a mark is a decimal or a thousands mark.

    Parameters
    ----------
    scope : Scope
    amount : Amount
    """
    draft = scope.draft
    other = replace(amount, value=amount.other, other=None)
    scope.ask(
        "number_format",
        words(
            "without a known language, {text} may be {first} or {second}",
            text=draft.written(amount.tokens),
            first=shown(amount.value),
            second=shown(amount.other),
        ),
        [[stage_of("torque", one, draft=draft)] for one in (amount, other)],
        amount.tokens,
    )


def ask_spaced(scope: Scope, amount: Amount, kind: Literal["torque", "angle"] = "torque") -> None:
    """Ask about digits with spaces between them.

    Parameters
    ----------
    scope : Scope
    amount : Amount
    kind : str
        ``torque`` or ``angle``.
    """
    scope.ask(
        "ocr_suspect",
        words(
            "{text}: spaces between the digits; is {value} meant, or is a point missing?",
            text=scope.draft.written(amount.tokens),
            value=shown(amount.value),
        ),
        [[stage_of(kind, amount, draft=scope.draft)]],
        amount.tokens,
    )


def ask_lost_sign(scope: Scope, amount: Amount) -> None:
    """Ask about "35 5 N·m": a sign between the two numbers is lost.

    Parameters
    ----------
    scope : Scope
    amount : Amount
    """
    text = scope.draft.written(amount.tokens)
    why = words("{text}: something is missing between the two numbers", text=text)
    value, low = amount.value, amount.low
    if value is None or low is None or low <= value / 2:
        scope.draft.ask("sign_unclear", why)
        return
    scope.ask("sign_unclear", why, [[stage_of("torque", amount, draft=scope.draft)]], amount.tokens)


def ask_sign(scope: Scope, amount: Amount) -> None:
    """Ask about "50+5 N·m" and "50 -5 N·m".

    Parameters
    ----------
    scope : Scope
    amount : Amount
    """
    draft = scope.draft
    value, low, high = amount.value, amount.low, amount.high
    if value is None or low is None or high is None:
        return
    width = max(high - value, value - low)
    both = replace(amount, low=value - width, high=value + width)
    text = draft.written(amount.tokens)
    scope.ask(
        "sign_unclear",
        words("{text}: is this a tolerance upwards only, or plus and minus?", text=text)
        if low == value
        else words("{text}: is this a tolerance downwards only, or plus and minus?", text=text),
        [[stage_of("torque", one, draft=draft)] for one in (amount, both)],
        amount.tokens,
    )


def disagree(scope: Scope, amount: Amount, also: Sequence[Amount]) -> bool:
    """Ask when the figures for one torque differ too much; tell whether it was asked.

    Parameters
    ----------
    scope : Scope
    amount : Amount
    also : sequence of Amount

    Returns
    -------
    bool
    """
    draft = scope.draft
    verdicts = [agreement(amount, other) for other in also]
    if "warn" in verdicts:
        draft.warn("dual_unit_mismatch")
    if "ask" not in verdicts:
        return False
    odd = also[verdicts.index("ask")]
    options = [amount, *also]
    slip = likely_slip(amount, odd)
    if slip is not None:
        options.insert(1, slip)
    scope.ask(
        "dual_unit_mismatch",
        words(
            "{first} and {second} are not the same torque: {first_value} {unit} would be"
            " {converted:.3g} {other_unit}. Which one holds?",
            first=draft.written(amount.tokens),
            second=draft.written(odd.tokens),
            first_value=shown(amount.value),
            unit=amount.unit,
            converted=_converted(amount, odd),
            other_unit=odd.unit,
        ),
        [[stage_of("torque", one, draft=draft)] for one in options],
        amount.tokens,
    )
    return True


def _converted(amount: Amount, other: Amount) -> float:
    from clampwright.units import factor  # noqa: PLC0415 - only for a question

    value = number_of(amount.value if amount.value is not None else amount.high) or 0.0
    return value * factor(amount.unit, other.unit)


def ask_further(scope: Scope, amount: Amount, previous: Slot) -> None:
    """Ask whether "20 N·m more" is added to the torque before.

    Parameters
    ----------
    scope : Scope
    amount : Amount
    previous : Slot
    """
    draft = scope.draft
    same = previous.stage.unit == amount.unit
    options: list[list[Stage]] = []
    if same and previous.stage.value is not None and amount.value is not None:
        total = with_value(amount, amount.value + Fraction(str(previous.stage.value)))
        options.append([stage_of("torque", total, draft=draft)])
    options.append([stage_of("torque", amount, draft=draft)])
    scope.ask(
        "cumulative_or_further",
        words(
            "{text} more: raise the torque by that much, or go round again at that torque?",
            text=draft.written(amount.tokens),
        ),
        options,
        amount.tokens,
    )


def ask_more_than_what(scope: Scope, amount: Amount) -> None:
    """Ask about "an additional 15 N·m" when no torque stands before it.

    Parameters
    ----------
    scope : Scope
    amount : Amount
    """
    scope.draft.ask(
        "cumulative_or_further",
        words(
            "{text} more, but no torque stands before it: more than what?",
            text=scope.draft.written(amount.tokens),
        ),
    )


def ask_range_at_turn(scope: Scope, amount: Amount) -> None:
    """Ask about "3/4 turn, 15-20 ft-lb max": a limit on the turn, or a torque of its own.

    Parameters
    ----------
    scope : Scope
    amount : Amount
    """
    limits = replace(amount, value=None, from_range=False)
    scope.ask(
        "limit_only",
        words(
            "{text} behind a turn: a limit that the turn must not pass, or a torque to tighten to?",
            text=scope.draft.written(amount.tokens),
        ),
        [
            [stage_of("torque_check", limits, draft=scope.draft, check="ceiling")],
            [stage_of("torque", amount, draft=scope.draft)],
        ],
        amount.tokens,
    )


def ask_run_together(scope: Scope, amount: Amount) -> bool:
    """Ask about "20Nm30Nm", where what stood between is lost; tell whether it was asked.

    Parameters
    ----------
    scope : Scope
    amount : Amount

    Returns
    -------
    bool
    """
    draft, first = scope.draft, min(amount.tokens)
    last = draft.last()
    if first == 0 or draft.tokens[first].start != draft.tokens[first - 1].end:
        return False
    if draft.tokens[first - 1].letter not in {"Q", "A"} or last is None or not last.certain:
        return False
    stage = stage_of("torque", amount, draft=draft)
    options = [[stage]]
    earlier = last.stage
    if earlier.kind == "torque" and earlier.unit == stage.unit and earlier.tolerance_low is None:
        low, high = earlier.value, stage.value
        if low is not None and high is not None and low < high:
            ranged = replace(
                stage,
                value=(low + high) / 2,
                tolerance_low=low,
                tolerance_high=high,
                value_from="range_midpoint",
            )
            options = [[earlier, stage], [ranged]]
            draft.slots.remove(last)
    scope.ask(
        "sign_unclear",
        words(
            "{text}: nothing stands between two figures; is a sign or a space lost?",
            text=draft.written([*last.tokens, *amount.tokens]),
        ),
        options,
        (*last.tokens, *amount.tokens),
    )
    return True


def reduced(scope: Scope, quantity: Quantity) -> bool:
    """Ask whether a reduction by a percentage holds; tell whether there is a torque to reduce.

    Parameters
    ----------
    scope : Scope
    quantity : Quantity

    Returns
    -------
    bool
    """
    draft = scope.draft
    target = draft.last("torque")
    percent = quantity.amounts[0].value
    if target is None or not target.certain or target.stage.value is None or percent is None:
        return False
    stage = target.stage
    rest = Fraction(str(stage.value)) * (100 - percent) / 100
    if rest <= 0:
        return False
    less = replace_value(stage, number_of(rest))
    target.options, target.certain = [[stage], [less]], False
    target.question = (
        "variant_choice",
        words(
            "the torque is {first} {unit}, or {second} {unit} when reduced; which one holds?",
            first=shown(stage.value),
            second=shown(rest),
            unit=stage.unit or "",
        ),
    )
    draft.mark(quantity.tokens, "used", words("reduction"))
    draft.lubrication[:] = [c for c in draft.lubrication if c != "dry" and c[:4] != "oil_"]
    return True


def replace_value(stage: Stage, value: float | None) -> Stage:
    """Return a stage with another value and nothing that went with the old one.

    Parameters
    ----------
    stage : Stage
    value : float or None

    Returns
    -------
    Stage
    """
    return replace(stage, value=value, tolerance_low=None, tolerance_high=None, also=())
