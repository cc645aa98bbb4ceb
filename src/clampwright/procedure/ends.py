"""What is settled when a sentence has ended: checks, orders, missing figures."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from clampwright.procedure.cautions import shown_in_figure
from clampwright.procedure.clauses import Clause, Sentence
from clampwright.procedure.draft import Slot
from clampwright.procedure.numbered import named_without_work, one_figure_for_steps
from clampwright.procedure.others import recheck
from clampwright.procedure.scope import LeftHand, Scope
from clampwright.words import words


def end_of_sentence(scope: Scope) -> None:
    """Settle what a sentence left open.

    Parameters
    ----------
    scope : Scope
    """
    scope.clause = None
    _whole_alternative(scope)
    new = scope.new_slots
    kinds = {slot.kind for slot in new}
    due = scope.recheck and not scope.checked and "torque_check" not in kinds
    trailing = _trailing_recheck(scope, new)
    if due and (not kinds & {"torque", "angle"} or scope.sentence.has("AFTER") or trailing):
        _late_recheck(scope)
        _when(scope)
    _order(scope, new)
    named_without_work(scope, new)
    one_figure_for_steps(scope, new)
    _valueless(scope, new)
    _turned_meanwhile(scope, new)
    if scope.sentence.has("LEFT_HAND"):
        scope.left.append(LeftHand(scope.left_subject, tuple(new), scope.started == 0))


def _whole_alternative(scope: Scope) -> None:
    """Ask about "20 N·m or hand tight plus 1/4 turn": several stages instead of the one before."""
    slots, start = scope.draft.slots, scope.alternative
    pulled = {"torque", "angle", "snug"}
    if start is None or not scope.started < start < len(slots):
        return
    instead, first = slots[start:], slots[start - 1]
    if first.kind not in pulled - {"snug"} or any(one.kind not in pulled for one in instead):
        return
    if not first.certain or any(not one.certain for one in instead):
        return
    first.options = [*first.options, [stage for one in instead for stage in one.options[0]]]
    first.certain = False
    first.extra += tuple(index for one in instead for index in one.tokens)
    first.question = ("variant_choice", words('two ways are joined by "or"; which one holds?'))
    del slots[start:]


def _trailing_recheck(scope: Scope, new: Sequence[Slot]) -> bool:
    """Tell whether a check without a figure stands behind the torque: "30 N·m, recheck hot"."""
    last = max((max(slot.tokens) for slot in new if slot.tokens), default=-1)
    return any(
        clause.has("RECHECK")
        and not clause.has("NOT", "WITHOUT", "BEFORE", "EVERY")
        and not clause.figures
        and min(clause.own, default=-1) > last
        for clause in scope.sentence.clauses
    )


def _when(scope: Scope) -> None:
    """Note when a check is due: "when hot"."""
    check = scope.draft.last()
    due = [one for one in scope.sentence.clauses if "when" in one.values("IF") and not one.figures]
    if check is not None and check.kind == "torque_check" and due:
        check.change(condition=scope.draft.written(due[-1].own))


def _late_recheck(scope: Scope) -> None:
    sentence = scope.sentence
    if sentence.has("LOOSEN", "BEFORE", "EVERY") or (sentence.has("NOT") and not scope.new_slots):
        return
    recheck(scope)


def _order(scope: Scope, new: Sequence[Slot]) -> None:
    """Give the order a sentence names to its stages, or to the whole text."""
    found = scope.sentence_order
    for clause in scope.sentence.clauses:
        named = clause.values("ORDER")
        if not named or scope.sentence_order is not None:
            continue
        order = _named_order(scope.sentence, clause)
        for slot in new:
            if slot.tokens and slot.tokens[0] in clause.own and slot.order is None:
                slot.order = order
        if not clause.has("LOOSEN"):
            found = order
    scope.sentence_order = None
    if found is None:
        return
    for slot in new:
        if slot.order is None and slot.kind in {"torque", "angle", "snug", "loosen"}:
            slot.order = found
    if not new and scope.text_order is None:
        scope.set_order(found)


def _named_order(sentence: Sentence, clause: Clause) -> str:
    named = clause.values("ORDER")
    if clause.has("REMOVAL") and "reverse" in named[-1]:
        return "reverse_of_removal"
    return "figure" if shown_in_figure(sentence, clause) else named[-1]


def _turned_meanwhile(scope: Scope, new: Sequence[Slot]) -> None:
    """Take "rotate the hub while tightening to 50 N·m" as the condition of the torque."""
    for doing, pulling in pairwise(scope.sentence.clauses):
        if doing.figures or not doing.has("TURN") or "while" not in pulling.leads:
            continue
        for slot in new:
            if slot.tokens and slot.tokens[0] in pulling.own and slot.kind == "torque":
                slot.change(condition=scope.draft.written(doing.own))


def _valueless(scope: Scope, new: Sequence[Slot]) -> None:
    """Ask for the figure of "tighten to the specified torque"."""
    sentence = scope.sentence
    if not sentence.has("SPECIFIED") or not sentence.has("TIGHTEN", "TORQUE", "RETIGHTEN"):
        return
    if any(slot.kind in {"torque", "angle", "stretch"} for slot in new):
        return
    following = scope.following
    if following is not None and sentence_has_figures(following):
        return
    scope.draft.ask(
        "no_value",
        words(
            "a torque is spoken of but not given; look for the figure in the maker's information"
            " for this part"
        ),
    )


def sentence_has_figures(sentence: Sentence) -> bool:
    """Tell whether a sentence holds a quantity.

    Parameters
    ----------
    sentence : Sentence

    Returns
    -------
    bool
    """
    return any(clause.figures for clause in sentence.clauses)
