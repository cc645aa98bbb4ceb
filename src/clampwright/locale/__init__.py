"""The text catalogue: sentences in the language of the person in front of the screen.

English templates stand in the code and are the catalogue's keys; translations are gettext
catalogues ``<language>/LC_MESSAGES/clampwright.mo`` in this folder. The language comes from
``CLAMPWRIGHT_LANG``, else from ``LC_ALL``, ``LC_MESSAGES`` or ``LANG``; where there is no
catalogue the English text is shown.
"""

from __future__ import annotations

import gettext
import os
import re
from functools import lru_cache
from pathlib import Path

from clampwright.words import Words

FOLDER = Path(__file__).parent
_TAG = re.compile(r"^[a-z]{2,3}([_-][A-Za-z0-9]{2,8})*$")
_VARIABLES = ("CLAMPWRIGHT_LANG", "LC_ALL", "LC_MESSAGES", "LANG")


def language() -> str:
    """Return the wanted language tag, such as ``de`` or ``en_GB``."""
    wanted = next((os.environ[name] for name in _VARIABLES if os.environ.get(name)), "en")
    tag = wanted.partition(".")[0].partition("@")[0]
    return tag if _TAG.match(tag) else "en"  # C and POSIX are no languages


@lru_cache(maxsize=8)
def catalogue(tag: str, folder: Path = FOLDER) -> gettext.NullTranslations:
    """Return the catalogue of a language, or the English text where there is none.

    Parameters
    ----------
    tag : str
        Language tag, such as ``de_AT``; ``de`` is taken where only that exists.
    folder : pathlib.Path
        Where catalogues lie.

    Returns
    -------
    gettext.NullTranslations
    """
    return gettext.translation("clampwright", folder, languages=[tag], fallback=True)


def say(sentence: Words | str, tag: str | None = None) -> str:
    """Turn a sentence into text in the person's language.

    Parameters
    ----------
    sentence : Words or str
    tag : str, optional
        Language tag; the one of the environment if not given.

    Returns
    -------
    str

    Examples
    --------
    >>> from clampwright.words import words
    >>> say(words("{count} pulls left", count=3), "en")
    '3 pulls left'
    """
    known = catalogue(tag or language())
    if isinstance(sentence, str):
        return known.gettext(sentence) if sentence else ""
    return sentence.fill(known.gettext(sentence.template), lambda inner: say(inner, tag))
