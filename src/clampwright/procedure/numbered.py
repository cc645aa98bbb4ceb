"""Numbers of fasteners, steps and parts: whom a figure is for, and which lead to no work."""

from __future__ import annotations

import re
from collections.abc import Sequence

from clampwright.procedure.clauses import HEADS, Clause, Sentence
from clampwright.procedure.draft import LOOK_BACK, Slot
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Fasteners
from clampwright.procedure.subjects import members, take_label, take_subset
from clampwright.procedure.syntax import Item
from clampwright.procedure.vocabulary import fold
from clampwright.words import words

MOST_IN_A_ROW = 24
"""More fasteners than this with one torque, "bolts 3 to 45 to 50 N·m", are asked about."""


def named_fasteners(scope: Scope, clause: Clause, item: Item) -> None:
    """Take the fasteners a phrase names, for the figure before it or those behind it.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    item : Item
        A ``subset``, or a reference that numbers fasteners.
    """
    if take_subset(scope, clause, item):
        name_behind(scope, clause, item, scope.fasteners)
        _ask_where_it_ends(scope, item)


def name_behind(scope: Scope, clause: Clause, item: Item, chosen: Fasteners) -> None:
    """Let "65° for bolts 1-6" hold for those, whichever bolts were spoken of before.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    item : Item
        The phrase with the numbers.
    chosen : tuple of int or str
        Fasteners.
    """
    named = {"subset", "span", "label", "reference"}
    if any(one.kind in named and one.first < item.first for one in clause.items):
        return
    if any(one.first > item.last for one in clause.figures):
        return  # it heads the figure behind it
    for slot in scope.new_slots:
        if slot.tokens and slot.tokens[0] in clause.own and max(slot.tokens) < item.first:
            slot.fasteners = chosen


def labelled(scope: Scope, clause: Clause, item: Item) -> None:
    """Take the fasteners behind a letter, for the figure before it or those behind it.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    item : Item
        A ``label``.
    """
    if item.first in scope.draft.marks:
        return  # the last letter of a part number
    listed = [one for other in scope.sentence.clauses for one in other.items if one.kind == "label"]
    if scope.sentence.has("ORDER") and len(listed) > 2:
        scope.draft.mark(item.tokens, "used", words("order of the fasteners"))
    elif not clause.inside:
        take_label(scope, clause, item)
        name_behind(scope, clause, item, scope.fasteners)


def _ask_where_it_ends(scope: Scope, item: Item) -> None:
    """Ask about "bolt 3 to 45 to 50 N·m": bolts 3 to 45, or one bolt to a range of torque."""
    tokens = scope.draft.tokens
    letters = "".join(tokens[index].letter for index in item.tokens)
    behind = "".join(token.letter for token in tokens[item.last + 1 : item.last + 6])
    if not re.fullmatch(r"B[R#]*NtN", letters) or not re.match(r"t[NW]Q", behind):
        return
    last = tokens[item.last].number
    if not _one_only(tokens[item.first].text) and (last is None or last.value <= MOST_IN_A_ROW):
        return
    scope.draft.ask(
        "sign_unclear",
        words(
            "{text}: fasteners from one number to another, or one fastener to a range of torque?",
            text=scope.draft.written([*item.tokens, *range(item.last + 1, item.last + 4)]),
        ),
    )


def _one_only(word: str) -> bool:
    """Tell "bolt" from "bolts", as far as the word shows it."""
    folded = fold(word)
    return folded.isascii() and not folded.endswith(("s", "i", "en", "ern"))


def numbers_fasteners(scope: Scope, clause: Clause, item: Item) -> bool:
    """Tell "Nos. 11-14: 10 N·m" from a part number.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    item : Item
        A ``reference``.

    Returns
    -------
    bool
    """
    tokens = [scope.draft.tokens[index] for index in item.tokens]
    behind = scope.draft.tokens[item.last + 1 : item.last + 2]
    hashed = tokens[0].letter == "#" and not any(one.letter in {"B", "x"} for one in behind)
    if not hashed and tokens[0].value("REF") != "number":
        return False  # "Fig. 5, No. 3" too
    several = len(members(item, scope.draft)) > 1
    told = bool(clause.figures) or clause.ends_with in {":", "-", "|"}
    return told and (several or isinstance(scope.fasteners, tuple))


def name_the_others(
    scope: Scope, clause: Clause, quantity: Quantity, found: Sequence[Quantity]
) -> None:
    """Let "bolts 1-4 30 N·m, the others 45 N·m" give the second figure to no bolt of the first.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity
    found : sequence of Quantity
        All quantities of the clause.
    """
    draft = scope.draft
    near = scope.before(quantity, found)
    if len(found) == 1:
        near = [*near, *scope.behind(quantity, found)]
    if ":" in clause.leads and found[0] is quantity:
        near = [*_before_colon(scope, clause), *near]
    told = [index for index in near if draft.tokens[index].has("OTHERS")]
    if not told or quantity.letter not in "QA":
        return
    numbered = any(
        isinstance(slot.fasteners, tuple) and slot.kind in {"torque", "angle"}
        for slot in draft.slots[-LOOK_BACK:]
    )
    named = any(item.kind in {"subset", "span"} and item.first in near for item in clause.items)
    if not numbered or named:
        return
    if quantity.letter == "A" and told[-1] + 1 == quantity.first:
        draft.ask(
            "unexpected_text",
            words(
                "{text}: for the other fasteners, or what is left to turn?",
                text=draft.written([told[-1], *quantity.tokens]),
            ),
        )
        return
    last = told[-1]
    if draft.tokens[last + 1 : last + 2] and draft.tokens[last + 1].letter == "B":
        last += 1
    scope.fasteners = draft.written([told[0], last]).lower()
    scope.fasteners_step = scope.step


