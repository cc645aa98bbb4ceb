"""Which language a person is spoken to in."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache, wraps
from pathlib import Path
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")
FOLDER = Path(__file__).parent
ENGLISH = "en"
_TAG = re.compile(r"^[a-z]{2,3}([_-][A-Za-z0-9]{2,8})*$")
VARIABLES = ("CLAMPWRIGHT_LANG", "LC_ALL", "LC_MESSAGES", "LANG")
"""Of the environment, in the order in which they are heeded."""
_RANGE = re.compile(
    r"\s*(\*|[A-Za-z]{1,8}(?:-[A-Za-z0-9]{1,8})*)\s*(?:;\s*[qQ]\s*=\s*([01](?:\.\d{0,3})?)\s*)?"
)
"""One wish of an ``Accept-Language`` field: a language and its weight (RFC 9110, 12.5.4)."""
_LONGEST = 500
"""Characters of a header worth reading; browsers send some dozens."""
_CHOSEN: ContextVar[str | None] = ContextVar("clampwright_language", default=None)


def language() -> str:
    """Return the wanted language tag, such as ``de`` or ``en_GB``.

    Returns
    -------
    str
        The one of `speaking`, else that of the environment.
    """
    chosen = _CHOSEN.get()
    if chosen is not None:
        return chosen
    wanted = next((os.environ[name] for name in VARIABLES if os.environ.get(name)), ENGLISH)
    tag = wanted.partition(".")[0].partition("@")[0]
    return tag if _TAG.match(tag) else ENGLISH  # C and POSIX are no languages


@contextmanager
def speaking(tag: str | None) -> Iterator[None]:
    """Speak a language to whoever asks in here, and in the tasks and threads begun in here.

    Parameters
    ----------
    tag : str or None
        None leaves it as it is.

    Examples
    --------
    >>> with speaking("de"):
    ...     language()
    'de'
    """
    if tag is None:
        yield
        return
    before = _CHOSEN.set(tag)
    try:
        yield
    finally:
        _CHOSEN.reset(before)


def in_its_language(make: Callable[P, R]) -> Callable[P, R]:
    """Have a function that takes ``language`` by name speak it to all that it calls.

    Parameters
    ----------
    make : callable

    Returns
    -------
    callable
    """

    @wraps(make)
    def made(*args: P.args, **given: P.kwargs) -> R:
        wanted = given.get("language")
        with speaking(wanted if isinstance(wanted, str) else None):
            return make(*args, **given)

    return made


@lru_cache(maxsize=1)
def spoken() -> tuple[str, ...]:
    """Return the languages there is a catalogue of, English first.

    Returns
    -------
    tuple of str
    """
    there = sorted(path.parts[-3] for path in FOLDER.glob("*/LC_MESSAGES/clampwright.mo"))
    return (ENGLISH, *there)


@lru_cache(maxsize=256)
def negotiated(choice: str | None, accepted: str | None) -> str | None:
    """Return the language of a request, or None where neither wish can be met.

    Parameters
    ----------
    choice : str or None
        What the person chose, such as ``de``.
    accepted : str or None
        The ``Accept-Language`` field of the request.

    Returns
    -------
    str or None
        Such as ``de`` or ``de_CH``: the region settles how figures are written.

    Examples
    --------
    >>> negotiated(None, "fr;q=0.9, en-GB;q=0.8, en;q=0.7")
    'en_GB'
    >>> negotiated(None, "*") is None
    True
    """
    wishes = _wishes(accepted or "")
    if choice and (tag := _met(choice.replace("_", "-"))):
        # The region the browser tells goes with the language the person chose.
        regional = next((met for w in wishes if (met := _met(w)) and _base(met) == tag), tag)
        return regional if tag == _base(tag) else tag
    return next((met for wish in wishes if (met := _met(wish))), None)


def _wishes(accepted: str) -> list[str]:
    """Return the languages of the field, the most wanted first; those of weight 0 are left out."""
    found: list[tuple[float, str]] = []
    for part in accepted[:_LONGEST].split(","):
        match = _RANGE.fullmatch(part)
        if match and match[1] != "*":
            found.append((float(match[2] or 1), match[1]))
    return [tag for weight, tag in sorted(found, key=lambda one: -one[0]) if weight > 0]


def _met(wish: str) -> str | None:
    """Return the tag by which a wish is met, with its region where that is not the usual one."""
    base = wish.partition("-")[0].lower()
    if base not in spoken():
        return None
    from babel.core import (  # noqa: PLC0415 - loads slowly, and a command in English has no need of it
        Locale,
        UnknownLocaleError,
        get_global,
    )

    try:
        region = Locale.parse(wish, sep="-").territory
    except (ValueError, UnknownLocaleError):
        return base
    at_home = get_global("likely_subtags").get(base, "").rpartition("_")[2]
    return base if region in {None, at_home} else f"{base}_{region}"


def _base(tag: str) -> str:
    return tag.replace("-", "_").partition("_")[0]


def page_tag(tag: str | None = None) -> str:
    """Return the language as a page states it (BCP 47): ``de-CH``.

    Parameters
    ----------
    tag : str, optional
        The person's own if not given.

    Returns
    -------
    str
    """
    return (tag or language()).replace("_", "-")
