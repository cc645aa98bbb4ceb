"""The text as pasted, brought to plain characters, with the way back to every original position."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from clampwright.intake import most
from clampwright.procedure.reading import Problem
from clampwright.words import words

LONGEST = most("procedure text")
"""Characters; no procedure comes near it."""

_VULGAR = frozenset("¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞")
_KEPT = _VULGAR | frozenset("ªº²³™®")
_DROPPED = frozenset("\u00ad\u200b\u200c\u200d\u2060\ufeff\u200e")
_ALIKE = {
    **dict.fromkeys("\u2010\u2011\u2012\ufe63\uff0d\u2212", "-"),
    **dict.fromkeys("\u2014\u2015\u2500", "\u2013"),
    **dict.fromkeys("\u02da\u309c\u2070\u02d9\u2218", "°"),
    **dict.fromkeys("\u2044\u2215\uff0f\u29f8", "/"),
    **dict.fromkeys("\u2022\u2219\u22c5\u25cf\u2027\u00b7\u30fb\uff65\u2e31\u0387", "·"),
    **dict.fromkeys("\u2018\u2019\u02bc\u2032\u00b4`", "'"),
    **dict.fromkeys("\u201c\u201d\u2033\u201e", '"'),
    **dict.fromkeys("\u301c\uff5e\u223c\u02dc\u2053", "~"),
    **dict.fromkeys("\u2715\u2716\u00d7\u2a2f\u2a09", "×"),
    "\u3001": ", ",
    "\u3002": ". ",
    "\uff61": ". ",
    "\uff64": ", ",
    "\u2192": "→",
    "\u21d2": "→",
    "\u27a1": "→",
    "\u279c": "→",
    "\u2b95": "→",
    "\u2024": ".",
    "\u3010": "(",
    "\u3011": ")",
    "\u3014": "(",
    "\u3015": ")",
    "[": "(",
    "]": ")",
    "{": "(",
    "}": ")",
    "\u2713": " ",
    "\u00a6": "|",
    "\u2502": "|",
    "\u2503": "|",
}
_MARKUP = re.compile(
    r"<\s?/?[A-Za-z]{1,12}(?:[\s/][^<>\n]{0,400})?>|<[!?][^<>\n]{0,400}>"
    r"|<\s?(?:script|iframe|img|svg|object|style|body|html)\b"
    r"|&(?:[a-z]{2,8}|#\d{1,6}|#x[0-9a-f]{1,5});|\]\(\s*(?:https?|javascript):",
    re.IGNORECASE,
)
_FOREIGN = "\u039f\u03bf\u041e\u043e\u0406\u0456\u04c0\u0417\u0437\u0405\u0455"
_FOREIGN_DIGIT = re.compile(rf"\d[{_FOREIGN}]|[{_FOREIGN}]\d")
"""Greek and Cyrillic letters that look like 0, 1, 3 or 5, in a number."""
_HYPHEN_END = re.compile(r"(?<=[^\W\d_]{2})-[ \t]*\n[ \t]*(?=[^\W\d_])")


@dataclass(frozen=True, slots=True)
class Clean:
    """Plain text and, for each of its characters, where that character came from.

    Parameters
    ----------
    text : str
        The plain text.
    origin : tuple of int
        Position in the original of each character, and one more for the end.
    original : str
        What was given.
    """

    text: str
    origin: tuple[int, ...]
    original: str

    def span(self, start: int, end: int) -> tuple[int, int]:
        """Return where a piece of the plain text stands in the original.

        Parameters
        ----------
        start, end : int
            Positions in `text`.

        Returns
        -------
        tuple of int
            Start and end in `original`.
        """
        if end <= start:
            return self.origin[start], self.origin[start]
        return self.origin[start], self.origin[end - 1] + 1


def refusal(text: str) -> Problem | None:
    """Return why a text cannot be taken at all, or None.

    Parameters
    ----------
    text : str

    Returns
    -------
    Problem or None

    Examples
    --------
    >>> refusal("  ").code
    'empty_input'
    """
    if len(text) > LONGEST:
        return Problem(
            "unreadable",
            words(
                "the text has {count} characters; at most {limit} are taken. Paste one procedure",
                count=len(text),
                limit=LONGEST,
            ),
        )
    if any(not _readable(character) for character in set(text)):
        return Problem(
            "unreadable",
            words(
                "the text contains control, replacement or direction characters that hide what"
                " it says; paste it again as plain text"
            ),
        )
    if hidden := _FOREIGN_DIGIT.search(text):
        return Problem(
            "unreadable",
            words(
                "in {text!r} a letter of another alphabet stands for a digit; type the number anew",
                text=hidden[0],
            ),
        )
    if not text.strip() or not any(character.isprintable() for character in text.strip()):
        return Problem("empty_input", words("nothing was entered"))
    if _MARKUP.search(text):
        return Problem(
            "markup",
            words("the text contains markup or script; paste the plain words and figures"),
        )
    return None


@lru_cache(maxsize=4096)
def _readable(character: str) -> bool:
    """Tell whether a character can stand in a text whose figures must be seen as they are."""
    if character in "\t\n\r\f\v\u00ad\u200b\u200c\u200d\u2060\ufeff\u200e\u0085\u2028\u2029":
        return True
    if unicodedata.category(character) in {"Cc", "Cf", "Co", "Cs", "Cn"} or character == "\ufffd":
        return False
    if unicodedata.bidirectional(character) in {"R", "AL", "AN"}:
        return False
    # Digits of other scripts look like letters or like other digits; nobody here can check them.
    return character.isascii() or not character.isdecimal() or "\uff10" <= character <= "\uff19"


@lru_cache(maxsize=4096)
def _plain(character: str) -> str:
    if character in _DROPPED:
        return ""
    if character in _ALIKE:
        return _ALIKE[character]
    if character in _KEPT or character.isascii():
        return {"\t": "\t", "\r": "\n", "\f": "\n", "\v": "\n"}.get(character, character)
    if character in "\u0085\u2028\u2029":
        return "\n"
    if "①" <= character <= "⑳" or "❶" <= character <= "❿" or "➀" <= character <= "➓":
        return f"({int(unicodedata.numeric(character))})"
    if character.isspace():
        return " "
    return "".join(_ALIKE.get(c, c) for c in unicodedata.normalize("NFKC", character))


def clean(text: str) -> Clean:
    """Return the plain form of a text.

    Parameters
    ----------
    text : str
        Text that `refusal` let pass.

    Returns
    -------
    Clean

    Examples
    --------
    >>> clean("３０ Nm").text
    '30 Nm'
    """
    joined = {position for match in _HYPHEN_END.finditer(text) for position in range(*match.span())}
    pieces: list[str] = []
    origin: list[int] = []
    for position, character in enumerate(text):
        if position in joined or (character == "\r" and text[position + 1 : position + 2] == "\n"):
            continue
        for plain in _plain(character):
            if pieces and unicodedata.combining(plain):
                pieces[-1] = unicodedata.normalize("NFC", pieces[-1] + plain)[:1]
                continue
            pieces.append(plain)
            origin.append(position)
    return Clean("".join(pieces), (*origin, len(text)), text)
