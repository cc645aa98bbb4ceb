"""What the person must see although the reading stands."""

from __future__ import annotations

from clampwright.procedure.clauses import Clause, Sentence
from clampwright.procedure.scope import Scope
from clampwright.procedure.syntax import walk
from clampwright.words import words


def note_cautions(scope: Scope, sentence: Sentence) -> None:
    """Add the cautions a sentence calls for.

    Parameters
    ----------
    scope : Scope
    sentence : Sentence
    """
    draft = scope.draft
    if sentence.has("LEFT_HAND"):
        scope.left_hand = True
        draft.warn("left_hand_thread")
    if sentence.has("CCW"):
        scope.ccw = True
    if sentence.has("COMMAND"):
        draft.commanded = True
        _command(scope, sentence)
    for clause in sentence.clauses:
        if _unsafe(clause):
            draft.warn("unsafe_method")
        if clause.has("LOOSEN") and clause.has("NOT", "WITHOUT"):
            draft.warn("do_not_back_off")
        if clause.has("ORDER") and shown_in_figure(sentence, clause):
            draft.warn("order_in_figure")
        orders = clause.values("ORDER")
        of_removal = clause.has("REMOVAL") and any("reverse" in one for one in orders)
        of_removal = of_removal or "reverse_of_removal" in orders
        numbered = any(item.kind == "subset" for item in clause.items)
        told = numbered or bool(clause.figures)  # "starting with bolt 1", "starting from 30 N·m"
        vague = clause.has("REFERENCE") and not (told and "start" in clause.values("REFERENCE"))
        if vague or of_removal:
            draft.warn("order_needs_reference")
        if clause.has("ADD") and sentence.has("RUNNING"):
            draft.warn("add_running_torque")


def _unsafe(clause: Clause) -> bool:
    """Tell a hammer, or a pipe on the wrench, from a pipe that the fastener holds."""
    if not clause.has("UNSAFE") or clause.has("NOT", "WITHOUT"):
        return False
    if set(clause.values("UNSAFE")) != {"lever"} or clause.has("TOOL", "ADAPTER"):
        return True
    place = clause.place("UNSAFE") or 0
    ahead = [index for index in clause.own if index < place and clause.tokens[index].letter]
    return bool(ahead) and clause.tokens[ahead[-1]].has("USE", "AIM")


def shown_in_figure(sentence: Sentence, clause: Clause) -> bool:
    """Tell whether an order is drawn elsewhere: said in the clause or in a bracket behind it.

    Parameters
    ----------
    sentence : Sentence
    clause : Clause

    Returns
    -------
    bool
    """
    if clause.has("FIGREF"):
        return True
    place = next(n for n, one in enumerate(sentence.clauses) if one is clause)
    behind = sentence.clauses[place + 1 : place + 2]
    return any(one.inside and one.has("FIGREF", "REF") and not one.figures for one in behind)


def _command(scope: Scope, sentence: Sentence) -> None:
    """Report text that speaks to the program; its figures, if any, are asked about."""
    draft = scope.draft
    draft.mark(
        [i for c in sentence.clauses for i, t in c.words() if t.has("COMMAND")],
        "reported",
        words("not an instruction about the joint"),
    )
    figures = [item for c in sentence.clauses for item in walk(c.figures)]
    if any(draft.tokens[i].letter in "QA" for item in figures for i in item.tokens):
        draft.ask(
            "unexpected_text",
            words(
                "a sentence speaks to the program and holds a figure: {text}",
                text=draft.written([i for c in sentence.clauses for i in c.own])[:200],
            ),
        )
