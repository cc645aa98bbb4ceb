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
