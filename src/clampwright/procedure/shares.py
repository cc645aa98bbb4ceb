"""Parts of a torque: "1/3, 2/3 and then the full torque of 90 N·m", "50 % of 120 lb-ft"."""

from __future__ import annotations

from fractions import Fraction

from clampwright.procedure.clauses import Clause, Sentence
from clampwright.procedure.quantities import quantities
from clampwright.procedure.scope import Scope
from clampwright.procedure.syntax import Item
from clampwright.words import words


def portions(scope: Scope, sentence: Sentence) -> None:
    """Note the parts of a torque that a sentence names, for the torque it names too.

    Parameters
    ----------
    scope : Scope
    sentence : Sentence
    """
    found: list[tuple[float, tuple[int, ...]]] = []
    for clause in sentence.clauses:
        for item in clause.items:
            if item.kind == "portions":
                found.extend(_members_of_portions(scope, item))
            elif item.kind == "figure" and _lone_percent(scope, clause, item):
                found.append(_share(scope, item.parts[0].tokens))
            elif item.kind == "number" and _part_of_torque(scope, item):
                found.append(_share(scope, item.tokens))
    if not found or any(not 0 < share <= 1 for share, _ in found):
        return
    if not any(q.letter == "Q" for c in sentence.clauses for q in quantities(c)):
        return
    if found[-1][0] < 1 and _full_follows(sentence):
        found.append((1.0, ()))
    for _, tokens in found:
        scope.draft.mark(tokens, "used", words("part of the torque"))
    scope.portions.extend(found)


def _members_of_portions(scope: Scope, item: Item) -> list[tuple[float, tuple[int, ...]]]:
    found: list[tuple[float, tuple[int, ...]]] = []
    for index in item.tokens:
        token = scope.draft.tokens[index]
        if token.number is not None:
            percent = scope.draft.tokens[index + 1 : index + 2]
            scale = 100 if percent and percent[0].letter == "%" else 1
            found.append((float(token.number.value) / scale, (index,)))
        elif token.letter == "p":
            found.append((1.0, (index,)))
    return found


def _lone_percent(scope: Scope, clause: Clause, item: Item) -> bool:
    tokens = item.parts[0].tokens
    if len(item.parts) != 1 or item.parts[0].kind != "single":
        return False
    if scope.draft.tokens[tokens[-1]].letter != "%" or clause.has("REDUCE", "WHATEVER"):
        return False
    ahead = [t.letter for t in scope.draft.tokens[item.last + 1 : item.last + 6] if t.letter][:2]
    said = clause.has("TO", "THEN", "TIGHTEN", "ORDINAL", "STEP")
    return said or ahead == ["N", "Q"] or bool(clause.leads & {"h", ","})


def _part_of_torque(scope: Scope, item: Item) -> bool:
    """Tell "half the torque": a fraction, and the word torque behind it."""
    token = scope.draft.tokens[item.tokens[0]]
    if token.number is None or not 0 < token.number.value < 1:
        return False
    after = [t for t in scope.draft.tokens[item.last + 1 : item.last + 5] if t.letter][:2]
    if len(after) > 1 and after[0].letter == "N" and after[1].letter == "Q":
        return True  # "half of 80 N·m"
    return any(t.has("TORQUE", "FINALVALUE", "FULL") for t in after)


def _share(scope: Scope, indices: tuple[int, ...]) -> tuple[float, tuple[int, ...]]:
    number = scope.draft.tokens[indices[0]].number
    percent = len(indices) > 1 and scope.draft.tokens[indices[-1]].letter == "%"
    value = number.value if number is not None else Fraction(1)
    return float(value / 100 if percent else value), indices


def _full_follows(sentence: Sentence) -> bool:
    return sentence.has("FULL", "FINALVALUE")
