"""Figures that hold only for a case: "if the bolts are new", "otherwise", "(steel wheels)"."""

from __future__ import annotations

from clampwright.procedure.clauses import Clause
from clampwright.procedure.scope import Scope, variants_of


def note_case(scope: Scope, clause: Clause) -> None:
    """Note for which case the figures hold: "if the bolts are new", "otherwise".

    Parameters
    ----------
    scope : Scope
    clause : Clause
    """
    if clause.has("OTHERWISE"):
        scope.case = "otherwise"
    condition = "if" in clause.leads and "when" not in clause.values("IF")
    if not condition or clause.has("CONTACT", "EXCEED", "BELOW", "LONGER", "LENGTH"):
        return
    case = scope.draft.written(clause.own)
    ahead = [slot for slot in scope.new_slots if not slot.case]
    if clause.inside or (ahead and not _more_figures(scope, clause)):
        for slot in ahead:
            slot.case = case
    else:
        scope.case = case


def _more_figures(scope: Scope, clause: Clause) -> bool:
    clauses = scope.sentence.clauses
    place = next(n for n, one in enumerate(clauses) if one is clause)
    return any(one.figures for one in clauses[place:])


def variant_behind(scope: Scope, clause: Clause) -> None:
    """Let "15 N·m, when cold" hold for the cold engine only.

    Parameters
    ----------
    scope : Scope
    clause : Clause
        Without a figure.
    """
    if not variants_of(clause) or clause.ends_with == ":" or clause.has("TIGHTEN", "LOOSEN"):
        return
    place = next(n for n, one in enumerate(scope.sentence.clauses) if one is clause)
    ahead = scope.sentence.clauses[place - 1] if place else None
    for slot in scope.new_slots:
        own = ahead is not None and slot.tokens and slot.tokens[0] in ahead.own
        if own and not slot.variants:
            slot.variants = variants_of(clause)


def variant_in_brackets(scope: Scope, clause: Clause) -> None:
    """Let "(steel wheels) 110 N·m" hold for steel wheels only.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    """
    place = next(n for n, one in enumerate(scope.sentence.clauses) if one is clause)
    outer = next((c for c in reversed(scope.sentence.clauses[:place]) if not c.inside), None)
    for slot in scope.new_slots:
        if outer is not None and slot.tokens and slot.tokens[0] in outer.own:
            slot.variants |= variants_of(clause)
