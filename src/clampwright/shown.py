"""Text of others as it is shown: signs that nobody sees, and that act, stand as �.

What a person typed, or a file held, may carry signs that move a terminal's cursor or turn the
direction of writing, so that a line reads other than it stands. Pages, terminal and papers show the
sign for an unknown character in their place; what is kept is not changed.
"""

from __future__ import annotations

import re

UNKNOWN = "\ufffd"
_ACTING = (
    "\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\U000e0000-\U000e007f"
)
"""Control characters but tab and line end, marks of writing direction, and tag characters."""
_FOUND = re.compile(f"[{_ACTING}]")
_FOUND_ON_TERMINAL = re.compile(f"(\x1b\\[(?:0|1|2|22)?m)|\r\n|[{_ACTING}]")

_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def shown(text: str) -> str:
    r"""Return text with � for each sign that acts unseen.

    Parameters
    ----------
    text : str

    Returns
    -------
    str

    Examples
    --------
    >>> shown("12 N·m"), shown("12\u202e N·m\x1b[2J")
    ('12 N·m', '12� N·m�[2J')
    """
    return text if text.isprintable() else _FOUND.sub(UNKNOWN, text)


def shown_on_terminal(text: str) -> str:
    r"""Return the same for a terminal, where bold and plain letters are the program's own.

    Parameters
    ----------
    text : str

    Returns
    -------
    str

    Examples
    --------
    >>> shown_on_terminal("\x1b[1mover\x1b[0m \x1b]0;title\x07")
    '\x1b[1mover\x1b[0m �]0;title�'
    """
    if text.isprintable():
        return text
    return _FOUND_ON_TERMINAL.sub(lambda found: found[1] or _plain(found[0]), text)


def _plain(sign: str) -> str:
    return "\n" if sign == "\r\n" else UNKNOWN


def cell(text: str, *, numbers: bool = True) -> str:
    """Return a cell that no table program takes for a formula.

    Parameters
    ----------
    text : str
    numbers : bool
        Whether a number may stay one, such as -7.5.

    Returns
    -------
    str
        With an apostrophe before it where it begins like a formula, the usual way to say "text".

    Examples
    --------
    >>> cell("=1+1"), cell("-7.5"), cell("7")
    ("'=1+1", '-7.5', '7')
    """
    if not text.startswith(_BEGINS_A_FORMULA) or (numbers and _is_number(text)):
        return text
    return f"'{text}"


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
