"""Sentences, out of the catalogue of a language."""

from __future__ import annotations

import gettext
from functools import lru_cache
from pathlib import Path

from clampwright.locale.choice import FOLDER, language
from clampwright.locale.figures import Filler, told, writing
from clampwright.words import Words


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
    return gettext.translation(
        "clampwright", folder, languages=[tag.replace("-", "_")], fallback=True
    )


def say(sentence: Words | str, tag: str | None = None) -> str:
    """Turn a sentence into text in the person's language.

    Parameters
    ----------
    sentence : Words or str
    tag : str, optional
        Language tag; the person's own if not given.

    Returns
    -------
    str

    Examples
    --------
    >>> from clampwright.words import words
    >>> say(words("{count} pulls left", count=3), "en")
    '3 pulls left'
    """
    spoken = tag or language()
    known = catalogue(spoken)
    if isinstance(sentence, str):
        return told(known.gettext(sentence), spoken) if sentence else ""
    text = known.gettext(sentence.template) if sentence.template else ""
    fill = None if writing(spoken) is None else Filler(spoken).vformat
    return sentence.fill(text, lambda inner: say(inner, spoken), fill)
