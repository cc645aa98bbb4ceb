"""Pages made from templates; whatever a person typed is escaped."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.responses import HTMLResponse

from clampwright.locale import language, say
from clampwright.web.after_sentences import AFTER
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
    DRAWER,
    DRAWER_WORK,
    STUDY,
    SHELF,
    HISTORY,
    AFTER,
    TRUST,
    VERIFY,
    OFFLINE,
    PEOPLE,
    WAYS,
    PRACTICE,
)
"""Sentences of all templates."""
SCRIPTS = merged(
    SCRIPT,
    CUE_SCRIPT,
    HAPPENED_SCRIPT,
    SHELF_SCRIPT,
    TRUST_SCRIPT,
    VERIFY_SCRIPT,
    OFFLINE_SCRIPT,
    PEOPLE_SCRIPT,
    WAYS_SCRIPT,
    PRACTICE_SCRIPT,
)
"""Sentences of all scripts."""


class Pages:
    """The templates of this package.

    Parameters
    ----------
    assets : Assets
    """

    def __init__(self, assets: Assets) -> None:
        self._environment = Environment(
            loader=PackageLoader("clampwright.web"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._environment.globals.update(
            static=assets.address,
            drawing=Markup,  # for this program's own SVG only
            language=_tag(),
            words={key: say(sentence) for key, sentence in PAGES.items()},
            script_words={key: say(sentence.template) for key, sentence in SCRIPTS.items()},
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


def _tag() -> str:
    """Return the language as a page states it; plain ``C`` settings mean the English text."""
    tag = language()
    return "en" if tag in {"C", "POSIX"} else tag.replace("_", "-")
