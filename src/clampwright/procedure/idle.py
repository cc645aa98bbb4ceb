"""Clauses without a figure: loosening, contact, conditions, "the same again"."""

from __future__ import annotations

from clampwright.procedure.clauses import HEADS, Clause
from clampwright.procedure.ends import sentence_has_figures
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Stage
from clampwright.procedure.steps import (
    copy_slot,
    repeat_last,
)


def snug_note(clause: Clause, *, with_angle: bool = False) -> str:
    """Return how far a clause says to screw in without a figure; empty when it does not.

    Parameters
    ----------
    clause : Clause
    with_angle : bool
        Whether a turn stands in the same clause.

    Returns
    -------
    str
    """
    if "utmost" in clause.values("SECURELY"):
        return ""
    if "snug" in clause.values("SNUG") and clause.has("SECURELY") and not clause.has("BYHAND"):
        return ""  # "nip up firmly": how firmly is not said
    if clause.values("SNUG"):
        return clause.values("SNUG")[0]
    if clause.has("BYHAND") and clause.has("TIGHTEN", "FIT", "DRIVE"):
        return "finger tight"
    reaches = "until" in clause.leads or clause.has("UNTIL", "AFTER", "TO", "IF")
    if clause.values("CONTACT") and (reaches or (with_angle and clause.has("AFTER"))):
        return clause.values("CONTACT")[-1]
    return ""


def without_figures(scope: Scope, clause: Clause) -> None:
    """Take a clause that holds no quantity.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    """
    negated = clause.has("NOT", "WITHOUT")
    if clause.has("REPEAT") and not any(item.kind in HEADS for item in clause.items):
        repeat_last(scope, clause)
    elif clause.values("LOOSEN") == ["either"] and clause.has("CONTACT"):
        _snug(scope, clause, clause.values("CONTACT")[-1])
    elif clause.has("LOOSEN") and not negated:
        _loosen(scope, clause)
    elif "while" in clause.leads or (negated and clause.has("TOOL")):
        _condition(scope, clause)
    elif not negated and ("if" not in clause.leads or clause.has("CONTACT")):
        _work_without_figure(scope, clause)


def _work_without_figure(scope: Scope, clause: Clause) -> None:
    if clause.has("TIGHTEN", "RETIGHTEN") and scope.draft.slots:
        scope.retightened = len(scope.draft.slots)
    if clause.has("TIGHTEN", "TURN", "FIT") and clause.has("SECURELY"):
        scope.run_in = True
    if note := snug_note(clause) or _contact_first(scope, clause):
        _snug(scope, clause, note)
    elif clause.has("SAME") and clause.has("TIGHTEN", "RETIGHTEN", "TORQUE"):
        _same_again(scope)
    elif "h" in clause.leads and clause.has("AGAIN") and _nothing_else(clause):
        repeat_last(scope, clause)  # "to 18 N·m, then again in the same order"
    elif clause.has("UNSUPPORTED"):
        scope.draft.warn("unsupported_step")


def _nothing_else(clause: Clause) -> bool:
    """Tell whether "again" is all that a clause says, but for fasteners and their order."""
    spoken = [token for token in (clause.tokens[i] for i in clause.own) if token.letter]
    return all(
        token.letter in "hBt,." or token.has("ORDER", "ALL", "MANNER", "SAME", "AGAIN", "AIM")
        for token in spoken
    )


def _contact_first(scope: Scope, clause: Clause) -> str:
    """Return how far "gasket contact, then ¾ turn" says to screw in; the turn counts from it."""
    place = next(n for n, one in enumerate(scope.sentence.clauses) if one is clause)
    later = scope.sentence.clauses[place + 1 : place + 2]
    turned = bool(later) and bool(later[0].leads & {"h", "+"}) and bool(later[0].figures)
    letters = {clause.tokens[i].letter for one in later for i in one.own}
    if clause.has("CONTACT") and turned and "A" in letters and "Q" not in letters:
        return clause.values("CONTACT")[-1]
    return ""


def _loosen(scope: Scope, clause: Clause) -> None:
    sentence = scope.sentence
    if "if" in clause.leads or (clause.has("BEFORE") and sentence.has("RECHECK")):
        return
    if _on_condition(scope, clause) or (
        clause.values("LOOSEN") == ["reverse"] and sentence.has("LEFT_HAND")
    ):
        return
    if sentence.has("BEFORE") and sentence.has("RECHECK") and not sentence_has_figures(sentence):
        return
    if clause.has("MARK") and not clause.has("ALL"):
        return
    scope.add([[Stage("loosen", note="amount not stated")]], tokens=clause.own[:1])


def _on_condition(scope: Scope, clause: Clause) -> bool:
    """Tell "if the holes do not align, loosen further" from work that is always done."""
    place = next(n for n, one in enumerate(scope.sentence.clauses) if one is clause)
    ahead = scope.sentence.clauses[place - 1] if place else None
    if ahead is None or "if" not in ahead.leads or ahead.figures:
        return False
    return "when" not in ahead.values("IF") and not ahead.has("VARIANT")


def _condition(scope: Scope, clause: Clause) -> None:
    target = scope.draft.last("torque", "angle", "snug")
    if target is not None and not target.stage.condition:
        target.change(condition=scope.draft.written(clause.own))


def _snug(scope: Scope, clause: Clause, note: str) -> None:
    """Add a snug stage; before the turn when the clause says from where the turn counts."""
    last = scope.draft.last()
    counts_from = clause.has("AFTER", "IF") and last is not None and last.kind == "angle"
    if counts_from and last is not None and last.sentence == scope.sentence.number:
        place = scope.draft.place_of(last)
        if place == 0 or scope.draft.slots[place - 1].kind != "snug":
            scope.add([[Stage("snug", note=note)]], at=place)
        return
    if last is not None and last.kind == "snug" and last.sentence == scope.sentence.number:
        return
    scope.add([[Stage("snug", note=note)]])


def _same_again(scope: Scope) -> None:
    target = scope.draft.last("torque")
    if target is not None:
        copy_slot(scope, target, "the same torque again")
