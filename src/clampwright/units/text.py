"""What a person typed or pasted, brought to plain characters without changing its meaning."""

from __future__ import annotations

import unicodedata

from clampwright.errors import ClampwrightError
from clampwright.words import Words

LONGEST = 80
"""A quantity is short; longer text is refused before anything is tried on it."""

# Ring, ordinal and modifier signs that typists and scanners leave where a degree sign belongs.
_DEGREES = dict.fromkeys((0x00BA, 0x02DA, 0x02D9, 0x2070), "°")
_INVISIBLE = dict.fromkeys((0x00AD, 0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF))
_SPACES = dict.fromkeys((0x09, 0x0A, 0x0D, 0xA0, 0x1680, 0x202F, 0x205F, 0x3000), " ")
_SPACES |= dict.fromkeys(range(0x2000, 0x200B), " ")
# NFKC would turn 10² into 102; only the full-width block is taken as it looks.
_FULL_WIDTH = {code: chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)}
_MINUS = dict.fromkeys((0x2212, 0xFE63, 0x2010, 0x2011, 0x2012, 0x2013), "-")
_SLASH = dict.fromkeys((0x2044, 0x2215), "/")
_PLAIN = _FULL_WIDTH | _DEGREES | _INVISIBLE | _SPACES | _MINUS | _SLASH


class Unreadable(ClampwrightError):  # noqa: N818 - a state of the text, named like its neighbours
    """A piece of text is not the number, unit or quantity that is wanted here.

    Parameters
    ----------
    message : Words or str
    text : str
        What was read.
    """

    def __init__(self, message: Words | str, text: str) -> None:
        super().__init__(message)
        self.text = text


def plain(text: str) -> str:
    """Return the text with look-alike characters made plain and outer spaces taken off.

    Parameters
    ----------
    text : str

    Returns
    -------
    str

    Examples
    --------
    >>> plain("９０\u00a0º")
    '90 °'
    """
    return text.translate(_PLAIN).strip()


def compatible(text: str) -> str:
    """Return a unit's text in compatibility form, so that single-character units are taken.

    Parameters
    ----------
    text : str

    Returns
    -------
    str

    Examples
    --------
    >>> compatible("N/㎟")
    'N/mm2'
    """
    return unicodedata.normalize("NFKC", text).replace("\u03bc", "µ")


def shown(text: str) -> str:
    """Return text fit to stand in a message: short, and with nothing unprintable.

    Parameters
    ----------
    text : str

    Returns
    -------
    str

    Examples
    --------
    >>> shown('3' + chr(0) + ' N')
    '3� N'
    """
    printable = "".join(c if c.isprintable() else "\ufffd" for c in text.strip())
    return printable if len(printable) <= 40 else printable[:39] + "…"
