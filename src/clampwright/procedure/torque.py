"""What a torque in the text is: a target, a limit, a check, a wrench setting, or a question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from clampwright.procedure.amounts import Amount
from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import stage_of
from clampwright.procedure.limits import Bound, bound_of
from clampwright.procedure.physical import not_physical, note_oddities
from clampwright.procedure.plausible import doubt
from clampwright.procedure.quantities import Quantity, quantities
from clampwright.procedure.scope import Scope, with_value
from clampwright.procedure.stage import Stage
from clampwright.procedure.torque_again import once_more
from clampwright.procedure.torque_and_turn import before_turn, instead_of_turn, limits_the_turn
from clampwright.procedure.torque_limits import limit, tolerance
from clampwright.procedure.torque_measured import asked_when, inherits, measure, sort_of_check
from clampwright.procedure.torque_numbers import (
    asked_about_list,
    asked_about_number,
    asked_about_width,
    part_fastener_number,
)
from clampwright.procedure.torque_questions import (
    ask_format,
    ask_further,
    ask_lost_sign,
    ask_more_than_what,
    ask_range_at_turn,
    ask_run_together,
    ask_sign,
    ask_spaced,
    disagree,
)
from clampwright.procedure.torque_setting import is_setting, speaks_of_setting
from clampwright.words import words


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
    part_fastener_number(scope, quantity)
    if not_physical(scope, quantity):
        return
    note_oddities(scope, quantity)
    if clause.has("RETIGHTEN", "RECHECK"):
        scope.checked = True  # the figure is here; no further check is to be added
    ahead = scope.before(quantity, others)
    bound = None if quantity.amounts[0].low is not None else bound_of(scope, quantity, others)
    if tolerance(scope, clause, quantity):
        return
    if speaks_of_setting(scope, clause) and is_setting(scope, clause, quantity):
        return
    if _set_aside(scope, clause, quantity, ahead, bound):
        return
    if check := sort_of_check(scope, clause, quantity):
        if check == "re_check" and asked_when(scope, clause, quantity):
            return
        measure(scope, quantity, check, bound)
        return
    if bound is not None:
        limit(scope, clause, quantity, bound)
        return
    if _forbidden(clause):
        draft.mark(quantity.tokens, "reported", words("in a prohibition"))
        draft.ask(
            "unexpected_text",
            words("{text}: what is forbidden here?", text=draft.written(clause.own)),
        )
        return
    _target(scope, clause, quantity, ahead)


def _set_aside(
    scope: Scope, clause: Clause, quantity: Quantity, ahead: Sequence[int], bound: Bound | None
) -> bool:
    """Leave out a figure that is ruled out, earlier, or a condition; tell whether it was one."""
    draft = scope.draft
    refused = scope.any(ahead[-2:], "NOT") and bound is None and not clause.has("TIGHTEN")
    if refused or scope.any(ahead, "INSTEAD"):
        draft.mark(quantity.tokens, "other", words("ruled out"))
    elif clause.has("FORMER") or inherits(scope, clause, "FORMER"):
        _ask_former(scope, clause, quantity)
    elif "while" in clause.leads and not clause.has("TIGHTEN"):
        draft.mark(quantity.tokens, "other", words("condition while tightening"))
    else:
        return False
    return True


def _ask_former(scope: Scope, clause: Clause, quantity: Quantity) -> None:
    scope.draft.mark(quantity.tokens, "reported", words("an earlier figure"))
    scope.draft.ask(
        "conflicting_instructions",
        words(
            "{text}: an earlier figure is named; which one holds now?",
            text=scope.draft.written(clause.own),
        ),
    )


def _forbidden(clause: Clause) -> bool:
    """Tell "do not tighten to 50 N·m"; "do not loosen, tighten to 50 N·m" is two clauses."""
    place, verb = clause.place("NOT"), clause.place("TIGHTEN", "TORQUE", "RETIGHTEN")
    return (
        place is not None and verb is not None and not clause.has("LOOSEN", "OIL", "LUBE", "REUSE")
    )


def _target(scope: Scope, clause: Clause, quantity: Quantity, ahead: Sequence[int]) -> None:
    draft = scope.draft
    if any("lost_sign" in amount.oddities for amount in quantity.amounts):
        draft.mark(quantity.tokens, "reported", words("two numbers with nothing between them"))
    draft.mark(quantity.tokens, "used", words("torque"))
    verb = scope.verb_of(quantity)
    if verb is not None and verb.has("LOOSEN") and not clause.has("TIGHTEN", "RETIGHTEN", "TORQUE"):
        draft.ask(
            "unsupported_step",
            words(
                "{text}: loosening to a torque is not a step that can be done",
                text=draft.written(clause.own),
            ),
        )
        return
    if parts := _parts_of(scope, quantity):
        _portions(scope, quantity, parts)
        return
    if len(quantity.amounts) > 1 and asked_about_list(scope, quantity):
        return
    if asked_about_number(scope, clause, quantity) or asked_about_width(scope, quantity):
        return
    if _are_parts(quantity):
        whole = quantity.amounts[-1]
        shares = [(float(one.value or 1), one.tokens) for one in quantity.amounts[:-1]]
        _portions(scope, Quantity([whole]), [*shares, (1.0, whole.tokens)])
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


def _parts_of(scope: Scope, quantity: Quantity) -> list[tuple[float, tuple[int, ...]]]:
    """Take the parts that are meant of this torque: "40 % of 90 N·m, 70 % of 90 N·m" is two."""
    if not scope.portions:
        return []
    last = max((one.last for one in _torques_of(scope)), default=0)
    parts = [
        (part, tokens)
        for part, tokens in scope.portions
        if not quantity.last < min(tokens, default=last) < last
    ]
    scope.portions[:] = [one for one in scope.portions if one not in parts]
    return parts


def _portions(
    scope: Scope, quantity: Quantity, parts: Sequence[tuple[float, tuple[int, ...]]]
) -> None:
    """Make one stage for each stated part of a torque."""
    amount = quantity.amounts[0]
    for part, tokens in parts:
        scope.draft.mark(tokens, "used", words("part of the torque"))
        if amount.value is None:
            continue
        share = with_value(amount, amount.value * Fraction(part).limit_denominator(1000))
        whole = amount if part == 1 else share
        scope.add([[stage_of("torque", whole, draft=scope.draft)]], tokens=quantity.tokens)


def _torques_of(scope: Scope) -> list[Quantity]:
    found = [one for clause in scope.sentence.clauses for one in quantities(clause)]
    return [one for one in found if one.letter == "Q"]


def _one_target(
    scope: Scope, clause: Clause, quantity: Quantity, amount: Amount, ahead: Sequence[int]
) -> None:
    also = quantity.also if len(quantity.amounts) == 1 else []
    if amount.from_range and limits_the_turn(scope, quantity):
        ask_range_at_turn(scope, amount)
        return
    if ask_run_together(scope, amount):
        return
    if _asked_about_form(scope, amount) or (also and disagree(scope, amount, also)):
        return
    stage = stage_of("torque", amount, draft=scope.draft, also=also)
    if (why := doubt(amount, clause, _what_it_holds(scope, clause))) is not None:
        scope.ask("implausible_value", why, [[stage]], amount.tokens)
        return
    if _in_other_words(scope, clause, quantity, amount):
        return
    if _asked_about_more(scope, clause, quantity, amount, ahead):
        return
    if scope.setting is not None:
        stage, scope.setting = replace(stage, wrench_setting=scope.setting), None
    if instead_of_turn(scope, clause, stage, quantity):
        return
    if amount.times > 1:
        _ask_times(scope, quantity, stage, amount.times)
        return
    place = before_turn(scope, [*ahead, *scope.behind(quantity, [])])
    scope.add([[stage]], tokens=quantity.tokens, at=place)


def _ask_times(scope: Scope, quantity: Quantity, stage: Stage, times: int) -> None:
    """Ask about "6 x 25 N·m": so many fasteners, or pulled so often."""
    scope.ask(
        "unexpected_text",
        words(
            "{text}: the number of fasteners, or pulled so often?",
            text=scope.draft.written(quantity.tokens),
        ),
        [[stage], [stage] * times],
        quantity.tokens,
    )


_FORMS = {
    "spaced": ask_spaced,
    "lost_sign": ask_lost_sign,
    "one_sided": ask_sign,
}


def _what_it_holds(scope: Scope, clause: Clause) -> str:
    """Return the name of the fastener, and the sizes in a bracket behind: "2500 N·m (M8)"."""
    clauses = scope.sentence.clauses
    place = next((n for n, one in enumerate(clauses) if one is clause), len(clauses))
    behind = clauses[place + 1 : place + 2]
    sizes = [clause.tokens[i].text for one in behind if one.inside for i in one.own]
    return " ".join([scope.subject.text if scope.subject else "", *sizes])


def _asked_about_more(
    scope: Scope, clause: Clause, quantity: Quantity, amount: Amount, ahead: Sequence[int]
) -> bool:
    """Ask about "a further 20 N·m"; tell whether it was asked."""
    if clause.has("RETIGHTEN"):
        return False
    previous = scope.draft.last("torque")
    if previous is None and _more(scope, ahead):
        ask_more_than_what(scope, amount)
        return True
    if previous and _comes_after_torque(scope) and _is_more(scope, clause, quantity, ahead):
        ask_further(scope, amount, previous)
        return True
    return False


def _asked_about_form(scope: Scope, amount: Amount) -> bool:
    """Ask when the form of the number leaves two readings; tell whether it was asked."""
    if amount.other is not None:
        ask_format(scope, amount)
        return True
    asked = next((ask for oddity, ask in _FORMS.items() if oddity in amount.oddities), None)
    if asked is None:
        return False
    asked(scope, amount)
    return True


def _in_other_words(scope: Scope, clause: Clause, quantity: Quantity, amount: Amount) -> bool:
    """Take a bracket or list that only says the torque before it in another unit."""
    last = scope.draft.last()
    if clause.inside and last is not None and last.kind == "snug":
        if last.sentence == clause.sentence:
            scope.draft.slots.remove(last)  # "snug tight (10 N·m)" gives the snug torque
        return False
    bare = all(
        token.letter in {"", "r"} or index in quantity.tokens for index, token in clause.words()
    )
    listed = clause.inside or not clause.leads - {",", ":", ";", "r"}
    return bare and listed and once_more(scope, clause, amount)


def _is_more(scope: Scope, clause: Clause, quantity: Quantity, ahead: Sequence[int]) -> bool:
    behind = scope.draft.tokens[quantity.last + 1 : quantity.last + 2]
    said = any(token.has("FURTHER") for token in behind)
    return said or "+" in clause.leads or _more(scope, ahead)


def _more(scope: Scope, ahead: Sequence[int]) -> bool:
    """Tell "a further 20 N·m" from "further, to 110 N·m"."""
    tokens = scope.draft.tokens  # "again 12 N·m" goes round once more
    places = [
        i for i in ahead if tokens[i].has("FURTHER") and tokens[i].value("FURTHER") != "again"
    ]
    return bool(places) and not any(
        tokens[index].has("TO", "AFTER") for index in ahead if index > places[-1]
    )


def _comes_after_torque(scope: Scope) -> bool:
    last = scope.draft.last()
    return last is not None and last.kind == "torque" and last.stage.value is not None
