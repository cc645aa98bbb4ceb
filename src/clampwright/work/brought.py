"""What a job relies on that installed packages bring: its language, its friction condition.

It stands in the entry that opens the job, with package and version. Going on with the job asks for
the same; its record asks for nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from clampwright.extensions import Brought, any_installed, require
from clampwright.procedure.reader import language_read
from clampwright.procedure.vocabulary import added_languages
from clampwright.standards.added import added_conditions
from clampwright.work.job import Joint


def brought_here() -> list[Brought[Any]]:
    """Return the languages and friction conditions that installed packages bring."""
    return [*added_languages().brought, *added_conditions().brought]


def relied_on(joints: Sequence[Joint]) -> list[dict[str, str]]:
    """Return what joints rely on, each once.

    Parameters
    ----------
    joints : sequence of Joint

    Returns
    -------
    list of dict
        As `clampwright.extensions.Brought.as_body` gives it.
    """
    if not any_installed():
        return []
    found = []
    for joint in joints:
        procedure = joint.procedure
        if procedure.text and (
            one := added_languages().named(language_read(procedure.text, procedure.locale))
        ):
            found.append(one.as_body())
        found += [
            one.as_body() for one in added_conditions().brought if one.value == joint.friction
        ]
    return [one for place, one in enumerate(found) if one not in found[:place]]


def require_as_opened(opened: Mapping[str, Any]) -> None:
    """Refuse to go on with a job where what it was begun with is not installed.

    Parameters
    ----------
    opened : mapping
        Body of the entry that opened it.

    Raises
    ------
    Missing
        Names the package and its version.
    """
    named = opened.get("extensions", ())
    if named:
        require(named, brought_here())
