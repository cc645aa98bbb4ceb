"""Numbers and what looks like them: lists, fractions, ordinals, dates, sizes, scans."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from clampwright.procedure.lex_signs import SignLexer
from clampwright.procedure.numerals import Number, read_number
from clampwright.procedure.scanner import (
    LOOKS_LIKE_DIGIT,
    PITCHES,
    PLAIN_NUMBER,
    SCANNED_NUMBER,
    skip,
)
from clampwright.procedure.unit_text import UnitText, unit_at
from clampwright.procedure.vocabulary import CJK, fold

_GOES_ON = re.compile(r"\s?(?:[-–~±]|(?:to|bis|à|a|tot|and)\b)\s?\d")


class NumberLexer(SignLexer):
    """Tokens of numbers."""

    def _number(self, match: re.Match[str]) -> int:
        start, end = match.span()
        text = match[0]
        if "/" in text and not self._is_fraction(text, end):
            end = start + text.index("/")
            match_head = re.compile(r"\d+").match(self.text, start)
            end = match_head.end() if match_head else end
            text = self.text[start:end]
        if self._splits_at_comma(text, end):
            end = start + text.index(",")
            text = self.text[start:end]
        grouped = re.compile(r"[1-9]\d{0,2}(?: \d{3}){1,3}(?![\d.,]\d|\d)").match(self.text, start)
        doubtful = False
        if grouped and self._may_group(grouped):
            text, end = grouped[0], grouped.end()
            last = self._last()
            doubtful = last is not None and last.value("FASTENER") == "bolt"
        number = read_number(text.strip(), self.marks)
        if number is not None and doubtful:
            number = replace(number, oddity="spaced")  # "bolt 2 500 N·m"
        if number is None:
            return self._add("M", start, end)
        if self._is_cross_size(end):
            return self._code_tail(start, end)
        if self._is_code_head(end):
            return self._code_tail(start, end)
        return self._add("N", start, end, number=number)

    def _is_fraction(self, text: str, end: int) -> bool:
        """Tell 3/4 turn from 20/40 Nm: a fraction is below 1 and of a usual sort."""
        match = re.search(r"(\d+)/(\d+)", text)
        if match is None:
            return True
        top, bottom = int(match[1]), int(match[2])
        if re.compile(r"\s?/\s?\d").match(self.text, end):
            return False
        unit = unit_at(self.text, skip(self.text, end), after_number=True)
        if unit is not None and unit.letter == "Q":
            return False
        return 0 < top < bottom and bottom in {2, 3, 4, 5, 6, 8, 10, 12, 16, 24, 32, 64}

    def _splits_at_comma(self, text: str, end: int) -> bool:
        """Tell a list of fastener numbers (1,2,3 or "bolts 4,5") from a decimal comma."""
        if "," not in text or "." in text or "'" in text:
            return False
        parts = text.split(",")
        if len(parts) > 2:
            return not all(len(part) == 3 for part in parts[1:])
        last = self._last()
        unit = unit_at(self.text, skip(self.text, end), after_number=True)
        if unit is not None and unit.letter in "QAL":
            return False
        listing = last is not None and (
            (last.letter in "BR#" and last.value("REF") != "model")
            or (last.letter == "," and len(self.tokens) > 1 and self._in_list())
        )
        return listing and len(parts[1]) < 3 and parts[0] != "0"

    def _in_list(self) -> bool:
        significant = [token.letter for token in self.tokens[-8:] if token.letter]
        return bool(re.search(r"[BR#](?:N,)+$", "".join(significant)))

    def _may_group(self, grouped: re.Match[str]) -> bool:
        last = self._last()
        if last is not None and last.letter in "SR#x-":
            return False
        after = unit_at(self.text, skip(self.text, grouped.end()), after_number=True)
        return after is not None

    def _is_cross_size(self, end: int) -> bool:
        """Tell "5x112", a size, from "2x90°", two turns."""
        cross = re.compile(r"[xX×]\d+(?:[.,]\d+)?(?!\w)").match(self.text, end)
        if cross is None:
            return False
        after = skip(self.text, cross.end())
        return unit_at(self.text, after, after_number=True) is None and not re.match(
            rf"[ \t]*[^\W\d_{CJK}]", self.text[cross.end() : cross.end() + 3]
        )

    def _is_code_head(self, end: int) -> bool:
        """Tell whether letters that are no unit hang on the number, as in 4WD."""
        after = re.compile(r"[A-Za-z]{1,40}\w{0,40}").match(self.text, end)
        if not after or after[0] in "xX" or re.match(r"[xX]\d", after[0]):
            return False
        if unit_at(self.text, end, after_number=True):
            return False
        return not self.words.meanings(fold(re.sub(r"\d.*", "", after[0])))

    def _code_tail(self, start: int, end: int) -> int:
        after = re.compile(r"[\w\-/]*\w").match(self.text, end)
        return self._add("M", start, after.end() if after else end)

    def _odd_number(self, position: int) -> int | None:
        """Read numbers in which a scanner or typist left letters: 3O Nm, l5 Nm, 90o."""
        match = SCANNED_NUMBER.match(self.text, position)
        if match is None or (position and self.text[position - 1].isalnum()):
            return None
        written = match[0]
        if written.isdigit() or written.replace(",", "").replace(".", "").isdigit():
            return None
        unit = unit_at(self.text, skip(self.text, match.end()), after_number=True)
        listed = _GOES_ON.match(self.text, match.end())
        if (unit is None or unit.letter not in "QA") and not listed:
            return self._lost_degree(position, written)
        number = read_number(written.translate(LOOKS_LIKE_DIGIT), self.marks)
        if number is None:
            return None
        return self._add("N", position, match.end(), number=replace(number, oddity="letters"))

    def _lost_degree(self, position: int, written: str) -> int | None:
        """Read 90o as 90 degrees: an o at the end stands where the ring should."""
        if not re.fullmatch(r"[1-9]\d{1,2}[oO]", written) or self._next_is_step(
            position + len(written)
        ):
            return None
        end = position + len(written)
        number = read_number(written[:-1], self.marks)
        self._add("N", position, end - 1, number=number)
        return self._add("A", end - 1, end, unit=UnitText("A", "deg", end, (), "letters"))

    def _ordinal(self, match: re.Match[str]) -> int:
        """Take 1st, 2e, 3.ª as an ordinal; give the number back where it is none."""
        start = match.start()
        digits = re.compile(r"\d+").match(self.text, start)
        if digits is None:  # the pattern begins with digits
            raise AssertionError(start)
        tail = match[0][len(digits[0]) :].strip(" .")
        clear = re.search(r"\.[ ]?[ªº°]", match[0]) is not None or tail in {
            "st",
            "nd",
            "rd",
            "th",
            "ª",
            "ère",
            "re",
            "er",
            "ers",
            "ème",
            "eme",
            "ième",
        }
        last = self._last()
        if last is not None and last.letter == "S":
            steps = clear = False
        else:
            counts = int(digits[0]) < 10 and (self._starts() or not set(match[0]) & set("°º"))
            steps = self._next_is_step(match.end())
            steps = steps or (counts and self._next_is_round(match.end()))
        if steps or (clear and self._last_is_no_number()) or (tail == "e" and self._starts()):
            return self._add("O", start, match.end(), means=(("ORDINAL", str(int(digits[0]))),))
        plain = re.compile(r"\d{1,2}(?:[.,]\d+)?").match(self.text, start)
        if plain is None:
            raise AssertionError(start)
        number_match = PLAIN_NUMBER.match(self.text, start)
        return self._number(number_match) if number_match else plain.end()

    def _exponent(self, match: re.Match[str]) -> int:
        head, _, power = match[0].lower().partition("e")
        if abs(int(power[:6])) > 6 or len(head) > 12:
            number = Number(Fraction(0), oddity="not_finite")
        else:
            number = Number(Fraction(head) * Fraction(10) ** int(power))
        return self._add("N", *match.span(), number=number)

    def _date(self, match: re.Match[str]) -> int:
        parts = re.split(r"[./-]", match[0])
        dated = any(len(part) == 4 for part in (parts[0], parts[-1])) or (
            "." in match[0] and len(parts) == 3 and len(parts[2]) == 2 and int(parts[1]) <= 12
        )
        unit = unit_at(self.text, skip(self.text, match.end()), after_number=True)
        if (
            dated
            and (unit is None or unit.letter not in "QA")
            and len(set(match[0]) & set("./-")) == 1
        ):
            return self._add("M", *match.span())
        number_match = PLAIN_NUMBER.match(self.text, match.start())
        if number_match is None:
            raise AssertionError(match.start())
        return self._number(number_match)

    def _size(self, match: re.Match[str]) -> int:
        if match[0][0].isdigit():
            top, rest = re.split("[-x×]", match[0].replace(" ", ""), maxsplit=1)
            pitch = re.match(r"\d+", rest)
            known = PITCHES.get(re.sub(r"[\"a-zA-Z.]", "", top), ())
            if pitch is None or int(pitch[0]) not in known:
                number_match = PLAIN_NUMBER.match(self.text, match.start())
                if number_match is None:
                    raise AssertionError(match.start())
                return self._number(number_match)
        return self._add("M", *match.span())
