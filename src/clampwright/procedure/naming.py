"""What the stages of a clause are applied to, by name."""

from __future__ import annotations

from collections.abc import Sequence

from clampwright.procedure.clauses import Clause
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.procedure.subjects import same, subject_between, subject_of


def name_subject(scope: Scope, clause: Clause, following: Sequence[Clause]) -> None:
    """Let the stages that follow belong to the joint a clause names.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    following : sequence of Clause
        The next clause, if any.
    """
    if clause.leads & {"while", "until", "if"} or clause.has("BEFORE"):
        return
    if clause.inside:
        _name_in_brackets(scope, clause)
        return
    heads_list = bool(following and following[0].leads & {":", "|", "-"}) or _stands_alone(clause)
    told = bool(clause.figures) or (
        bool(scope.declared) and any(item.kind == "number" for item in clause.items)
    )
    bare_list = not clause.has("TIGHTEN", "TURN", "LOOSEN", "RETIGHTEN") and told
    starts = not (clause.leads & {"a", "+", "h"})
    found = subject_of(clause, scope.draft, listed=heads_list or (bare_list and starts))
    _all_of_them(scope, clause)
    if found is None:
        return
    if clause.has("LOOSEN", "RECHECK", "CHECK") and not clause.figures:
        return
    fastener = any(clause.tokens[i].has("FASTENER") for i in clause.own)
    torque_of = ":" in clause.leads and clause.has("TORQUE")
    if torque_of and not fastener and scope.subject is not None:
        return  # "studs: fitting torque 5 N·m" is about the studs
    if found.general and not heads_list and scope.heading == clause.sentence:
        return  # "front mounting: 2 bolts M12, 80 N·m" is about the mounting
    if heads_list:
        scope.heading = clause.sentence
    renamed = scope.subject is not None and found.names == scope.subject.names and told
    if scope.subject is None or not same(found, scope.subject) or heads_list or renamed:
        scope.subject = found
        if scope.fasteners != "all" and heads_list:
            scope.fasteners = "all"


def _all_of_them(scope: Scope, clause: Clause) -> None:
    """Let "all bolts" end what was said of some of them."""
    numbered = any(item.kind in {"subset", "span"} for item in clause.items)
    if clause.has("ALL") and clause.has("FASTENER") and not numbered:
        scope.fasteners, scope.fasteners_step = "all", scope.step


def _name_in_brackets(scope: Scope, clause: Clause) -> None:
    """Let "(lock nut 15 N·m)" belong to the lock nut."""
    found = subject_of(clause, scope.draft, listed=False) if clause.figures else None
    if found is not None and not scope.draft.is_general(found.text):
        scope.subject = found


def name_between(
    scope: Scope, clause: Clause, quantity: Quantity, others: Sequence[Quantity]
) -> None:
    """Let a torque belong to what is named between it and the torque before it.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity
    others : sequence of Quantity
        All quantities of the clause.
    """
    earlier = [other.last for other in others if other.last < quantity.first]
    if quantity.letter != "Q" or not earlier or clause.inside:
        return
    found = subject_between(clause, scope.draft, max(earlier) + 1, quantity.first)
    if found is not None and not same(found, scope.subject):
        scope.subject = found


def _stands_alone(clause: Clause) -> bool:
    return clause.ends_with == "" and not clause.figures
