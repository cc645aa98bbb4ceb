"""Text compared without case and accents, and ids made from titles."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

LONGEST_ID = 40
RESERVED = frozenset({"new", "reading", "files", "versions"})
"""Words that addresses of the pages use where an id could stand."""


def plain(text: str) -> str:
    """Return text without accents, in one case, for comparing.

    Parameters
    ----------
    text : str

    Returns
    -------
    str

    Examples
    --------
    >>> plain("Tête"), plain("GRÖSSE")
    ('tete', 'grosse')
    """
    apart = unicodedata.normalize("NFKD", text)
    return "".join(sign for sign in apart if not unicodedata.combining(sign)).casefold()


def id_from(title: str, taken: Iterable[str]) -> str:
    """Return a free id made from a title: small letters, digits and hyphens.

    Parameters
    ----------
    title : str
    taken : iterable of str
        Ids that are in use.

    Returns
    -------
    str

    Examples
    --------
    >>> id_from("Zylinderkopf, M10 (Übung)", ["pump"]), id_from("Pump", ["pump", "pump-2"])
    ('zylinderkopf-m10-ubung', 'pump-3')
    """
    letters = "".join(sign if sign.isascii() and sign.isalnum() else " " for sign in plain(title))
    stem = "-".join(letters.split())[: LONGEST_ID - 4].strip("-") or "procedure"
    known, number = set(taken), 1
    name = stem
    while name in known:
        number += 1
        name = f"{stem}-{number}"
    return name
