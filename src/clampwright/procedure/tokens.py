"""From plain text to tokens: numbers, units, words with their meanings, and signs."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from clampwright.procedure.numerals import Number, read_number
from clampwright.procedure.unit_text import SYMBOLS, UnitText, unit_at
from clampwright.procedure.vocabulary import CJK, Marks, Meaning, Vocabulary, fold
from clampwright.units.unit import units

_PITCHES = {
    "1/4": (20, 28),
    "5/16": (18, 24),
    "3/8": (16, 24),
    "7/16": (14, 20),
    "1/2": (13, 20),
    "9/16": (12, 18),
    "5/8": (11, 18),
    "3/4": (10, 16),
    "7/8": (9, 14),
    "1": (8, 12, 14),
}

_SCANNER = re.compile(
    r"""
      (?P<newline>[ \t]*\n\s*)
    | (?P<space>[ \t]+)
    | (?P<leader>\.{2,}|…+|(?:\.[ ]){2,}\.?|_{2,}|-{3,})
    | (?P<size>M[ ]?\d{1,2}(?:[.,]\d)?(?:\s?[x×*]\s?\d+(?:[.,]\d+)?){0,2}(?:\s?-\s?\d{1,2}\.9)?(?![\w])
        | M[ ]?\d{1,2}(?=[-][^\W\d_])
        | \d{1,2}/\d{1,2}(?:"|[ ]?in\.?)?[ ]?[-x×][ ]?\d{1,2}(?![\d/.,])(?:[ ]?UN[A-Z]{1,2})?
        | \#\d{1,2}[ ]?-[ ]?\d{2}(?:[ ]?UN[A-Z]{1,2})?(?![\w]))
    | (?P<date>\d{1,4}[./-]\d{1,2}[./-]\d{2,4}(?![\d\w]|[./-]\d))
    | (?P<exponent>[+-]?\d+(?:\.\d+)?[eE][+-]?\d+(?!\w))
    | (?P<ordinal>\d{1,2}(?:(?:st|nd|rd|th)|\.[ªº]|[ ]?\.?[ ]?(?:[eè]re|ers?|[eè]me|ième|ère|re|de|ste|e|ª|ᵃ|º|°|o|a|\.)
        (?=[ ]?[^\W\d_]))(?![^\W\d_]{2}))
    | (?P<number>\d{1,3}(?:[ ]|[ ]?-[ ]?|[ ]and[ ])\d{1,2}/\d{1,2}(?![\d/])
        | \d{0,3}[ ]?[¼-¾⅓-⅞]
        | \d{1,2}/\d{1,2}(?![\d/.,]\d|/)
        | (?<![\w.,°)])[.]\d+
        | \d+(?:[.,']\d+)*)
    | (?P<short>[A-Za-z]/[A-Za-z](?![^\W\d_]))
    | (?P<cjk>[CJK]+)
    | (?P<word>[^\W\d_CJK]+)
    | (?P<sign>.)
    """.replace("CJK", CJK),
    re.VERBOSE | re.DOTALL,
)
_CODE = re.compile(r"[A-Za-z]{1,6}[-.]?\d[\w.\-/]{0,30}\w|[A-Za-z]{1,6}\d")
_LOOKS_LIKE_DIGIT = str.maketrans({"O": "0", "o": "0", "l": "1", "I": "1", "S": "5", "B": "8"})
_SCANNED_NUMBER = re.compile(
    r"(?=[OolISB]*\d|[OlI]{2,3}\b)[\dOolISB]{2,5}(?:[.,][\dOol]{1,2})?(?!\w)"
)

# Which letter a word gets in the grammar, by its class; all others are plain words.
WORD_LETTERS = {
    "STEP": "S",
    "ORDINAL": "O",
    "FASTENER": "B",
    "COUNTED": "C",
    "REF": "R",
    "CLOCK": "k",
    "TO": "t",
    "BETWEEN": "b",
    "AND": "a",
    "OR": "r",
    "THEN": "h",
    "PLUS": "+",
    "TIMES": "x",
    "TWICE": "T",
    "FULL": "p",
}
_SILENT = frozenset({"FILL", "FURTHER"})
_SIGNS = {
    **{sign: sign for sign in "+-~±/=,;:.()|#>"},
    "–": "-",
    "÷": "~",
    "×": "x",
    "*": "x",
    "→": ">",
    "&": "a",
    "<": "",
    "≤": "w",
    "≥": "w",
}


@dataclass(slots=True)
class Token:
    """One word, number, unit or sign.

    Parameters
    ----------
    letter : str
        Its class in the grammar; empty for words that only fill.
    start, end : int
        Where it stands in the plain text.
    text : str
        As it stands there.
    means : tuple
        Classes and values of a word.
    number : Number or None
        Of a number.
    unit : UnitText or None
        Of a unit.
    spaced : bool
        Whether a space or line end stands before it.
    """

    letter: str
    start: int
    end: int
    text: str
    means: tuple[Meaning, ...] = ()
    number: Number | None = None
    unit: UnitText | None = None
    spaced: bool = False

    def has(self, *names: str) -> bool:
        """Tell whether the word has one of some classes."""
        return any(name in names for name, _ in self.means)

    def value(self, name: str) -> str | None:
        """Return the word's value in a class, or None when it is not of that class."""
        return next((value for found, value in self.means if found == name), None)


class Lexer:
    """Makes the tokens of one text.

    Parameters
    ----------
    text : str
        Plain text.
    words : Vocabulary
        Of its language.
    marks : Marks
        Number marks of its locale.
    """

    def __init__(self, text: str, words: Vocabulary, marks: Marks) -> None:
        self.text, self.words, self.marks = text, words, marks
        self.tokens: list[Token] = []
        self.spaced = True
        self.after_number = False

    def run(self) -> list[Token]:
        """Return the tokens in order."""
        position, length = 0, len(self.text)
        while position < length:
            position = self._step(position)
        return self.tokens

    def _step(self, position: int) -> int:
        match = _SCANNER.match(self.text, position)
        if match is None:  # the last alternative takes any character
            raise AssertionError(position)
        kind = match.lastgroup or "sign"
        if kind in {"space", "newline", "leader"}:
            return self._gap(kind, match)
        if kind in {"word", "short", "number", "sign", "ordinal"} and (
            end := self._odd_number(position)
        ):
            return end
        handler = getattr(self, f"_{kind}", None)
        end: int = handler(match) if handler else self._other(match)
        self.spaced = False
        return end

    # --- helpers ---------------------------------------------------------------------------

    def _add(self, letter: str, start: int, end: int, **more: object) -> int:
        token = Token(letter, start, end, self.text[start:end], spaced=self.spaced)
        for key, value in more.items():
            setattr(token, key, value)
        self.tokens.append(token)
        self.spaced = False
        if letter:
            counts_steps = letter == "N" and self._names_a_step()
            self.after_number = letter in "NW" and not counts_steps
        return end

    def _last(self) -> Token | None:
        return next((token for token in reversed(self.tokens) if token.letter), None)

    def _names_a_step(self) -> bool:
        """Tell "step 3" (a number that takes no unit) from "1st step 40"."""
        letters = "".join(token.letter for token in self.tokens[-12:])
        return re.search(r"(?:^|[^NO])SN$", letters) is not None

    def _next_word(self, position: int) -> tuple[Meaning, ...]:
        """Return what the next word means, if a word comes next."""
        match = re.compile(rf"[ \t.]{{0,4}}([^\W\d_{CJK}]+|[{CJK}]+)").match(self.text, position)
        if not match:
            return ()
        if re.match(f"[{CJK}]", match[1]):
            found = self._longest_cjk(match.start(1), match.end(1))
            return found[1] if found else ()
        return self.words.meanings(fold(match[1]))

    # --- gaps and signs ----------------------------------------------------------------------

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
        if sign == "¿" or sign == "¡" or sign == "!" or sign == "?":
            return self._add("." if sign in "!?" else "", start, start + 1)
        letter = _SIGNS.get(sign, "")
        means: tuple[Meaning, ...] = ()
        if sign in "≤<":
            letter, means = "w", (("MAX", ""),)
        elif sign in "≥>" and self.text[start : start + 2] != "=>":
            letter, means = ("w", (("MIN", ""),)) if sign == "≥" else (letter, ())
        return self._add(letter, start, start + 1, means=means)

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
            if after_letter and (last.letter not in "QALHKFV%" or not before_is_figure):
                return end  # a hyphen: open-end, 90-degree
        if touches and self.spaced:
            if before_is_figure:
                return self._add("g", start, end)
            previous = self.tokens[-1].letter if self.tokens else "n"
            if previous != "-" and self.text[start] == "-":
                return self._negative(start)
        return self._add("-", start, end)

    def _negative(self, start: int) -> int:
        match = _SCANNER.match(self.text, start + 1)
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
        if last.letter in "NW" or last.letter in ")QA":
            return self._add(".", start, start + 1)
        abbreviates = last.has("MAX", "MIN", "REF", "FILL", "ORDINAL") or (
            len(last.text) <= 5 and not last.means
        )
        if (
            after.islower()
            or after in ",;:)("
            or (abbreviates and (after.isdigit() or after in "#-"))
        ):
            return start + 1
        return self._add(".", start, start + 1)

    # --- numbers -----------------------------------------------------------------------------

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
        if grouped and self._may_group(grouped):
            text, end = grouped[0], grouped.end()
        number = read_number(text.strip(), self.marks)
        if number is None:
            return self._add("M", start, end)
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
        unit = unit_at(self.text, _skip(self.text, end), after_number=True)
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
        unit = unit_at(self.text, _skip(self.text, end), after_number=True)
        if unit is not None and unit.letter in "QA":
            return False
        listing = last is not None and (
            last.letter in "BR#"
            or (last.letter == "," and len(self.tokens) > 1 and self._in_list())
        )
        return listing and len(parts[1]) < 3 and parts[0] != "0"

    def _in_list(self) -> bool:
        significant = [token.letter for token in self.tokens[-8:] if token.letter]
        return bool(re.search(r"[BR#](?:N,)+$", "".join(significant)))

    def _may_group(self, grouped: re.Match[str]) -> bool:
        last = self._last()
        if last is not None and last.letter in "BSR#x-":
            return False
        after = unit_at(self.text, _skip(self.text, grouped.end()), after_number=True)
        return after is not None

    def _is_code_head(self, end: int) -> bool:
        """Tell whether letters that are no unit hang on the number, as in 4WD."""
        after = re.compile(r"[A-Za-z]+\w*").match(self.text, end)
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
        match = _SCANNED_NUMBER.match(self.text, position)
        if match is None or (position and self.text[position - 1].isalnum()):
            return None
        written = match[0]
        if written.isdigit() or written.replace(",", "").replace(".", "").isdigit():
            return None
        unit = unit_at(self.text, _skip(self.text, match.end()), after_number=True)
        if unit is None or unit.letter not in "QA":
            return self._lost_degree(position, written)
        number = read_number(written.translate(_LOOKS_LIKE_DIGIT), self.marks)
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

    def _next_is_step(self, position: int) -> bool:
        return any(name == "STEP" for name, _ in self._next_word(position))

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
            steps = self._next_is_step(match.end())
        if (
            steps
            or (clear and self._last_is_no_number())
            or (tail == "e" and not steps and self._starts())
        ):
            return self._add("O", start, match.end(), means=(("ORDINAL", str(int(digits[0]))),))
        plain = re.compile(r"\d{1,2}(?:[.,]\d+)?").match(self.text, start)
        if plain is None:
            raise AssertionError(start)
        number_match = _SCANNER_NUMBER.match(self.text, start)
        return self._number(number_match) if number_match else plain.end()

    def _starts(self) -> bool:
        last = self._last()
        return last is None or last.letter in ".;:,nh"

    def _last_is_no_number(self) -> bool:
        last = self._last()
        return last is None or last.letter not in "NW"

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
        unit = unit_at(self.text, _skip(self.text, match.end()), after_number=True)
        if (
            dated
            and (unit is None or unit.letter not in "QA")
            and len(set(match[0]) & set("./-")) == 1
        ):
            return self._add("M", *match.span())
        number_match = _SCANNER_NUMBER.match(self.text, match.start())
        if number_match is None:
            raise AssertionError(match.start())
        return self._number(number_match)

    def _size(self, match: re.Match[str]) -> int:
        if match[0][0].isdigit():
            top, rest = re.split("[-x×]", match[0].replace(" ", ""), maxsplit=1)
            pitch = re.match(r"\d+", rest)
            known = _PITCHES.get(re.sub(r"[\"a-zA-Z.]", "", top), ())
            if pitch is None or int(pitch[0]) not in known:
                number_match = _SCANNER_NUMBER.match(self.text, match.start())
                if number_match is None:
                    raise AssertionError(match.start())
                return self._number(number_match)
        return self._add("M", *match.span())

    # --- words ---------------------------------------------------------------------------------

    def _short(self, match: re.Match[str]) -> int:
        means = self.words.meanings(fold(match[0]))
        if means:
            return self._word_token(match.start(), match.end(), means)
        head = re.compile(r"[A-Za-z]").match(self.text, match.start())
        return self._word(head) if head else match.end()

    def _word(self, match: re.Match[str]) -> int:
        start = match.start()
        if end := self._code(start):
            return end
        unit_end = self._unit_here(start, commit=False)
        end, means = self._phrase(start, match.end())
        if unit_end and unit_end >= end and not self._says_more(means, unit_end, end):
            committed = self._unit_here(start)
            if committed:
                return committed
        if match[0] in "xX" and self._between_digits(match):
            return self._add("x", *match.span())
        if not means and len(match[0]) == 1 and match[0].isupper():
            return self._add("Z", *match.span())
        if len(match[0]) == 1 and match[0].isupper() and self._is_label(match):
            return self._add("Z", *match.span())
        return self._word_token(start, end, means)

    def _says_more(self, means: tuple[Meaning, ...], unit_end: int, end: int) -> bool:
        return bool(means) and end == unit_end and not self.after_number

    def _between_digits(self, match: re.Match[str]) -> bool:
        last = self._last()
        if last is None or last.letter not in "NWA":
            return False
        return re.compile(r"\s*(?:\d|M\s?\d|[¼-¾⅓-⅞])").match(self.text, match.end()) is not None

    def _is_label(self, match: re.Match[str]) -> bool:
        """Tell label A from the article "A" and from "E" for "and"."""
        last = self._last()
        after = self.text[match.end() : match.end() + 2]
        if last is not None and last.letter in "BRS" and not after.strip().startswith("'"):
            return True
        if last is not None and last.letter == "(" and after[:1] == ")":
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
            following = _FOLLOWING.match(self.text, position)
            if following is None or (following[1] == ". " and len(parts[-1]) > 4):
                break
            position = following.end()
            parts.append(fold(following[2]))
            ends.append(position)
        for count in range(len(parts), 0, -1):
            means = self.words.meanings(" ".join(parts[:count]))
            if means:
                return ends[count - 1], means
        return first_end, ()

    def _code(self, start: int) -> int | None:
        """Take part numbers, tool sizes and designations (T30, SW13, ISO898) as one piece."""
        match = _CODE.match(self.text, start)
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

    def _longest_cjk(self, start: int, stop: int) -> tuple[int, tuple[Meaning, ...]] | None:
        most = min(self.words.longest.get(self.text[start], 0), stop - start)
        for length in range(most, 0, -1):
            means = self.words.phrases.get(self.text[start : start + length])
            if means and (self.after_number or any(name != "UNIT" for name, _ in means)):
                return start + length, means
        return None

    def _word_token(self, start: int, end: int, means: tuple[Meaning, ...]) -> int:
        values = dict(reversed(means))
        if "UNIT" in values and self.after_number:
            return self._unit_word(start, end, values["UNIT"])
        if "OTHER_UNIT" in values and self.after_number:
            name = self.text[start:end]
            return self._add("V", start, end, unit=UnitText("V", name, end))
        if "AMOUNT" in values:
            return self._amount(start, end, values["AMOUNT"])
        if "PASSES" in values:  # "en deux fois": a number of goes
            middle = start + max(1, (end - start) // 2)
            self._add("W", start, middle, number=Number(Fraction(values["PASSES"])))
            return self._add("P", middle, end, means=(("STEP", "many"),))
        if "NOTFINITE" in values:
            return self._add("N", start, end, number=Number(Fraction(0), oddity="not_finite"))
        if "NOT" in values and "REF" in values:  # "no": a number follows, or a refusal
            numbered = re.compile(r"[.:]?[ ]?#?\d").match(self.text, end)
            unwanted = "NOT" if numbered else "REF"
            means = tuple(pair for pair in means if pair[0] != unwanted)
            values = dict(reversed(means))
        if "NUMBER" in values and self._counts_as_number(values, start, end):
            number = Number(Fraction(values["NUMBER"]))
            return self._add("W", start, end, number=number, means=means)
        letter = self._letter(means, values)
        keep = self.after_number
        self._add(letter, start, end, means=means)
        if not letter:
            self.after_number = keep
        return end

    def _letter(self, means: tuple[Meaning, ...], values: dict[str, str]) -> str:
        if "STEP" in values:
            return "P" if values["STEP"] == "many" else "S"
        for name, _ in means:
            if name in WORD_LETTERS:
                return WORD_LETTERS[name]
        means = tuple(pair for pair in means if pair[0] != "UNIT")
        if means and all(name in _SILENT for name, _ in means):
            return ""
        return "" if any(name == "FILL" for name, _ in means) else "w"

    def _counts_as_number(self, values: dict[str, str], start: int, end: int) -> bool:
        """Tell "a third" of a turn from "the third stage", and "un" one from the article."""
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
            last.letter = ""  # "un demi-tour", "ein Viertel": the article
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

    def _unit_here(self, start: int, *, commit: bool = True) -> int | None:
        found = unit_at(self.text, start, after_number=self.after_number)
        if self.text[start] == "%" and self.after_number:
            found = UnitText("%", "%", start + 1)
        if found is None or (found.name in {"in", "m", "ft"} and self._is_small_word(start, found)):
            return None
        if commit:
            keep = self.after_number
            self._add(found.letter, start, found.end, unit=found)
            if not keep:
                self.after_number = False
        return found.end

    def _is_small_word(self, start: int, found: UnitText) -> bool:
        """Tell inches from the word in: a whole number and another word after it."""
        last = self._last()
        if found.name != "in" or self.text[start : found.end].casefold() != "in":
            return False
        if last is None or last.number is None or not last.number.whole:
            return False
        following = self._next_word(found.end)
        measures = {"LENGTH", "THICKNESS", "FASTENER", "TOOL", "LONGER", "STRETCH", "ADAPTER"}
        after = re.compile(r"[ \t]+[^\W_]").match(self.text, found.end)
        return after is not None and not any(name in measures for name, _ in following)

    def _other(self, match: re.Match[str]) -> int:
        return self._add("w", *match.span())


_SCANNER_NUMBER = re.compile(
    r"\d{1,3}(?:[ ]|[ ]?-[ ]?)\d{1,2}/\d{1,2}(?![\d/])|\d{1,2}/\d{1,2}(?![\d/.,]\d|/)"
    r"|\d{0,3}[ ]?[¼-¾⅓-⅞]|\d+(?:[.,']\d+)*"
)
_FOLLOWING = re.compile(rf"([ \t]*[-'][ \t]*|[ \t]+|\n|\. |\.(?=-)-?|\.)([^\W\d_{CJK}]+)")


def _skip(text: str, position: int) -> int:
    """Return the place after spaces, and after a hyphen that joins a number to its unit."""
    match = re.compile(r"[ \t\n]*-?[ \t]*").match(text, position)
    return match.end() if match else position


def tokenise(text: str, words: Vocabulary, marks: Marks) -> list[Token]:
    """Return the tokens of a plain text.

    Parameters
    ----------
    text : str
        Plain text (see `normalise`).
    words : Vocabulary
        Of its language.
    marks : Marks
        Of its locale.

    Returns
    -------
    list of Token

    Examples
    --------
    >>> from clampwright.procedure.vocabulary import marks_of, vocabulary
    >>> "".join(t.letter for t in tokenise("Step 1: 30 Nm", vocabulary("en"), marks_of("en")))
    'SN:NQ'
    """
    tokens = Lexer(text, words, marks).run()
    _join_number_words(tokens)
    _join_spaced_digits(tokens, text)
    return tokens


def _join_spaced_digits(tokens: list[Token], text: str) -> None:
    """Make one doubtful number of "1 2 0 N·m": single digits with single spaces, then a unit."""
    run: list[Token] = []
    before = ""
    for token in tokens:
        single = token.letter == "N" and len(token.text) == 1 and token.text.isdigit()
        if single and (not run or text[run[-1].end : token.start] == " "):
            run.append(token)
            continue
        if len(run) > 1 and token.letter in {"Q", "A"} and before not in {"S", "B", "R", "#", "x"}:
            digits = "".join(one.text for one in run)
            run[0].number = Number(Fraction(int(digits)), Fraction(1), oddity="spaced", whole=True)
            run[0].end, run[0].text = run[-1].end, text[run[0].start : run[-1].end]
            for one in run[1:]:
                one.letter, one.number, one.start = "", None, one.end
                one.text = ""
        run = [token] if single else []
        before = token.letter or before


def _join_number_words(tokens: list[Token]) -> None:
    """Make one number of "two thirds" and of "one and a half" (turns)."""
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


def _is_angle(spoken: list[Token], place: int) -> bool:
    return place < len(spoken) and spoken[place].letter == "A"
