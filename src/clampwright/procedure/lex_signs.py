"""Signs and gaps: dashes, dots, plus signs, leaders, ends of lines."""

from __future__ import annotations

import re
from dataclasses import replace

from clampwright.procedure.lexer import LexerBase
from clampwright.procedure.numerals import read_number
from clampwright.procedure.scanner import SCANNER, SIGNS
from clampwright.procedure.unit_text import UnitText, unit_at
from clampwright.procedure.vocabulary import Meaning

_ROMAN = re.compile(r"[IV]{1,4}")
_LONGEST_SHORT = 7
"""Letters of an abbreviation with a dot, such as "maxi." or "höchst."; a longer word is whole."""


class SignLexer(LexerBase):
    """Tokens of signs and gaps."""

    def _gap(self, kind: str, match: re.Match[str]) -> int:
        self.spaced = True
        last = self._last()
        if kind == "leader":
            between = last is not None and last.letter in ",N" and match.end() < len(self.text)
            ahead = re.compile(r"\s*,?\s*\d").match(self.text, match.end())
            short = len(match[0].replace(" ", "")) <= 4
            self._add("e" if between and ahead and short else "|", match.start(), match.end())
            self.spaced = True
        elif kind == "newline" and self.tokens and not self._line_goes_on(match):
            self._add("n", match.start(), match.end())
            self.spaced = True
        return match.end()

    def _line_goes_on(self, match: re.Match[str]) -> bool:
        """Tell whether the next line belongs to the same phrase."""
        rest = self.text[match.end() : match.end() + 40]
        last = self.tokens[-1]
        if not rest or (match[0].count("\n") > 1 and not self.after_number):
            return False
        if self.after_number and unit_at(self.text, match.end(), after_number=True):
            return True
        if last.letter in ";:." or last.letter == "n":
            return False
        if last.letter in "t+~±,(a" or (last.letter == "" and last.has("FILL")):
            return not re.match(r"\(?\d{1,2}[.)]\s", rest)
        return rest[0].islower() and not re.match(r"[a-z][.)]\s", rest)

    def _sign(self, match: re.Match[str]) -> int:
        sign, start = match[0], match.start()
        if sign in "°\"'#%" and (end := self._unit_here(start)):
            return end
        if sign == "°" and re.compile(r"\(°\)").match(self.text, max(0, start - 1)):
            return self._add("A", start, start + 1, unit=UnitText("A", "deg", start + 1))
        if sign in {"-", "–"}:
            return self._dash(start)
        if sign == "+":
            return self._plus(start)
        if sign == ".":
            return self._dot(start)
        if sign in "¿¡!?":
            return self._add("." if sign in "!?" else "", start, start + 1)
        if sign == "·" and self._between_numbers(start):
            return self._add(",", start, start + 1)
        letter = SIGNS.get(sign, "")
        means: tuple[Meaning, ...] = ()
        if sign in "≤<":
            letter, means = "w", (("MAX", ""),)
        elif sign == "≥" or (sign == ">" and self._opens_a_limit()):
            letter, means = "w", (("MIN", ""),)
        return self._add(letter, start, start + 1, means=means)

    def _between_numbers(self, start: int) -> bool:
        """Tell the dot of a Japanese list (bolts 1・2) from the dot inside a unit."""
        last = self._last()
        number = last is not None and last.letter == "N" and last.end == start
        return number and self.text[start + 1 : start + 2].isdigit()

    def _opens_a_limit(self) -> bool:
        """Tell "> 30 N·m" from an arrow between two steps."""
        last = self._last()
        return last is None or last.letter not in "NWQALHK)="

    def _plus(self, start: int) -> int:
        match = re.compile(r"\+\s?/\s?-|\+\s?-(?=\s?\d)|\+\s?/\s?[–]").match(self.text, start)
        if match:
            return self._add("±", start, match.end())
        return self._add("+", start, start + 1)

    def _dash(self, start: int) -> int:
        """Tell a dash between, a minus before a number, and a hyphen inside words apart."""
        end = start + 1
        touches = self.text[end : end + 1].isdigit()
        last = self._last()
        if re.compile(r"-\s?/\s?\+").match(self.text, start):
            return self._add("±", start, self.text.index("+", start) + 1)
        before_is_figure = last is not None and last.letter in "NWQALHKFV%)"
        if not self.spaced and last is not None and not touches and last.end == start:
            after_letter = self.text[end : end + 1].isalpha()
            if last.text == "°" and self.text[end : end + 1].isupper():
                return end  # "90°-Winkelstück": the shape of a part
            if after_letter and (last.letter not in "QALHKFV%" or not before_is_figure):
                return end  # a hyphen: open-end, 90-degree
        if touches and self.spaced:
            if before_is_figure or self._goes_below():
                return self._add("g", start, end)
            previous = self.tokens[-1].letter if self.tokens else "n"
            if previous != "-" and self.text[start] == "-":
                return self._negative(start)
        return self._add("-", start, end)

    def _goes_below(self) -> bool:
        """Tell the second half of "(+5, -2)" from a negative number."""
        letters = "".join(token.letter for token in self.tokens[-6:])
        return re.search(r"\+NQ?[,/]$", letters) is not None

    def _negative(self, start: int) -> int:
        match = SCANNER.match(self.text, start + 1)
        if match is None or match.lastgroup != "number":
            return self._add("-", start, start + 1)
        number = read_number(match[0].strip(), self.marks)
        if number is None:
            return self._add("-", start, start + 1)
        negative = replace(number, value=-number.value, oddity="minus")
        return self._add("N", start, match.end(), number=negative)

    def _dot(self, start: int) -> int:
        """Tell the end of a sentence from the dot of an abbreviation."""
        last = self.tokens[-1] if self.tokens else None
        rest = re.compile(r"\s*").match(self.text, start + 1)
        after = self.text[rest.end() : rest.end() + 1] if rest else ""
        if last is None or last.end != start or not after:
            return self._add(".", start, start + 1)
        if last.unit is not None and (after in "(,;:)" or after.islower()):
            return start + 1
        if last.letter in "NO" and re.match(r"[^\W\d_]", after) and last.letter == "O":
            return start + 1
        if last.letter == "a" and after.isdigit():
            return start + 1  # "1 u. 2"
        if last.letter in "NW" or last.letter in ")QA":
            return self._add(".", start, start + 1)
        short = len(last.text) <= _LONGEST_SHORT and " " not in last.text
        limits = short and last.has("OR", "MAX", "MIN")
        abbreviates = (
            limits
            or last.has("REF", "FILL", "ORDINAL")
            or (len(last.text) <= 5 and not last.means and not _ROMAN.fullmatch(last.text))
        )
        if (
            after.islower()
            or after in ",;:)"
            or (abbreviates and (after.isdigit() or after in "#-"))
        ):
            return start + 1
        return self._add(".", start, start + 1)
