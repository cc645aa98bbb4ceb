"""What installed packages bring to this program, and what was left out and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from clampwright.extensions import (
    FRICTION,
    LANGUAGE,
    LINE,
    REPORT_SECTION,
    Brought,
    Found,
    NotTaken,
    any_installed,
    strange_groups,
)
from clampwright.procedure.vocabulary import added_languages
from clampwright.report.sections import added_sections
from clampwright.standards.added import added_conditions
from clampwright.trace.line_kind import added_kinds
from clampwright.words import Words, words

GROUP_WORDS: Mapping[str, Words] = MappingProxyType(
    {
        LANGUAGE: words("language of procedures"),
        LINE: words("kind of wrench line"),
        FRICTION: words("friction condition"),
        REPORT_SECTION: words("section of the record"),
    }
)


@dataclass(frozen=True, slots=True)
class Extensions:
    """Everything that installed packages bring.

    Parameters
    ----------
    brought : tuple of Brought
    left_out : tuple of NotTaken
    """

    brought: tuple[Brought[Any], ...] = ()
    left_out: tuple[NotTaken, ...] = ()

    def as_json(self) -> dict[str, list[dict[str, str]]]:
        """Return plain data."""
        return {
            "brought": [one.as_body() for one in self.brought],
            "left_out": [
                {
                    "group": one.group,
                    "name": one.name,
                    "package": one.package,
                    "version": one.version,
                    "why": str(one.why),
                }
                for one in self.left_out
            ],
        }


def extensions() -> Extensions:
    """Load and check everything that installed packages bring.

    Returns
    -------
    Extensions
    """
    if not any_installed():
        return Extensions()
    found: Sequence[Found[Any]] = (
        added_languages(),
        added_kinds(),
        added_conditions(),
        added_sections(),
    )
    return Extensions(
        tuple(one for group in found for one in group.brought),
        (*(one for group in found for one in group.left_out), *strange_groups()),
    )
