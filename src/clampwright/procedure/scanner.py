"""The patterns that cut a text into pieces."""

from __future__ import annotations

import re

from clampwright.procedure.vocabulary import CJK

# Threads to the inch of the usual sizes (ASME B1.1, coarse and fine; pipe threads of ASME B1.20.1
# and ISO 228; from memory), to tell the size 3/8-16 from a range of turns.
PITCHES = {
    "1/8": (27, 28),
    "1/4": (18, 19, 20, 28),
    "5/16": (18, 24),
    "3/8": (16, 18, 19, 24),
    "7/16": (14, 20),
    "1/2": (13, 14, 20),
    "9/16": (12, 18),
    "5/8": (11, 18),
    "3/4": (10, 14, 16),
    "7/8": (9, 14),
    "1": (8, 12, 14),
}

SCANNER = re.compile(
    r"""
      (?P<newline>[ \t]*\n\s*)
    | (?P<space>[ \t]+)
    | (?P<address>(?:https?://|www\.)[^\s<>"']{1,400})
    | (?P<leader>\.{2,}|…+|(?:\.[ ]){2,}\.?|_{2,}|-{3,})
    | (?P<size>M[ ]?\d{1,2}(?:[.,]\d)?(?:\s?[x×*]\s?\d+(?:[.,]\d+)?){0,2}
            (?:\s?-\s?\d{1,2}\.9)?(?![^\WCJK])
        | M[ ]?\d{1,2}(?=[-][^\W\d_])
        | \d{1,2}/\d{1,2}(?:"|[ ]?in\.?)?[ ]?[-x×][ ]?\d{1,2}(?![\d/]|[.,]\d)(?:[ ]?UN[A-Z]{1,2})?
        | \#\d{1,2}[ ]?-[ ]?\d{2}(?:[ ]?UN[A-Z]{1,2})?(?![\w]))
    | (?P<date>\d{1,4}[./-]\d{1,2}[./-]\d{2,4}(?![\d\w]|[./-]\d))
    | (?P<exponent>[+-]?\d+(?:\.\d+)?[eE][+-]?\d+(?!\w))
    | (?P<ordinal>\d{1,2}(?:(?:st|nd|rd|th)|\.[ªº]
        | [ ]?\.?[ ]?(?:(?:[eè]re|ers?|[eè]me|ième|ère|re|de|ste|e|o|a)(?![^\W\d_])|[ªᵃº°.])
          (?=[ ]?[^\W\d_])|[ªᵃ](?=[ ]?:)))
    | (?P<number>\d{1,3}(?:[ ]|[ ]?-[ ]?|[ ]and[ ])\d{1,2}/\d{1,2}(?![\d/])
        | \d{0,3}[ ]?[¼-¾⅓-⅞]
        | \d{1,2}/\d{1,2}(?![\d/.,]\d|/)
        | (?<![\w.,°)])[.]\d+
        | \d+(?:[.,']\d+){0,4})
    | (?P<short>[A-Za-z]/[A-Za-z](?![^\W\d_]))
    | (?P<cjk>[CJK]{1,60})
    | (?P<word>[^\W\d_CJK]+)
    | (?P<sign>.)
    """.replace("CJK", CJK),
    re.VERBOSE | re.DOTALL,
)
PLAIN_NUMBER = re.compile(
    r"\d{1,3}(?:[ ]|[ ]?-[ ]?)\d{1,2}/\d{1,2}(?![\d/])|\d{1,2}/\d{1,2}(?![\d/.,]\d|/)"
    r"|\d{0,3}[ ]?[¼-¾⅓-⅞]|\d+(?:[.,']\d+){0,4}"
)
CODE = re.compile(r"[A-Za-z]{1,6}[-.]?\d[\w.\-/]{0,30}\w|[A-Za-z]{1,6}\d")
LOOKS_LIKE_DIGIT = str.maketrans({"O": "0", "o": "0", "l": "1", "I": "1", "S": "5", "B": "8"})
SCANNED_NUMBER = re.compile(
    r"(?=[OolISB]*\d|[OlI]{2,3}\b)[\dOolISB]{2,5}(?:[.,][\dOol]{1,2})?(?![^\Wºª])"
)
FOLLOWING = re.compile(rf"([ \t]*[-'][ \t]*|[ \t]+|\n|\. |\.(?=-)-?|\.)([^\W\d_{CJK}]+)")

# Degrees behind a turn: "two turns of 90°", "a turn of 60°".
OF_DEGREES = re.compile(
    r"\s+(?:of|de|von|um(?: je)?|zu je|di|da|van)\s+\d{1,3}(?:[.,]\d)?\s?(?:°|deg|gra)",
    re.IGNORECASE,
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
    "PM": "±",
    "AIM": "v",
}
SILENT = frozenset({"FILL", "FURTHER"})
SIGNS = {
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


def skip(text: str, position: int) -> int:
    """Return the place after spaces, and after a hyphen that joins a number to its unit.

    Parameters
    ----------
    text : str
    position : int

    Returns
    -------
    int
    """
    match = re.compile(r"[ \t\n]*-?[ \t]*").match(text, position)
    return match.end() if match else position
