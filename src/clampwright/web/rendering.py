"""Pages made from templates; whatever a person typed is escaped."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from typing import Any

from babel import Locale
from jinja2 import Environment, PackageLoader, StrictUndefined
from jinja2.utils import htmlsafe_json_dumps
from markupsafe import Markup, escape
from starlette.responses import HTMLResponse

from clampwright.locale import figure, language, page_tag, say, spoken, told
from clampwright.shown import shown
from clampwright.web.after_sentences import AFTER
from clampwright.web.archive_sentences import ARCHIVE
from clampwright.web.assets import Assets
from clampwright.web.cue_sentences import CUE_SCRIPT
from clampwright.web.drawer_sentences import DRAWER
from clampwright.web.drawer_work_sentences import DRAWER_WORK
from clampwright.web.happened_sentences import HAPPENED_SCRIPT
from clampwright.web.history_sentences import HISTORY
from clampwright.web.offline_sentences import OFFLINE, OFFLINE_SCRIPT
from clampwright.web.people_sentences import PEOPLE, PEOPLE_SCRIPT
from clampwright.web.practice_sentences import PRACTICE, PRACTICE_SCRIPT
from clampwright.web.sentences import PAGE, SCRIPT
from clampwright.web.shelf_sentences import SHELF, SHELF_SCRIPT
from clampwright.web.study_sentences import STUDY
from clampwright.web.telling_sentences import TELLING
from clampwright.web.trust_sentences import TRUST, TRUST_SCRIPT
from clampwright.web.verify_sentences import VERIFY, VERIFY_SCRIPT
from clampwright.web.ways_sentences import WAYS, WAYS_SCRIPT
from clampwright.words import Words


def merged(*maps: Mapping[str, Words]) -> Mapping[str, Words]:
    """Put sentences together; the same name for two of them would show one in place of the other.

    Raises
    ------
    ValueError
        When two maps have a name in common.

    Examples
    --------
    >>> from clampwright.words import words
    >>> merged({"one": words("One")}, {"one": words("Another")})
    Traceback (most recent call last):
        ...
    ValueError: two sentences have the name 'one'
    """
    found: dict[str, Words] = {}
    for one in maps:
        for name, sentence in one.items():
            if name in found:
                raise ValueError(f"two sentences have the name {name!r}")
            found[name] = sentence
    return found


PAGES = merged(
    PAGE,
    TELLING,
    DRAWER,
    DRAWER_WORK,
    STUDY,
    SHELF,
    HISTORY,
    ARCHIVE,
    AFTER,
    TRUST,
    VERIFY,
    OFFLINE,
    PEOPLE,
    WAYS,
    PRACTICE,
)
"""Sentences of all templates."""
BENCH_SCRIPTS = merged(
    SCRIPT,
    CUE_SCRIPT,
    HAPPENED_SCRIPT,
    OFFLINE_SCRIPT,
    PEOPLE_SCRIPT,
    WAYS_SCRIPT,
)
"""Sentences of the scripts of the bench: its first view is small."""
SCRIPTS = merged(
    BENCH_SCRIPTS,
    SHELF_SCRIPT,
    TRUST_SCRIPT,
    VERIFY_SCRIPT,
    PRACTICE_SCRIPT,
)
"""Sentences of all scripts."""


class Sentences:
    """The sentences of the templates by their names, in the language of whoever asks."""

    def __getitem__(self, name: str) -> str:
        return _told(language())[name]


@lru_cache(maxsize=16)
def _told(tag: str) -> Mapping[str, str]:
    return {name: say(sentence, tag) for name, sentence in PAGES.items()}


@lru_cache(maxsize=16)
def _script_words(tag: str, *, bench: bool) -> Markup:
    some = BENCH_SCRIPTS if bench else SCRIPTS
    return htmlsafe_json_dumps(
        {name: say(sentence.template, tag) for name, sentence in some.items()}
    )


@cache
def own_names() -> Mapping[str, str]:
    """Return the languages there are, each by its own name.

    Returns
    -------
    mapping of str to str
    """
    return {tag: str(Locale.parse(tag).get_display_name(tag)) for tag in spoken()}


def _shown(value: object) -> object:
    """Return what a template shows: a figure with its unit, or a day, as the language writes it.

    What stands in the text of a script or was marked as this program's own markup is left alone.
    """
    if type(value) is str:
        return told(shown(value))
    return figure(value) if isinstance(value, float) else value


class Pages:
    """The templates of this package, in every language there is.

    Parameters
    ----------
    assets : Assets
    """

    def __init__(self, assets: Assets) -> None:
        self._environment = Environment(
            loader=PackageLoader("clampwright.web"),
            autoescape=True,
            undefined=StrictUndefined,
            finalize=_shown,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._environment.filters["typed"] = escape  # stands in a field as a person types it
        self._environment.globals.update(
            static=assets.address,
            drawing=Markup,  # for this program's own SVG only
            language=page_tag,
            own_names=own_names,
            words=Sentences(),
            script_words=lambda: _script_words(language(), bench=False),
            bench_words=lambda: _script_words(language(), bench=True),
        )

    def answer(
        self,
        template: str,
        facts: Mapping[str, Any],
        *,
        status: int = 200,
        headers: dict[str, str] | None = None,
    ) -> HTMLResponse:
        """Return a page.

        Parameters
        ----------
        template : str
        facts : mapping
        status : int
        headers : dict, optional
        """
        text = self._environment.get_template(template).render(**facts)
        return HTMLResponse(text, status, headers)


def as_sentence(text: str) -> str:
    """Return text that begins and ends as a sentence does.

    Examples
    --------
    >>> as_sentence("no wrench fits"), as_sentence("Ready?")
    ('No wrench fits.', 'Ready?')
    """
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?", ":")) else ".")
