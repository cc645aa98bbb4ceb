"""Words: phrases of the vocabulary, units in words, codes and label letters."""

from __future__ import annotations

import re
from fractions import Fraction

from clampwright.procedure.lex_numbers import NumberLexer
from clampwright.procedure.numerals import Number, read_number
from clampwright.procedure.scanner import (
    CODE,
    FOLLOWING,
    OF_DEGREES,
    SILENT,
    WORD_LETTERS,
    skip,
)
from clampwright.procedure.unit_text import SYMBOLS, UnitText, unit_at
from clampwright.procedure.vocabulary import CJK, Meaning, fold
from clampwright.units.unit import units

_NUMERO = re.compile(r"[nN]\.? ?[°º](?= ?\d)")
"""The sign for "number" before one: n° 3, N.º 3."""

_SIZE_FOLLOWS = re.compile(r"\s?:\s?M\s?\d")
"""A colon and a thread size: "Motor: M12 80 N·m" names no model."""

_EQUALS = re.compile(r"\s?=\s?\d")
_TWO_FOLLOW = re.compile(
    r"\s?:?\s?([1-9]\d*(?:[.,]\d+)?)\s?(?:[-–~]|[^\W\d_]{1,4}(?=\s))\s?([1-9]\d*(?:[.,]\d+)?)"
)
_WIDEST = 3
"""Upper limit over lower limit of a range of torque, at most; beyond it the first number counts."""