def _before_colon(scope: Scope, clause: Clause) -> list[int]:
    """Return the words of "all other bolts: 24 N·m" that stand before the colon."""
    clauses = scope.sentence.clauses
    place = next(n for n, one in enumerate(clauses) if one is clause)
    before = clauses[place - 1] if place else None
    return [] if before is None or before.figures or before.inside else before.own


def named_without_work(scope: Scope, new: Sequence[Slot]) -> None:
    """Ask about "loosen screw 1, tighten it to 20 N·m, then screw 2", left open.

    Parameters
    ----------
    scope : Scope
    new : sequence of Slot
        The stages of the sentence.
    """
    done = {one for slot in new if isinstance(slot.fasteners, tuple) for one in slot.fasteners}
    last = max((max(slot.tokens) for slot in new if slot.tokens), default=10**9)
    if _goes_on(scope, new):
        before = scope.draft.slots[-1].fasteners
        done, last = set(before) if isinstance(before, tuple) else set(), -1
    for clause in scope.sentence.clauses:
        if clause.figures or clause.inside or clause.ends_with == ":":
            continue
        if clause.has("TIGHTEN", "LOOSEN", "SNUG", "REPEAT", "SAME", "ORDER", "CHECK"):
            continue
        for item in clause.items:
            if item.kind != "subset" or item.first < last or not done:
                continue
            named = members(item, scope.draft)
            if named and done.isdisjoint(named):
                scope.draft.ask(
                    "unexpected_text",
                    words(
                        "{text}: what is to be done with it?", text=scope.draft.written(item.tokens)
                    ),
                )


def one_figure_for_steps(scope: Scope, new: Sequence[Slot]) -> None:
    """Ask about "steps 2 and 3: 45°": in each of them, or in both together.

    Parameters
    ----------
    scope : Scope
    new : sequence of Slot
        The stages of the sentence.
    """
    heads = [
        item
        for clause in scope.sentence.clauses
        for item in clause.items
        if item.kind in HEADS and not clause.has("REPEAT", "SAME", "AFTER", "BEFORE")
    ]
    for place, head in enumerate(heads):
        stop = heads[place + 1].first if place + 1 < len(heads) else 10**9
        steps = len(members(head, scope.draft))
        own = [s for s in new if s.tokens and head.last < s.tokens[0] < stop and s.kind == "angle"]
        if head.kind != "step_list" or steps < 2 or len(own) != 1 or not own[0].certain:
            continue
        pulls = [s for s in new if s.tokens and head.last < s.tokens[0] < stop]
        if len(pulls) > 1:
            continue
        stage = own[0].stage
        own[0].options = [[stage] * steps, [stage]]
        own[0].certain = False
        own[0].question = (
            "cumulative_or_further",
            words(
                "{text}: in each of these steps, or in all of them together?",
                text=scope.draft.written([*head.tokens, *own[0].tokens]),
            ),
        )


def _goes_on(scope: Scope, new: Sequence[Slot]) -> bool:
    """Tell whether a sentence says only "then bolts 7 to 10", and no figure comes behind it."""
    following = scope.following
    ended = following is None or not _has_figures(following)
    opening = scope.sentence.clauses[0].leads
    return "h" in opening and not new and bool(scope.draft.slots) and ended


def rest_of_part_number(scope: Scope, item: Item) -> list[int]:
    """Return the further groups of "part no. 06A 103 384 B"; none where a unit follows them.

    Parameters
    ----------
    scope : Scope
    item : Item
        A ``reference``.

    Returns
    -------
    list of int
        Positions of tokens.
    """
    tokens = scope.draft.tokens
    if scope.declared or not any(tokens[index].value("REF") == "part" for index in item.tokens):
        return []
    run = []
    for index in range(item.last + 1, min(item.last + 10, len(tokens))):
        if not tokens[index].letter or tokens[index].letter not in "NMZ":
            break
        run.append(index)
    stop = tokens[item.last + 1 + len(run) : item.last + 2 + len(run)]
    measured = any(token.letter and token.letter in "QALHKFV%xt~±/" for token in stop)
    groups = [index for index in run if tokens[index].letter == "N"]
    return [] if measured or not groups else run


def _has_figures(sentence: Sentence) -> bool:
    return any(clause.figures for clause in sentence.clauses)


def counts_no_fasteners(scope: Scope, item: Item) -> bool:
    """Tell "after 30 ... tighten all bolts" from "8 long bolts".

    Parameters
    ----------
    scope : Scope
    item : Item
        A ``count``.

    Returns
    -------
    bool
    """
    tokens = scope.draft.tokens
    ahead = [token for token in tokens[max(0, item.first - 3) : item.first] if token.letter][-1:]
    inner = [tokens[index] for index in item.tokens]
    works = any(token.has("TIGHTEN", "RETIGHTEN", "LOOSEN", "TURN") for token in inner)
    return works or any(token.has("AFTER", "WAIT", "DRIVE") for token in ahead)
