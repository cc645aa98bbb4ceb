"""Numbers that only count the steps: "1.", "2)", "(3)", "a)"."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from clampwright.procedure.tokens import Token

_OPENS = frozenset({"", "n", ".", ";", ":", "|"})
_MOST_STEPS = 60
_ROMAN = {"I": 1, "II": 2, "III": 3, "IV": 4, "V": 5, "VI": 6, "VII": 7, "VIII": 8}


def mark_enumerators(tokens: Sequence[Token]) -> None:
    """Give the tokens of step numbers the letter E, and take it from their brackets and dots.

    Parameters
    ----------
    tokens : sequence of Token
        Changed in place.
    """
    _ordinals_before_steps(tokens)
    seen: int | None = None
    significant = [index for index, token in enumerate(tokens) if token.letter]
    begun = _begun_elsewhere(tokens, significant)
    for place in range(len(significant)):
        ordinal = tokens[significant[place]]
        if ordinal.letter == "O" and ordinal.text.endswith("."):  # "1. Anzug"
            told = int(ordinal.value("ORDINAL") or 0)
            seen = told if told == 1 or (seen is not None and told == seen + 1) else seen
        candidate = _candidate(tokens, significant, place)
        if candidate is None:
            continue
        number, members = candidate
        if number == 1 or place in begun or (seen is not None and number == seen + 1):
            seen = number
            for member in members:
                tokens[member].letter = ""
            tokens[members[len(members) // 2 if len(members) == 3 else 0]].letter = "E"


def _begun_elsewhere(tokens: Sequence[Token], significant: Sequence[int]) -> set[int]:
    """Return where lines are numbered from another step on: "4) 30 N·m", "5) 60°"."""
    heads = [
        (place, found[0])
        for place in range(len(significant))
        if place == 0 or tokens[significant[place - 1]].letter == "n"
        if (found := _candidate(tokens, significant, place)) is not None
    ]
    return {
        one
        for (one, number), (_, following) in pairwise(heads)
        if following == number + 1 and tokens[significant[one]].letter in {"N", "("}
    }


def _ordinals_before_steps(tokens: Sequence[Token]) -> None:
    """Make "1回目" an ordinal: the number belongs to the step word it touches, not to "ボルト"."""
    for number, step in pairwise(tokens):
        touches = number.end == step.start and not step.text.isascii()
        if touches and number.letter == "N" and step.letter == "S":
            number.letter = "O"


def _candidate(
    tokens: Sequence[Token], significant: Sequence[int], place: int
) -> tuple[int, list[int]] | None:
    """Return the number and tokens of what may be a step number at a place."""
    here = tokens[significant[place]]
    before = tokens[significant[place - 1]] if place else None
    after = [tokens[index] for index in significant[place + 1 : place + 4]]
    if here.letter == "(" and len(after) > 1 and after[1].letter == ")":
        number = _small(after[0])
        following = [tokens[index].letter for index in significant[place + 3 : place + 5]]
        if following in (["~", "("], ["-", "("], ["t", "("]):
            return None  # "(1) to (4): 12 N·m" numbers fasteners
        if number is not None and (before is None or before.letter not in "BRS"):
            return number, list(significant[place : place + 3])
        return None
    number = _small(here)
    if number is None or not after or after[0].letter not in ".)":
        return None
    opens = before is None or before.letter in _OPENS or before.letter in "QALHK)"
    numbered = len(after) > 1 and after[1].letter in "NW"
    opens = opens or (before is not None and before.letter == "," and numbered)
    if not opens or (before is not None and before.letter == "R"):
        return None
    if len(after) > 1 and after[1].letter in "QALHKFV%":
        return None
    if len(after) < 2:
        return None
    return number, list(significant[place : place + 2])


def _small(token: Token) -> int | None:
    if token.number is not None and token.number.whole and token.number.value.denominator == 1:
        value = int(token.number.value)
        return value if 1 <= value <= _MOST_STEPS and token.letter == "N" else None
    if token.text in _ROMAN:
        return _ROMAN[token.text]
    if len(token.text) == 1 and token.text.isascii() and token.text.isalpha():
        return ord(token.text.casefold()) - ord("a") + 1
    return None
