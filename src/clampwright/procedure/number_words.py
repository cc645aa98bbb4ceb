"""Numbers made of several tokens: "two thirds", "one and a half", "1 2 0"."""

from __future__ import annotations

from fractions import Fraction

from clampwright.procedure.numerals import Number
from clampwright.procedure.tokens import Token


def join_spaced_digits(tokens: list[Token], text: str) -> None:
    """Make one doubtful number of "1 2 0 N·m": single digits with single spaces, then a unit.

    Parameters
    ----------
    tokens : list of Token
    text : str
    """
    run: list[Token] = []
    before = ""
    for token in tokens:
        single = token.letter == "N" and len(token.text) == 1 and token.text.isdigit()
        if single and (not run or text[run[-1].end : token.start] == " "):
            run.append(token)
            continue
        if len(run) > 1 and token.letter in {"Q", "A"} and before not in {"S", "R", "#", "x"}:
            digits = "".join(one.text for one in run)
            run[0].number = Number(Fraction(int(digits)), Fraction(1), oddity="spaced", whole=True)
            run[0].end, run[0].text = run[-1].end, text[run[0].start : run[-1].end]
            for one in run[1:]:
                one.letter, one.number, one.start = "", None, one.end
                one.text = ""
        run = [token] if single else []
        before = token.letter or before


def join_number_words(tokens: list[Token]) -> None:
    """Make one number of "two thirds" and of "one and a half" (turns).

    Parameters
    ----------
    tokens : list of Token
    """
    spoken = [token for token in tokens if token.letter]
    for place, token in enumerate(spoken):
        part = token.number.value if token.letter == "W" and token.number else None
        if part is None or part >= 1 or place == 0:
            continue
        before = spoken[place - 1]
        if before.letter == "W" and before.number and before.number.value >= 1:
            token.number = Number(part * before.number.value)
            before.letter = ""
        elif before.letter == "a" and place > 1 and _is_angle(spoken, place + 1):
            count = spoken[place - 2]
            if count.letter in {"N", "W"} and count.number and count.number.value >= 1:
                token.number = Number(part + count.number.value)
                before.letter = count.letter = ""
                token.means = ()
                token.start = count.start


def join_turns_and_parts(tokens: list[Token]) -> None:
    """Make one number of "un tour trois quarts": whole turns, and a part of one behind the unit.

    Parameters
    ----------
    tokens : list of Token
    """
    spoken = [token for token in tokens if token.letter]
    for place in range(2, len(spoken)):
        count, unit, part = spoken[place - 2 : place + 1]
        if part.letter != "W" or unit.unit is None or unit.unit.name != "turn":
            continue
        if part.number is None or part.number.value >= 1 or _is_angle(spoken, place + 1):
            continue
        if count.letter in {"N", "W"} and count.number and count.number.whole is not None:
            count.number = Number(count.number.value + part.number.value)
            part.letter, part.means = "", ()


def _is_angle(spoken: list[Token], place: int) -> bool:
    return place < len(spoken) and spoken[place].letter == "A"
