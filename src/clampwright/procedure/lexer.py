"""What all parts of the lexer share: the tokens so far, and looking ahead."""

from __future__ import annotations

import re

from clampwright.procedure.scanner import OF_DEGREES
from clampwright.procedure.tokens import Token
from clampwright.procedure.unit_text import UnitText, unit_at
from clampwright.procedure.vocabulary import CJK, Marks, Meaning, Vocabulary, fold

_NEXT_WORD = re.compile(rf"[ \t.']{{0,4}}([^\W\d_{CJK}]+|[{CJK}]{{1,60}})")
_MEASURED = frozenset({"LENGTH", "THICKNESS", "FASTENER", "TOOL", "LONGER", "STRETCH", "ADAPTER"})


class LexerBase:
    """The state of cutting one text into tokens.

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
        self.spoken: Token | None = None

    def _add(self, letter: str, start: int, end: int, **more: object) -> int:
        token = Token(letter, start, end, self.text[start:end], spaced=self.spaced)
        for key, value in more.items():
            setattr(token, key, value)
        self.tokens.append(token)
        self.spaced = False
        if letter:
            counts_steps = letter == "N" and self._names_a_step()
            self.after_number = letter in "NW" and not counts_steps
            self.spoken = token
        return end

    def _last(self) -> Token | None:
        """Return the last token that means something to the grammar."""
        return self.spoken

    def _names_a_step(self) -> bool:
        """Tell "step 3" (a number that takes no unit) from "1st step 40"."""
        letters = "".join(token.letter for token in self.tokens[-12:])
        return re.search(r"(?:^|[^NO])SN$", letters) is not None

    def _next_word(self, position: int) -> tuple[Meaning, ...]:
        """Return what the next word means, if a word comes next."""
        match = _NEXT_WORD.match(self.text, position)
        if not match:
            return ()
        if re.match(f"[{CJK}]", match[1]):
            found = self._longest_cjk(match.start(1), match.end(1))
            return found[1] if found else ()
        return self.words.meanings(fold(match[1]))

    def _word_end(self, position: int) -> int:
        """Return where the next word ends."""
        match = _NEXT_WORD.match(self.text, position)
        return match.end() if match else position

    def _next_is_step(self, position: int) -> bool:
        return any(name == "STEP" for name, _ in self._next_word(position))

    def _starts(self) -> bool:
        last = self._last()
        return last is None or last.letter in ".;:,nh"

    def _next_is_round(self, position: int) -> bool:
        """Tell whether a tightening is counted: "2. Anzug 30 N·m"."""
        last = self._last()
        if last is not None and last.letter in "BRS#":
            return False
        return any(name == "TIGHTEN" for name, _ in self._next_word(position))

    def _last_is_no_number(self) -> bool:
        last = self._last()
        return last is None or last.letter not in "NW"

    def _longest_cjk(self, start: int, stop: int) -> tuple[int, tuple[Meaning, ...]] | None:
        most = min(self.words.longest.get(self.text[start], 0), stop - start)
        for length in range(most, 0, -1):
            means = self.words.phrases.get(self.text[start : start + length])
            if means and (self.after_number or any(name != "UNIT" for name, _ in means)):
                return start + length, means
        return None

    def _unit_here(self, start: int, *, commit: bool = True) -> int | None:
        found = unit_at(self.text, start, after_number=self.after_number)
        if self.text[start] == "%" and self.after_number:
            found = UnitText("%", "%", start + 1)
        if found is not None and found.name == "turn" and OF_DEGREES.match(self.text, found.end):
            return None
        if found is None or (found.name in {"in", "µm"} and self._is_small_word(start, found)):
            return None
        if commit:
            keep = self.after_number
            self._add(found.letter, start, found.end, unit=found)
            if not keep:
                self.after_number = False
        return found.end

    def _is_small_word(self, start: int, found: UnitText) -> bool:
        """Tell inches from the word in, and micrometres from the German and Portuguese um."""
        last = self._last()
        if found.name == "µm":
            return self.words.language in {"de", "pt"}
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
