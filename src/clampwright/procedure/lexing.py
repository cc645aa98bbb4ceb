"""From plain text to tokens: numbers, units, words with their meanings, and signs."""

from __future__ import annotations

from clampwright.procedure.lex_words import WordLexer
from clampwright.procedure.number_words import (
    join_number_words,
    join_spaced_digits,
    join_turns_and_parts,
)
from clampwright.procedure.scanner import SCANNER
from clampwright.procedure.tokens import Token
from clampwright.procedure.vocabulary import Marks, Vocabulary


class Lexer(WordLexer):
    """Cuts a text into tokens, piece by piece."""

    def run(self) -> list[Token]:
        """Return the tokens in order."""
        position, length = 0, len(self.text)
        while position < length:
            position = self._step(position)
        return self.tokens

    def _step(self, position: int) -> int:
        match = SCANNER.match(self.text, position)
        if match is None:  # the last alternative takes any character
            raise AssertionError(position)
        kind = match.lastgroup or "sign"
        if kind in {"space", "newline", "leader"}:
            return self._gap(kind, match)
        if kind in {"word", "short", "number", "sign", "ordinal"} and (
            odd := self._odd_number(position)
        ):
            return odd
        handler = getattr(self, f"_{kind}", None)
        end: int = handler(match) if handler else self._other(match)
        self.spaced = False
        return end


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
    join_number_words(tokens)
    join_turns_and_parts(tokens)
    join_spaced_digits(tokens, text)
    return tokens
