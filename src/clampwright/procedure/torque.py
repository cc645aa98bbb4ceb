"""What a torque in the text is: a target, a limit, a check, a wrench setting, or a question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from clampwright.procedure.amounts import Amount, in_unit
from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import Slot, figure_of, number_of, shown, stage_of
from clampwright.procedure.dual import agreement, likely_slip
from clampwright.procedure.limits import Bound, bound_of
from clampwright.procedure.plausible import doubt
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope, with_value
from clampwright.procedure.stage import Check, Stage, WrenchSetting
from clampwright.procedure.unit_text import UnitText
from clampwright.words import words

MORE_LIKELY = ("TIGHTEN", "TORQUE", "RETIGHTEN", "SNUG")


def torque(scope: Scope, clause: Clause, quantity: Quantity, others: Sequence[Quantity]) -> None:
    """Find the place of a torque in the procedure.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity
    others : sequence of Quantity
        All quantities of the clause.
    """
    draft = scope.draft
    if not_physical(scope, quantity):
        return
    note_oddities(scope, quantity)
    ahead = scope.before(quantity, others)
    bound = None if quantity.amounts[0].low is not None else bound_of(scope, quantity, others)
    if clause.has("SETTOOL") and _is_setting(scope, clause, quantity):
        return
    if "while" in clause.leads and not clause.has("TIGHTEN"):
        draft.mark(quantity.tokens, "other", words("condition while tightening"))
        return
    if check := _sort_of_check(scope, clause, quantity):
        _check(scope, quantity, check, bound)
        return
    if bound is not None:
        _limit(scope, clause, quantity, bound)
        return
    if _forbidden(clause):
        draft.mark(quantity.tokens, "reported", words("in a prohibition"))
        draft.ask(
            "unexpected_text",
            words("{text}: what is forbidden here?", text=draft.written(clause.own)),
        )
        return
    _target(scope, clause, quantity, ahead)


def not_physical(scope: Scope, quantity: Quantity) -> bool:
    """Refuse what is negative, zero or not finite; tell whether that was the case."""
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
    """Warn of what is odd about the form of a figure that is used."""
    for amount in (*quantity.amounts, *quantity.also):
        if "letters" in amount.oddities:
            scope.draft.warn("ocr_suspect")
        if "reversed" in amount.oddities:
            scope.draft.warn("range_reversed")
        if amount.letter in "QA" and amount.oddities & {"thousands", "foreign_mark"}:
            scope.draft.warn("number_format")


def _is_setting(scope: Scope, clause: Clause, quantity: Quantity) -> bool:
    """Take a wrench setting as such; "set the wrench to 40 N·m" without a torque is the torque."""
    draft = scope.draft
    target = draft.last("torque")
    neighbours = [c for c in scope.sentence.clauses if c is not clause]
    fitted = clause.has("ADAPTER") or any(c.has("ADAPTER") for c in neighbours)
    if target is None or (target.sentence != clause.sentence and not fitted):
        return False
    amount = quantity.amounts[0]
    value = number_of(amount.value)
    if value is None or not target.certain:
        return False
    words_of_fitting = [i for c in (clause, *neighbours) for i, t in c.words() if t.has("ADAPTER")]
    setting = WrenchSetting(value, amount.unit, draft.written(words_of_fitting))
    target.change(wrench_setting=setting)
    draft.mark(quantity.tokens, "used", words("wrench setting"))
    return True


def _sort_of_check(scope: Scope, clause: Clause, quantity: Quantity) -> Check | None:
    if clause.has("ROTATING") or _inherits(scope, clause, "ROTATING"):
        return "rotating"
    running = clause.has("RUNNING") or _inherits(scope, clause, "RUNNING")
    if running and not scope.sentence.has("ADD", "PLUS"):
        return "running"
    if scope.sentence.has("RUNNING"):
        return None
    again = clause.has("RECHECK", "CHECK") or any(
        _inherits(scope, clause, name) for name in ("RECHECK", "CHECK")
    )
    if clause.has("RETIGHTEN"):
        return "re_check" if _retightened(scope, quantity) else None
    return "re_check" if again and not clause.has("TIGHTEN") else None


def _retightened(scope: Scope, quantity: Quantity) -> bool:
    """Tell going over the same torque again after a wait from a new, higher stage."""
    value = number_of(quantity.amounts[0].value)
    driven = any(
        slot.kind == "wait" and slot.stage.unit in {"km", "mi"} for slot in scope.new_slots
    )
    waited = driven
    for slot in reversed(scope.draft.slots):
        if slot.kind in {"loosen", "back_off_then"}:
            return False
        waited = waited or slot.kind == "wait"
        if slot.kind == "torque":
            same = slot.stage.value == value and slot.stage.unit == quantity.amounts[0].unit
            return driven or (waited and same)
    return driven


def _inherits(scope: Scope, clause: Clause, name: str) -> bool:
    """Tell whether the clause before, without a figure of its own, was about a check."""
    clauses = scope.sentence.clauses
    place = next((n for n, one in enumerate(clauses) if one is clause), 0)
    if place == 0 or clause.has("TIGHTEN", "TURN", "LOOSEN"):
        return False
    before = clauses[place - 1]
    told = any(scope.draft.tokens[i].letter == "Q" for i in before.own)
    return before.has(name) and not told


def _check(scope: Scope, quantity: Quantity, check: Check, bound: Bound | None) -> None:
    amount = quantity.amounts[0]
    if bound is not None:
        amount = amount.as_limit(low=bound.side == "low")
    scope.draft.mark(quantity.tokens, "used", words("torque to be measured"))
    previous = scope.draft.last("torque_check")
    if bound and previous and previous.sentence == scope.sentence.number and _open(previous, bound):
        _close(previous, amount, bound)
        return
    scope.add(
        [[stage_of("torque_check", amount, draft=scope.draft, also=quantity.also, check=check)]],
        tokens=quantity.tokens,
    )
    scope.checked = scope.checked or check == "re_check"


def _limit(scope: Scope, clause: Clause, quantity: Quantity, bound: Bound) -> None:
    draft = scope.draft
    amount = quantity.amounts[0].as_limit(low=bound.side == "low")
    draft.mark(quantity.tokens, "used", words("limit"))
    target = draft.last()
    if target is not None and _attaches(scope, clause, target, amount, bound):
        _close(target, amount, bound)
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
    scope.ask("limit_only", why, [[stage]], quantity.tokens)


def _open(slot: Slot, bound: Bound) -> bool:
    stage = slot.stage
    return (stage.tolerance_low if bound.side == "low" else stage.tolerance_high) is None


def _attaches(scope: Scope, clause: Clause, target: Slot, amount: Amount, bound: Bound) -> bool:
    """Tell whether a limit belongs to the torque stage just before it."""
    if bound.reached and "if" in clause.leads:
        return False
    stage = target.stage
    same_unit = target.kind == "torque" and stage.unit == amount.unit
    if not same_unit or not _open(target, bound) or clause.has("FINALVALUE"):
        return False
    if stage.value is None:
        return target.sentence == scope.sentence.number
    limit = number_of(amount.low if bound.side == "low" else amount.high)
    fits = limit is not None and (
        limit <= stage.value if bound.side == "low" else limit >= stage.value
    )
    return fits and target.certain


def _close(target: Slot, amount: Amount, bound: Bound) -> None:
    """Add a limit to a stage; two limits without a target make a range."""
    limit = number_of(amount.low if bound.side == "low" else amount.high)
    target.change(**{"tolerance_low" if bound.side == "low" else "tolerance_high": limit})
    stage = target.stage
    low, high = stage.tolerance_low, stage.tolerance_high
    if stage.value is None and low is not None and high is not None and stage.kind == "torque":
        target.change(value=(low + high) / 2, value_from="range_midpoint", note="")
        target.certain = True


def _forbidden(clause: Clause) -> bool:
    """Tell "do not tighten to 50 N·m"; "do not loosen, tighten to 50 N·m" is two clauses."""
    place, verb = clause.place("NOT"), clause.place("TIGHTEN", "TORQUE", "RETIGHTEN")
    return (
        place is not None and verb is not None and not clause.has("LOOSEN", "OIL", "LUBE", "REUSE")
    )


def _target(scope: Scope, clause: Clause, quantity: Quantity, ahead: Sequence[int]) -> None:
    draft = scope.draft
    draft.mark(quantity.tokens, "used", words("torque"))
    if clause.has("LOOSEN") and not clause.has("TIGHTEN", "RETIGHTEN", "TORQUE"):
        draft.ask(
            "unsupported_step",
            words(
                "{text}: loosening to a torque is not a step that can be done",
                text=draft.written(clause.own),
            ),
        )
        return
    if scope.portions:
        _portions(scope, quantity)
        return
    if _are_parts(quantity):
        whole = quantity.amounts[-1]
        shares = [(float(one.value or 1), one.tokens) for one in quantity.amounts[:-1]]
        scope.portions.extend([*shares, (1.0, whole.tokens)])
        _portions(scope, Quantity([whole]))
        return
    for amount in quantity.amounts:
        _one_target(scope, clause, quantity, amount, ahead)


def _are_parts(quantity: Quantity) -> bool:
    """Tell "1/3, 2/3 and 60 N·m" from three torques: fractions of one stand before the figure."""
    *parts, whole = quantity.amounts
    return (
        bool(parts)
        and all(one.step == 0 and one.value is not None and one.value < 1 for one in parts)
        and whole.step != 0
    )


def _portions(scope: Scope, quantity: Quantity) -> None:
    """Make one stage for each stated part of a torque."""
    amount = quantity.amounts[0]
    for part, tokens in scope.portions:
        scope.draft.mark(tokens, "used", words("part of the torque"))
        if amount.value is None:
            continue
        share = with_value(amount, amount.value * Fraction(part).limit_denominator(1000))
        whole = amount if part == 1 else share
        scope.add([[stage_of("torque", whole, draft=scope.draft)]], tokens=quantity.tokens)
    scope.portions.clear()


def _one_target(
    scope: Scope, clause: Clause, quantity: Quantity, amount: Amount, ahead: Sequence[int]
) -> None:
    draft = scope.draft
    also = quantity.also if len(quantity.amounts) == 1 else []
    if amount.other is not None:
        _ask_format(scope, amount)
        return
    if "spaced" in amount.oddities:
        _ask_spaced(scope, amount)
        return
    if "lost_sign" in amount.oddities:
        _ask_lost_sign(scope, amount)
        return
    if "one_sided" in amount.oddities:
        _ask_sign(scope, amount)
        return
    if also and _disagree(scope, amount, also):
        return
    if (why := doubt(amount, clause, scope.subject.text if scope.subject else "")) is not None:
        scope.ask(
            "implausible_value", why, [[stage_of("torque", amount, draft=draft)]], amount.tokens
        )
        return
    last = draft.last()
    if clause.inside and last is not None and last.kind == "snug":
        if last.sentence == clause.sentence:  # "snug tight (10 N·m)" gives the snug torque
            draft.slots.remove(last)
    listed = clause.inside or clause.leads == {","}
    if (
        listed
        and not any(t.letter for _, t in clause.words())
        and _once_more(scope, clause, amount)
    ):
        return
    previous = draft.last("torque")
    behind = draft.tokens[quantity.last + 1 : quantity.last + 2]
    further = (
        _more(scope, ahead)
        or "+" in clause.leads
        or any(token.has("FURTHER") for token in behind)
    )
    if further and previous is not None and _comes_after_torque(scope):
        _ask_further(scope, amount, previous)
        return
    stage = stage_of("torque", amount, draft=draft, also=also)
    for _ in range(amount.times):
        scope.add([[stage]], tokens=quantity.tokens)


def _more(scope: Scope, ahead: Sequence[int]) -> bool:
    """Tell "a further 20 N·m" from "further, to 110 N·m"."""
    places = [index for index in ahead if scope.draft.tokens[index].has("FURTHER")]
    return bool(places) and not any(
        scope.draft.tokens[index].has("TO") for index in ahead if index > places[-1]
    )


def _once_more(scope: Scope, clause: Clause, amount: Amount) -> bool:
    """Take a second bracket with the same torque in a third unit; ask when it does not agree."""
    last = scope.draft.last()
    if (
        last is None
        or last.kind != "torque"
        or last.sentence != clause.sentence
        or not last.certain
    ):
        return False
    stage = last.stage
    if stage.value is None or stage.unit is None or amount.unit == stage.unit:
        return False
    told = Amount("Q", stage.unit, Fraction(str(stage.value)), step=Fraction(1))
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
            amount.tokens,
        )
        scope.draft.slots.remove(last)
        return True
    if verdict == "warn":
        scope.draft.warn("dual_unit_mismatch")
    last.change(also=(*stage.also, figure_of(amount)))
    return True


def _comes_after_torque(scope: Scope) -> bool:
    last = scope.draft.last()
    return last is not None and last.kind == "torque" and last.stage.value is not None


def _ask_format(scope: Scope, amount: Amount) -> None:
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


def _ask_lost_sign(scope: Scope, amount: Amount) -> None:
    """Ask about "35 5 N·m": a sign between the two numbers is lost."""
    text = scope.draft.written(amount.tokens)
    why = words("{text}: something is missing between the two numbers", text=text)
    value, low = amount.value, amount.low
    if value is None or low is None or low <= value / 2:
        scope.draft.ask("sign_unclear", why)
        return
    scope.ask("sign_unclear", why, [[stage_of("torque", amount, draft=scope.draft)]], amount.tokens)


def _ask_spaced(scope: Scope, amount: Amount) -> None:
    scope.ask(
        "ocr_suspect",
        words(
            "{text}: spaces between the digits; is {value} meant, or is a point missing?",
            text=scope.draft.written(amount.tokens),
            value=shown(amount.value),
        ),
        [[stage_of("torque", amount, draft=scope.draft)]],
        amount.tokens,
    )


def _ask_sign(scope: Scope, amount: Amount) -> None:
    draft = scope.draft
    value, high = amount.value, amount.high
    if value is None or high is None:
        return
    both = replace(amount, low=value - (high - value))
    scope.ask(
        "sign_unclear",
        words(
            "{text}: is this a tolerance upwards only, or plus and minus?",
            text=draft.written(amount.tokens),
        ),
        [[stage_of("torque", one, draft=draft)] for one in (amount, both)],
        amount.tokens,
    )


def _disagree(scope: Scope, amount: Amount, also: Sequence[Amount]) -> bool:
    """Ask when the figures for one torque differ too much; tell whether it was asked."""
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


def _ask_further(scope: Scope, amount: Amount, previous: Slot) -> None:
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


def reduced(scope: Scope, quantity: Quantity) -> bool:
    """Ask whether a reduction by a percentage holds; tell whether there is a torque to reduce."""
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
    """Return a stage with another value and nothing that went with the old one."""
    return replace(stage, value=value, tolerance_low=None, tolerance_high=None, also=())


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
