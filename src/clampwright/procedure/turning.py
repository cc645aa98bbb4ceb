"""What an angle in the text is: a turn on, a turn back, a total, a condition, or a question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import Slot, number_of, stage_of
from clampwright.procedure.dual import agreement
from clampwright.procedure.limits import Bound, bound_of
from clampwright.procedure.physical import not_physical, note_oddities
from clampwright.procedure.plausible import doubt
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Stage
from clampwright.procedure.subjects import same
from clampwright.procedure.torque_questions import ask_spaced
from clampwright.procedure.turning_totals import add_rest, settle_total
from clampwright.words import words

_DRIVING = ("TIGHTEN", "RETIGHTEN", "TURN", "FURTHER", "SNUG", "CONTACT", "THEN", "LOOSEN", "PLUS")


def angle(scope: Scope, clause: Clause, quantity: Quantity, others: Sequence[Quantity]) -> None:
    """Find the place of an angle in the procedure.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity
    others : sequence of Quantity
        All quantities of the clause.
    """
    draft = scope.draft
    if _is_condition(clause) or _turns_another_part(clause):
        draft.mark(quantity.tokens, "other", words("condition while tightening"))
        _add_condition(scope, clause)
        return
    if "minus" in quantity.amounts[0].oddities or "g" in clause.leads:
        _ask_sign(scope, quantity)
        return
    if not_physical(scope, quantity):
        return
    if _describes_a_part(scope, clause, quantity, others):
        draft.mark(quantity.tokens, "other", words("shape of a part"))
        return
    if _forbidden(clause) and not bound_of(scope, quantity, others):
        draft.mark(quantity.tokens, "reported", words("in a prohibition"))
        draft.ask(
            "unexpected_text",
            words("{text}: what is forbidden here?", text=draft.written(clause.own)),
        )
        return
    note_oddities(scope, quantity)
    draft.mark(quantity.tokens, "used", words("angle"))
    if "spaced" in quantity.amounts[0].oddities:
        ask_spaced(scope, quantity.amounts[0], "angle")
        return
    if _turns_back(scope, clause, quantity):
        _back_off(scope, clause, quantity)
        return
    _forward(scope, clause, quantity, others)


def _forbidden(clause: Clause) -> bool:
    verbs = ("TIGHTEN", "TURN", "RETIGHTEN", "LOOSEN")
    place, verb = clause.place("NOT"), clause.place(*verbs)
    return place is not None and verb is not None


def _is_condition(clause: Clause) -> bool:
    return "while" in clause.leads and not clause.has("TIGHTEN")


def _turns_another_part(clause: Clause) -> bool:
    """Tell "turn the wheel 5 turns" from turning the nut."""
    named = clause.has("ROTOR") and "bolt" not in clause.values("FASTENER")
    if "further" in clause.values("TURN") or clause.has("FURTHER", "AFTER"):
        return False
    return named and clause.has("TURN") and not clause.has("TIGHTEN", "LOOSEN")


def _add_condition(scope: Scope, clause: Clause) -> None:
    target = scope.draft.last("torque", "angle", "snug")
    if target is not None and target.sentence == clause.sentence:
        target.change(condition=scope.draft.written(clause.own))


def _describes_a_part(
    scope: Scope, clause: Clause, quantity: Quantity, others: Sequence[Quantity]
) -> bool:
    """Tell "90° elbow 25 N·m" from a turn: it stands before the first torque, without a verb."""
    if scope.draft.last() is not None or clause.has(*_DRIVING) or clause.leads & {"+", "h", ">"}:
        return False
    later = [other for other in others if other.first > quantity.last and other.letter == "Q"]
    behind = [scope.draft.tokens[i] for i in scope.behind(quantity, others)]
    spoken = [token for token in behind if token.letter]
    return bool(later and spoken) and (spoken[0].has("FASTENER") or not spoken[0].means)


def _turns_back(scope: Scope, clause: Clause, quantity: Quantity) -> bool:
    if clause.has("LOOSEN") and not clause.has("NOT", "WITHOUT"):
        verb = scope.verb_of(quantity)
        return verb is not None and verb.has("LOOSEN")
    if clause.has("BACK") and (clause.has("TURN") or quantity.amounts[0].unit == "turn"):
        return True
    left_handed = scope.left_hand and same(scope.subject, scope.left_subject)
    return clause.has("CCW") and not left_handed and not clause.has("TIGHTEN")


def _back_off(scope: Scope, clause: Clause, quantity: Quantity) -> None:
    draft = scope.draft
    if draft.last() is None and scope.run_in:
        scope.add([[Stage("snug", note="screwed in; no torque given")]])
    stage = stage_of("back_off_then", quantity.amounts[0], draft=draft, also=quantity.also)
    scope.add([[stage]], tokens=quantity.tokens)
    if clause.has("PER_FASTENER"):
        draft.slots[-1].per_fastener = True


def _forward(scope: Scope, clause: Clause, quantity: Quantity, others: Sequence[Quantity]) -> None:
    draft = scope.draft
    last = draft.last()
    if _completes_loosening(scope, clause, quantity) or _manner(scope, quantity, others):
        return
    if (word := _strange_verb(scope, clause, quantity)) is not None:
        _ask_direction(scope, quantity, word)
        return
    for amount in quantity.amounts:
        if (why := doubt(amount, clause)) is not None:
            scope.ask("implausible_value", why, [], amount.tokens)
            return
    bound = None if quantity.amounts[0].low is not None else bound_of(scope, quantity, others)
    if bound is None and _up_to(scope, quantity):
        bound = Bound("high")
    if bound is not None and bound.reached:
        draft.mark(quantity.tokens, "other", words("condition"))
        return
    if bound is not None:
        _limit(scope, quantity, bound.side, last)
        return
    if quantity.also and _disagree(scope, quantity):
        return
    around = [*scope.before(quantity, others), *scope.behind(quantity, others)]
    total = scope.any(around, "TOTAL")
    if total and add_rest(scope, quantity):
        return
    _add_turns(scope, clause, quantity, total=total)


def _manner(scope: Scope, quantity: Quantity, others: Sequence[Quantity]) -> bool:
    """Tell "a half turn at a time, to 18 N·m", which says how, from a turn to be made."""
    later = any(other.first > quantity.last and other.letter == "Q" for other in others)
    if not scope.any(scope.behind(quantity, others), "AT_A_TIME"):
        return False
    scope.draft.mark(quantity.tokens, "other", words("how it is pulled"))
    if not later:
        scope.draft.ask(
            "unexpected_text",
            words("{text} at a time: how far in all?", text=scope.draft.written(quantity.tokens)),
        )
    return True


def _up_to(scope: Scope, quantity: Quantity) -> bool:
    """Tell "up to 30° further", which leaves open how far, from "to 30°"."""
    near = scope.draft.tokens[max(0, quantity.first - 6) : quantity.first]
    spoken = [token for token in near if token.letter or token.has("FURTHER")]
    while spoken and spoken[-1].has("FURTHER") and not spoken[-1].has("TO"):
        spoken.pop()
    if quantity.amounts[0].low is not None or not spoken or not spoken[-1].has("UPTO"):
        return False
    # Where one word is "to" and "up to", only "30° more" makes it a limit.
    behind = scope.draft.tokens[quantity.last + 1 : quantity.last + 4]
    more = any(token.has("FURTHER", "PLUS") for token in behind)
    return more or spoken[-1].value("UPTO") == ""


def _strange_verb(scope: Scope, clause: Clause, quantity: Quantity) -> str | None:
    """Return the unknown word in front of an angle, which may say that it is turned back."""
    if clause.has(*_DRIVING, "FASTENER", "STEP", "ORDINAL") or clause.leads & {"+", "h", ">", "/"}:
        return None
    tokens = scope.draft.tokens
    ahead = [i for i in clause.own if i < quantity.first and tokens[i].letter]
    if not ahead or scope.draft.last("torque", "snug", "angle") is None:
        return None
    token = tokens[ahead[-1]]
    unknown = token.letter == "w" and not token.means and len(token.text) > 2
    return token.text if unknown else None


def _ask_direction(scope: Scope, quantity: Quantity, word: str) -> None:
    amount = quantity.amounts[0]
    scope.ask(
        "sign_unclear",
        words(
            "the word {word!r} before {text} is not known here: tightened or turned back?",
            word=word[:40],
            text=scope.draft.written(quantity.tokens),
        ),
        [
            [stage_of("angle", amount, draft=scope.draft)],
            [stage_of("back_off_then", amount, draft=scope.draft)],
        ],
        quantity.tokens,
    )


def _add_turns(scope: Scope, clause: Clause, quantity: Quantity, *, total: bool) -> None:
    explicit = (
        clause.has("FURTHER")
        or "+" in clause.leads
        or any(amount.times > 1 for amount in quantity.amounts)
        or _plus_before(scope, quantity)
    )
    if not total:
        _shared_out(scope, clause, quantity)
    for amount in quantity.amounts:
        stage = stage_of("angle", amount, draft=scope.draft, also=quantity.also)
        for _ in range(amount.times):
            slot = scope.add([[stage]], tokens=quantity.tokens, explicit=explicit)
            if total:
                scope.total = slot
    if not total:
        settle_total(scope)


def _shared_out(scope: Scope, clause: Clause, quantity: Quantity) -> None:
    """Take the angle just before as the sum of "90° in two steps of 45°"."""
    last, amount = scope.draft.last(), quantity.amounts[0]
    if last is None or last.kind != "angle" or last.sentence != clause.sentence:
        return
    between = scope.draft.tokens[max(last.tokens, default=0) + 1 : quantity.first]
    if (
        amount.times < 2
        or amount.value is None
        or any(one.letter in set("h>") or one.text == "+" for one in between)
    ):
        return
    if last.stage.unit == amount.unit and last.stage.value == float(amount.times * amount.value):
        scope.total = last


def _plus_before(scope: Scope, quantity: Quantity) -> bool:
    near = scope.draft.tokens[max(0, quantity.first - 20) : quantity.first]
    before = [token for token in near if token.letter][-1:]
    return bool(before) and before[0].letter == "+"


def _completes_loosening(scope: Scope, clause: Clause, quantity: Quantity) -> bool:
    """Take "back off, 180°" as one step; ask when it is not clear which way the turn goes."""
    last = scope.draft.last()
    if (
        last is None
        or last.sentence != clause.sentence
        or last.kind
        not in {
            "loosen",
            "back_off_then",
        }
    ):
        return False
    if clause.has(*_DRIVING) or clause.leads & {"+", "h"}:
        return False
    amount = quantity.amounts[0]
    if last.stage.value is None:
        last.change(kind="back_off_then", value=number_of(amount.value), unit=amount.unit)
        last.extra += quantity.tokens
        return True
    return False


def _limit(scope: Scope, quantity: Quantity, side: str, last: Slot | None) -> None:
    draft = scope.draft
    amount = quantity.amounts[0]
    key = "tolerance_low" if side == "low" else "tolerance_high"
    if last is not None and last.kind == "angle" and last.stage.unit == amount.unit:
        last.change(**{key: number_of(amount.value)})
        last.extra += quantity.tokens
        return
    bounded = amount.as_limit(low=side == "low")
    text = draft.written(quantity.tokens)
    scope.ask(
        "limit_only",
        words("{text} is only a limit; what is the angle to turn?", text=text),
        [[stage_of("angle", bounded, draft=draft)]],
        quantity.tokens,
    )


def _disagree(scope: Scope, quantity: Quantity) -> bool:
    draft = scope.draft
    amount = quantity.amounts[0]
    verdicts = [agreement(amount, other) for other in quantity.also]
    if "warn" in verdicts:
        draft.warn("dual_unit_mismatch")
    if "ask" not in verdicts:
        return False
    odd = quantity.also[verdicts.index("ask")]
    scope.ask(
        "dual_unit_mismatch",
        words(
            "{first} and {second} are not the same angle; which one holds?",
            first=draft.written(amount.tokens),
            second=draft.written(odd.tokens),
        ),
        [[stage_of("angle", one, draft=draft)] for one in (amount, *quantity.also)],
        amount.tokens,
    )
    return True


def _ask_sign(scope: Scope, quantity: Quantity) -> None:
    draft = scope.draft
    amount = quantity.amounts[0]
    if amount.value is None or amount.value == 0:
        not_physical(scope, quantity)
        return
    size = replace(amount, value=abs(amount.value))
    draft.mark(quantity.tokens, "used", words("angle"))
    scope.ask(
        "sign_unclear",
        words(
            "{text}: a dash before the angle, or turned back?", text=draft.written(amount.tokens)
        ),
        [
            [stage_of("angle", size, draft=draft)],
            [stage_of("back_off_then", size, draft=draft)],
        ],
        quantity.tokens,
    )
