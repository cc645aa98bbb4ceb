"""Words that charts and papers share."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

VERDICTS: Mapping[str, Words] = MappingProxyType(
    {
        "within": words("within"),
        "short": words("short"),
        "over": words("over"),
        "doubtful": words("doubtful"),
        "void": words("void"),
        "not known": words("not known"),
    }
)


def verdict_words(verdict: str) -> Words:
    """Return a verdict of an entry as words; one this program does not know as it stands there.

    Examples
    --------
    >>> str(verdict_words("not known")), str(verdict_words("other"))
    ('not known', 'other')
    """
    return VERDICTS.get(verdict) or words("{verdict}", verdict=verdict)


MARKS: Mapping[str, str] = MappingProxyType(
    {"within": "✓", "short": "<", "over": ">", "doubtful": "?", "void": "×", "not known": "–"}
)
"""A sign beside each verdict, so that the eye finds it; the word always stands with it."""


def mark_of(verdict: str) -> str:
    """Return the sign of a verdict.

    Examples
    --------
    >>> mark_of("over"), mark_of("other")
    ('>', '!')
    """
    return MARKS.get(verdict, "!")


HARM: Mapping[int, Words] = MappingProxyType(
    {
        1: words("life or limb (level 1)"),
        2: words("breakdown (level 2)"),
        3: words("annoyance (level 3)"),
    }
)
