"""Shelved procedures as plain data for the pages and the API."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from clampwright.bench.names import name_of
from clampwright.locale import say
from clampwright.procedure.marked import Marked, marked, visible
from clampwright.procedure.reader import read
from clampwright.web.reading_view import marked_view
from clampwright.words import words
from clampwright.work.difference import Difference, Line, difference
from clampwright.work.exact_stages import stages_from
from clampwright.work.settling import stage_words
from clampwright.work.shelf import Version

Names = Mapping[str, str]


def listed_view(version: Version, names: Names) -> dict[str, Any]:
    """Return one line of the list of procedures.

    Parameters
    ----------
    version : Version
        The newest one.
    names : mapping of str to str
        Names of people by id.

    Returns
    -------
    dict
    """
    return {
        "procedure": version.procedure,
        "version": version.number,
        "title": version.title,
        "source": version.source_line,
        "sha256": version.sha256,
        "by": name_of(names, version.by),
        "day": version.at[:10],
        "compared": [
            {"by": name_of(names, one.by), "day": one.at[:10]} for one in version.confirmed
        ],
        "understood": [
            ", ".join(say(part) for part in line)
            for line in stage_words(stages_from(version.content["stages"]))
        ],
        "open": list(version.open_points),
    }


def version_view(version: Version, before: Version | None, names: Names) -> dict[str, Any]:
    """Return a version whole.

    Parameters
    ----------
    version : Version
    before : Version or None
        What it is compared with.
    names : mapping of str to str

    Returns
    -------
    dict
    """
    return {
        **listed_view(version, names),
        "text": version.text,
        "locale": version.locale,
        "source_parts": dict(version.source),
        **marked_view(_marked(version.text, version.locale)),
        "choice": version.content["choice"],
        "attached": [
            {**one.as_body(), "picture": one.type.startswith("image/")} for one in version.attached
        ],
        "difference": difference_view(before, version) if before else None,
    }


@lru_cache(maxsize=16)
def _marked(text: str, locale: str) -> Marked:
    """Return a text with its marks; a version never changes, so neither does this."""
    return marked(text, read(text, locale))


def difference_view(before: Version, after: Version) -> dict[str, Any]:
    """Return what changed between two versions.

    Parameters
    ----------
    before, after : Version

    Returns
    -------
    dict
    """
    found: Difference = difference(before, after)
    return {
        "before": before.number,
        "after": after.number,
        "work": say(
            words("The work changed:")
            if found.stages_changed
            else words("The work is the same in both:")
        ),
        "stages": [_line(line) for line in found.stages],
        "text": [_line(line) for line in found.text] if found.text_changed else [],
        "others": [say(one) for one in found.others],
    }


def _line(line: Line) -> dict[str, str]:
    return {"sign": line.sign.strip(), "what": say(line.what), "text": visible(line.text)}
