"""What a clause is about: fastener numbers, labels, and names such as "inner wheel nuts"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from clampwright.procedure.clauses import HEADS, Clause
from clampwright.procedure.draft import Draft, Subject
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Fasteners
from clampwright.procedure.syntax import Item
from clampwright.procedure.tokens import Token
from clampwright.procedure.vocabulary import fold
from clampwright.words import words

MOST_FASTENERS = 400
_OF = frozenset({"de", "di", "da", "of", "von", "van"})
"""Small words between a fastener and a number that make the number a size, in any language."""
_NO_COUNT = frozenset({"model", "grade", "part", "figure", "page", "section"})
STRENGTH_CLASSES = frozenset(
    Fraction(text) for text in ("4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9")
)

# Words that end a name: what is done, how far, in what order; not what it is done to.
_NO_NAME = frozenset(
    [
        "TIGHTEN",
        "RETIGHTEN",
        "TORQUE",
        "TURN",
        "LOOSEN",
        "BACK",
        "SNUG",
        "CONTACT",
        "UNTIL",
        "WHILE",
        "IF",
        "NOT",
        "WITHOUT",
        "AFTER",
        "BEFORE",
        "TO",
        "MAX",
        "MIN",
        "EXCEED",
        "BELOW",
        "SETTOOL",
        "ADD",
        "THEN",
        "STEP",
        "CHECK",
        "RECHECK",
        "ROTATING",
        "RUNNING",
        "WAIT",
        "DRIVE",
        "NEW",
        "USE",
        "REPLACE",
        "REUSE",
        "SPECIFIED",
        "SECURELY",
        "TOTAL",
        "REPEAT",
        "SAME",
        "LEFT_HAND",
        "RIGHT_HAND",
        "CCW",
        "CW",
        "OIL",
        "THREADS",
        "UNDERHEAD",
        "LUBE",
        "BYHAND",
        "FINALVALUE",
        "FULL",
        "FIT",
        "MARK",
        "COMMAND",
        "PER_FASTENER",
        "FIGREF",
        "WITHIN",
        "TWICE",
        "TIMES",
        "STRETCHBOLT",
        "REDUCE",
        "PLUS",
        "OR",
        "DIRECTIVE",
        "STRETCH",
        "UNSUPPORTED",
        "ALL",
        "ORDER",
        "REFERENCE",
        "MANNER",
    ]
)


def members(item: Item, draft: Draft) -> tuple[int, ...]:
    """Return the fastener numbers of a phrase such as "bolts 1-10, 12 and 14".

    Parameters
    ----------
    item : Item
    draft : Draft

    Returns
    -------
    tuple of int
        Empty when they are no proper numbers.
    """
    found: list[int] = []
    upto = False
    letters = "".join(draft.tokens[index].letter for index in item.tokens)
    row = re.search(r"N-N-N|N>N", letters) is not None  # one after the other, not from-to
    for index in item.tokens:
        token = draft.tokens[index]
        if token.letter in "-~te":
            upto = not row
        elif token.number is not None:
            value = token.number.value
            if (
                value.denominator != 1
                or not token.text.isalnum()
                or not 1 <= value <= MOST_FASTENERS
            ):
                return ()
            number = int(value)
            if upto and found and number > found[-1]:
                found.extend(range(found[-1] + 1, number))
            found.append(number)
            upto = False
    return tuple(dict.fromkeys(found))


def labels(item: Item, draft: Draft) -> str:
    """Return the label letters of a phrase such as "bolts A and B".

    Parameters
    ----------
    item : Item
    draft : Draft

    Returns
    -------
    str
    """
    found: list[str] = []
    upto = False
    for token in (draft.tokens[index] for index in item.tokens):
        if token.letter in "-~t" and token.letter:
            upto = True
        elif token.letter == "Z":
            if upto and found and len(token.text) == len(found[-1]) == 1:
                between = range(ord(found[-1]) + 1, ord(token.text))
                found += [chr(code) for code in between]
            found.append(token.text)
            upto = False
    return ", ".join(found)


def take_subset(scope: Scope, clause: Clause, item: Item) -> bool:
    """Let the following stages apply to the fasteners a phrase names.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    item : Item
        A ``subset``.

    Returns
    -------
    bool
        Whether fasteners were named.
    """
    draft = scope.draft
    elided = draft.tokens[item.tokens[0]].letter == "N"
    if elided and not isinstance(scope.fasteners, tuple) and item is not clause.items[0]:
        return False  # "20, 30 to 40 N·m": no fasteners were spoken of; the numbers come up later
    if _of_a_size(draft, item):
        draft.mark(item.tokens, "other", words("size"))
        return False
    if any(draft.tokens[index].value("REF") in _NO_COUNT for index in item.tokens):
        draft.mark(item.tokens, "other", words("type or part number"))
        return False  # "plug type 2", no plug 2
    chosen: Fasteners = labels(item, draft) or members(item, draft)
    if not chosen:
        _strength_class(draft, item)
        return False
    draft.mark(item.tokens, "used", words("which fasteners"))
    if clause.has("EXCEPT"):
        draft.ask(
            "unexpected_text",
            words("{text}: which fasteners are left?", text=draft.written(clause.own)),
        )
        return False
    if isinstance(chosen, tuple) and list(chosen) != sorted(chosen):
        scope.set_order(chosen, own=True)
        chosen = tuple(sorted(chosen))
    _apply(scope, clause, chosen)
    return True


def _of_a_size(draft: Draft, item: Item) -> bool:
    """Tell "vis de 10", a size, from "vis 10"."""
    numbers = [index for index in item.tokens if draft.tokens[index].letter == "N"]
    if len(numbers) != 1 or draft.tokens[item.first].letter != "B":
        return False
    between = draft.tokens[item.first + 1 : numbers[0]]
    return any(fold(token.text) in _OF for token in between)


def _strength_class(draft: Draft, item: Item) -> None:
    for index in item.tokens:
        number = draft.tokens[index].number
        if number is not None and number.value in STRENGTH_CLASSES:
            draft.mark([index], "other", words("strength class"))


def _apply(scope: Scope, clause: Clause, chosen: Fasteners) -> None:
    if clause.inside and not clause.figures and _behind_its_figure(scope, clause, chosen):
        return
    scope.fasteners, scope.fasteners_step = chosen, scope.step
    if not clause.inside:  # "bolts 1 to 8: step 1 ..., step 2 ..." heads its steps
        heads = clause.ends_with == ":" and not clause.figures
        scope.headed_fasteners = chosen if heads and scope.step is None else "all"
    # "... in sequence to 30 N·m, bolts 1 to 10": named behind the figure of the same clause.
    for slot in scope.new_slots:
        if slot.tokens and slot.tokens[0] in clause.own and slot.fasteners == "all":
            slot.fasteners = chosen


def _behind_its_figure(scope: Scope, clause: Clause, chosen: Fasteners) -> bool:
    """Let "20 N·m (bolt 1), 30 N·m (bolt 2)" name the bolt of the figure before each bracket.

    A single bracket is taken for what follows too: "20 N·m (bolts 1 to 4), then 90°".
    """
    first = min(clause.own, default=0)
    own = [slot for slot in scope.new_slots if slot.tokens and max(slot.tokens) < first]
    if not own:
        return False
    last = own[-1].tokens
    told = scope.draft.tokens[max(last) + 1 : first]
    if any(token.letter not in {"", "("} for token in told):
        return False
    own[-1].fasteners = chosen
    brackets = [one for one in scope.sentence.clauses if one.inside and not one.figures]
    return sum(any(item.kind == "subset" for item in one.items) for one in brackets) > 1


def take_label(scope: Scope, clause: Clause, item: Item) -> None:
    """Let the following stages apply to the fasteners behind a letter.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    item : Item
    """
    scope.draft.mark(item.tokens, "used", words("label"))
    _apply(scope, clause, scope.draft.tokens[item.tokens[0]].text)


def subject_of(clause: Clause, draft: Draft, *, listed: bool) -> Subject | None:
    """Return what a clause names before its first figure, or None.

    Parameters
    ----------
    clause : Clause
    draft : Draft
    listed : bool
        Whether a name without a fastener word counts (the head of a line, "Main cap: 85 N·m").

    Returns
    -------
    Subject or None
    """
    runs = [run for run in _runs(clause, draft) if _names(run, draft)]
    with_fastener = [run for run in runs if any(_is_fastener(draft, i) for i in run)]
    if with_fastener:
        chosen = with_fastener[-1]
    elif listed and runs:
        chosen = runs[0]
    else:
        return None
    text = draft.written(chosen)
    general = all(
        draft.tokens[i].letter == "M" or draft.tokens[i].has("GENERAL")
        for i in chosen
        if draft.tokens[i].letter
    )
    return Subject(text, frozenset(_names(chosen, draft)), listed, general)


def subject_between(clause: Clause, draft: Draft, start: int, end: int) -> Subject | None:
    """Return the fastener or thread size named between two places of a clause, or None.

    Parameters
    ----------
    clause : Clause
    draft : Draft
    start, end : int
        Positions of tokens.

    Returns
    -------
    Subject or None
    """
    run = _trimmed([index for index in sorted(clause.own) if start <= index < end], draft)
    named = [i for i in run if draft.tokens[i].letter in "BM" or draft.tokens[i].has("FASTENER")]
    if not named or any(not _may_name(draft.tokens[i]) for i in run):
        return None
    return Subject(draft.written(run), frozenset(_names(run, draft)))


def _may_name(token: Token, letters: str = "wBCRM") -> bool:
    stops = any(name in _NO_NAME for name, _ in token.means) and not token.has("FASTENER")
    return (token.letter in letters or not token.letter) and not stops


def _is_fastener(draft: Draft, index: int) -> bool:
    return draft.tokens[index].has("FASTENER")


def _runs(clause: Clause, draft: Draft) -> list[list[int]]:
    """Return the runs of words before the first figure that may be names."""
    runs: list[list[int]] = [[]]
    figures = clause.figures or [item for item in clause.items if item.kind == "number"]
    floor = min((item.first for item in figures), default=10**9)
    numbered = {i for item in clause.items if item.kind != "mark" for i in item.tokens}
    heads = {i for item in clause.items if item.kind in HEADS for i in item.tokens}
    for index in sorted(clause.own):
        if index >= floor:
            break
        token = draft.tokens[index]
        inner = bool(runs[-1]) and token.letter == "t" and _joins_words(draft, index)
        counted = index in numbered and token.letter not in "MCRBZ"
        if inner or (_may_name(token, "wBCRMZ") and index not in heads and not counted):
            runs[-1].append(index)
        else:
            runs.append([])
    return [trimmed for run in runs if (trimmed := _trimmed(run, draft))]


def _joins_words(draft: Draft, index: int) -> bool:
    """Tell whether a little word stands inside a name: "pompe à eau"."""
    near = draft.tokens[index + 1 : index + 4]
    after = next((token for token in near if token.letter), None)
    return after is not None and after.letter == "w" and not after.means


def _trimmed(run: Sequence[int], draft: Draft) -> list[int]:
    """Cut the small words off both ends of a run."""
    kept = list(run)
    while kept and not draft.tokens[kept[0]].letter:
        kept.pop(0)
    while kept and not draft.tokens[kept[-1]].letter:
        kept.pop()
    return kept


def _names(run: Sequence[int], draft: Draft) -> set[str]:
    return {
        fold(draft.tokens[index].text).rstrip("s")
        for index in run
        if draft.tokens[index].letter in "wBCRMZ" and draft.tokens[index].text[0].isalnum()
    }


def same(first: Subject | None, second: Subject | None) -> bool:
    """Tell whether two subjects can be one: "the nuts" after "wheel nuts".

    Parameters
    ----------
    first, second : Subject or None

    Returns
    -------
    bool
    """
    if first is None or second is None:
        return True
    return first.names <= second.names or second.names <= first.names