class WordLexer(NumberLexer):
    """Tokens of words."""

    def _address(self, match: re.Match[str]) -> int:
        """Take an address of the web as one word that does not belong to a procedure."""
        return self._add("w", *match.span(), means=(("COMMAND", ""),))

    def _short(self, match: re.Match[str]) -> int:
        means = self.words.meanings(fold(match[0]))
        if means:
            return self._word_token(match.start(), match.end(), means)
        head = re.compile(r"[A-Za-z]").match(self.text, match.start())
        return self._word(head) if head else match.end()

    def _word(self, match: re.Match[str]) -> int:
        start = match.start()
        if numero := _NUMERO.match(self.text, start):
            return self._add("R", *numero.span(), means=(("REF", "number"),))
        if end := self._code(start):
            return end
        unit_end = self._unit_here(start, commit=False)
        end, means = self._phrase(start, match.end())
        if unit_end and unit_end >= end and not self._says_more(means, unit_end, end):
            committed = self._unit_here(start)
            if committed:
                return committed
        if len(match[0]) == 1 and (joined := self._letter_and_cjk(match)):
            return joined
        if len(match[0]) == 1 and (symbol := self._symbol(match)):
            return symbol
        if len(match[0]) == 1 and self._counts_a_step(match):
            return self._add("Z", *match.span())
        if not means and len(match[0]) == 1 and match[0].isupper():
            return self._add("Z", *match.span())
        if len(match[0]) == 1 and match[0].isupper() and self._is_label(match):
            return self._add("Z", *match.span())
        return self._word_token(start, end, means)

    def _letter_and_cjk(self, match: re.Match[str]) -> int | None:
        """Take words such as "Oリング", a letter that goes on in Japanese."""
        rest = re.compile(f"[{CJK}]{{1,12}}").match(self.text, match.end())
        for length in range(len(rest[0]) if rest else 0, 0, -1):
            end = match.end() + length
            means = self.words.meanings(f"{fold(match[0])} {self.text[match.end() : end]}")
            if means:
                return self._word_token(match.start(), end, means)
        return None

    def _says_more(self, means: tuple[Meaning, ...], unit_end: int, end: int) -> bool:
        return bool(means) and end == unit_end and not self.after_number

    def _symbol(self, match: re.Match[str]) -> int | None:
        """Take the sign of multiplication, and T or M for a torque: "T = 30 N·m"."""
        if match[0] in "xX" and self._between_digits(match):
            return self._add("x", *match.span())
        if match[0] in "TM" and _EQUALS.match(self.text, match.end()):
            return self._add("w", *match.span(), means=(("TORQUE", ""),))
        return None

    def _between_digits(self, match: re.Match[str]) -> bool:
        last = self._last()
        if last is None or last.letter not in "NWA":
            return False
        return re.compile(r"\s*(?:\d|M\s?\d|[¼-¾⅓-⅞])").match(self.text, match.end()) is not None

    def _counts_a_step(self, match: re.Match[str]) -> bool:
        """Tell the letters of "(a) 40 N·m (b) 60°" and "a) ..." from "bolt(s)" and "a"."""
        start, end = match.span()
        if self.text[end : end + 1] != ")" or match[0].casefold() > "h":
            return False
        ahead = self.text[max(0, start - 2) : start]
        if ahead.endswith("("):
            return not ahead[:1].isalnum()
        return not ahead.strip() or ahead.strip()[-1] in ".,;:"

    def _is_label(self, match: re.Match[str]) -> bool:
        """Tell label A from the article "A" and from "E" for "and"."""
        last = self._last()
        after = self.text[match.end() : match.end() + 2]
        if last is not None and last.letter in "BRS" and not after.strip().startswith("'"):
            return True
        if last is not None and last.letter == "(" and after[:1] == ")":
            return True
        if last is not None and last.has("MARKED") and not after.strip().startswith("'"):
            return True
        if last is not None and last.letter == "a" and len(self.tokens) > 1:
            before = [token.letter for token in self.tokens if token.letter][-2:-1]
            if before == ["Z"]:
                return True
        return after[:1] in {":", "="} or (after[:1] == " " and after[1:].isdigit())

    def _phrase(self, start: int, first_end: int) -> tuple[int, tuple[Meaning, ...]]:
        """Return where the longest known phrase ends, and what it means."""
        first = fold(self.text[start:first_end])
        most = self.words.longest.get(first, 1)
        ends, parts = [first_end], [first]
        position = first_end
        while len(parts) < most:
            following = FOLLOWING.match(self.text, position)
            if following is None or (following[1] == ". " and len(parts[-1]) > 4):
                break
            if len(following[2]) == 1 and self._is_unit(following.start(2)):
                break  # "pieza    N·m": a heading, no "pieza n"
            position = following.end()
            parts.append(fold(following[2]))
            ends.append(position)
        for count in range(len(parts), 0, -1):
            means = self.words.meanings(" ".join(parts[:count]))
            if means:
                return ends[count - 1], means
        return first_end, ()

    def _is_unit(self, start: int) -> bool:
        found = unit_at(self.text, start, after_number=False)
        return found is not None and found.letter == "Q"

    def _code(self, start: int) -> int | None:
        """Take part numbers, tool sizes and designations (T30, SW13, ISO898) as one piece."""
        match = CODE.match(self.text, start)
        if match is None or (start and self.text[start - 1].isalnum()):
            return None
        head = re.match(r"[A-Za-z]+", match[0])
        if head is None or unit_at(head[0], 0, after_number=True):
            return None
        means = self.words.meanings(fold(head[0]))
        if means and len(head[0]) > 1:
            return None
        return self._add("M", start, match.end())

    def _cjk(self, match: re.Match[str]) -> int:
        found = self._longest_cjk(match.start(), match.end())
        if found is None:
            end = match.start() + 1
            while end < match.end() and self._longest_cjk(end, match.end()) is None:
                end += 1
            return self._add("w", match.start(), end)
        end, means = found
        return self._word_token(match.start(), end, means)

    def _word_token(self, start: int, end: int, means: tuple[Meaning, ...]) -> int:
        means = self._one_of_two(means, end)
        values = dict(reversed(means))
        if measured := self._measuring_word(start, end, values):
            return measured
        if "AMOUNT" in values:
            return self._amount(start, end, values["AMOUNT"])
        if "PASSES" in values:  # "en deux fois": a number of goes
            middle = start + max(1, (end - start) // 2)
            self._add("W", start, middle, number=Number(Fraction(values["PASSES"])))
            return self._add("P", middle, end, means=(("STEP", "many"),))
        if "NOTFINITE" in values:
            return self._add("N", start, end, number=Number(Fraction(0), oddity="not_finite"))
        if "NUMBER" in values and self._counts_as_number(values, end):
            number = Number(Fraction(values["NUMBER"]))
            return self._add("W", start, end, number=number, means=means)
        letter = self._letter(means, values)
        keep = self.after_number
        self._add(letter, start, end, means=means)
        if not letter:
            self.after_number = keep
        return end

    def _measuring_word(self, start: int, end: int, values: dict[str, str]) -> int | None:
        """Take a unit in words, where a number stands before it or degrees behind it."""
        if values.get("UNIT") == "turn" and OF_DEGREES.match(self.text, end):
            return self._turns_of(start, end)
        if "UNIT" in values and self.after_number:
            return self._unit_word(start, end, values["UNIT"])
        if "OTHER_UNIT" in values and self.after_number:
            name = self.text[start:end]
            return self._add("V", start, end, unit=UnitText("V", name, end))
        return None

    def _one_of_two(self, means: tuple[Meaning, ...], end: int) -> tuple[Meaning, ...]:
        """Settle words that refer to a number or do not, by what follows them."""
        values = dict(reversed(means))
        unwanted = ""
        if "NOT" in values and "REF" in values:  # "no": a number follows, or a refusal
            numbered = re.compile(r"[.:]?[ ]?#?\d").match(self.text, end)
            unwanted = "NOT" if numbered else "REF"
        elif values.get("REF") == "model" and (
            _SIZE_FOLLOWS.match(self.text, end) or self._range_follows(end)
        ):
            unwanted = "REF"
        return tuple(pair for pair in means if pair[0] != unwanted)

    def _range_follows(self, end: int) -> bool:
        """Tell "engine support 45 to 55 N·m", a range of torque, from "engine 2 to 60 N·m"."""
        match = _TWO_FOLLOW.match(self.text, end)
        if match is None:
            return False
        low, high = (read_number(one, self.marks) for one in match.groups())
        if low is None or high is None or not 1 < high.value / low.value <= _WIDEST:
            return False
        unit = unit_at(self.text, skip(self.text, match.end()), after_number=True)
        return unit is not None and unit.letter == "Q"

    def _turns_of(self, start: int, end: int) -> int:
        """Take "two turns of 90°" as twice 90°, and "a turn of 60°" as 60°."""
        last = self._last()
        count = last.number.value if last is not None and last.number is not None else None
        if count is None or count == 1:
            if last is not None and count == 1:
                last.letter, self.spoken = "", None
            return self._add("w", start, end, means=(("TURN", ""),))
        return self._add("P", start, end, means=(("STEP", "many"),))

    def _letter(self, means: tuple[Meaning, ...], values: dict[str, str]) -> str:
        if "STEP" in values:
            return "P" if values["STEP"] == "many" else "S"
        for name, _ in means:
            if name in WORD_LETTERS:
                return WORD_LETTERS[name]
        means = tuple(pair for pair in means if pair[0] != "UNIT")
        if means and all(name in SILENT for name, _ in means):
            return ""
        return "" if any(name in {"FILL", "ALL"} for name, _ in means) else "w"

    def _counts_as_number(self, values: dict[str, str], end: int) -> bool:
        """Tell "a third" of a turn from "the third stage", and "un" one from the article."""
        following = self._next_word(end)
        for _ in range(3):  # "a third of a turn"
            if not following or any(name != "FILL" for name, _ in following):
                break
            end = self._word_end(end)
            following = self._next_word(end)
        if "ORDINAL" in values:
            if any(name == "STEP" for name, _ in following):
                return False
            return self.after_number or any(name in {"UNIT", "TURN"} for name, _ in following)
        if "FILL" in values:
            return any(name in {"UNIT", "NUMBER", "AMOUNT"} for name, _ in following)
        return True

    def _amount(self, start: int, end: int, value: str) -> int:
        amount, _, unit = value.partition(" ")
        middle = start + max(1, (end - start) // 2)
        last = self.tokens[-1] if self.tokens else None
        if last is not None and last.letter == "W" and last.number and last.number.value == 1:
            last.letter, self.spoken = "", None  # "un demi-tour", "ein Viertel": the article
        self._add("W", start, middle, number=Number(Fraction(amount)))
        return self._add("A", middle, end, unit=UnitText("A", unit, end))

    def _unit_word(self, start: int, end: int, name: str) -> int:
        if name in SYMBOLS:
            letter = SYMBOLS[name]
        elif name in {"km", "mi"}:
            letter = "K"
        else:
            letter = {"torque": "Q", "angle": "A", "length": "L", "time": "H"}[units()[name].kind]
        return self._add(letter, start, end, unit=UnitText(letter, name, end))
