"""The text catalogue: sentences, figures and days in the language of the person in front of it.

English templates stand in the code and are the catalogue's keys; translations are gettext
catalogues ``<language>/LC_MESSAGES/clampwright.mo`` in this folder, made from the ``.po`` beside
them. How a language writes figures and days is taken from the Unicode CLDR, through Babel.

The language is the one the person in front chose (`speaking`), else that of the environment
(`language`). Where there is no catalogue the English text is shown.
"""

from clampwright.locale.choice import (
    FOLDER,
    VARIABLES,
    in_its_language,
    language,
    negotiated,
    page_tag,
    speaking,
    spoken,
)
from clampwright.locale.figures import between, chart_locale, figure, paper_language, told
from clampwright.locale.texts import catalogue, say

__all__ = [
    "FOLDER",
    "VARIABLES",
    "between",
    "catalogue",
    "chart_locale",
    "figure",
    "in_its_language",
    "language",
    "negotiated",
    "page_tag",
    "paper_language",
    "say",
    "speaking",
    "spoken",
    "told",
]
