"""Sections that installed packages add to a record: computed once, kept as an entry of the log.

What a section says stands in the record's own data, with the package and its version. So whoever
has the record reads it, verifies it and makes its paper again without the package; who has the
package too can have the section computed again.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, StringConstraints, ValidationError, model_validator
from pydantic import Field as Limit

from clampwright.errors import ClampwrightError
from clampwright.extensions import FAULTS, REPORT_SECTION, Brought, Found, fault, found
from clampwright.words import Words, words

SECTION_ADDED = "section_added"
OUTSIDE = frozenset({SECTION_ADDED, "record_made"})
"""Kinds of entries that no section is computed from: they come of making the record."""

Line = Annotated[str, StringConstraints(min_length=1, max_length=500)]
Cell = Annotated[str, StringConstraints(max_length=200)]


class SectionTable(BaseModel):
    """A table of a section."""

    model_config = ConfigDict(extra="forbid", strict=True)

    head: Annotated[list[Line], Limit(min_length=1, max_length=8)]
    rows: Annotated[list[list[Cell]], Limit(max_length=200)]

    @model_validator(mode="after")
    def _even(self) -> SectionTable:
        if any(len(row) != len(self.head) for row in self.rows):
            raise ValueError("every row must have as many cells as the head")
        return self


class SectionContent(BaseModel):
    """What a section says: texts only, set as they are."""

    model_config = ConfigDict(extra="forbid", strict=True)

    title: Annotated[str, StringConstraints(min_length=1, max_length=100)]
    lines: Annotated[list[Line], Limit(max_length=40)] = []
    table: SectionTable | None = None

    @model_validator(mode="after")
    def _something(self) -> SectionContent:
        if not self.lines and self.table is None:
            raise ValueError("a section must have lines or a table")
        return self


Section = Callable[[Mapping[str, Any]], Mapping[str, Any] | None]


@dataclass(frozen=True, slots=True)
class Told:
    """A section as a record has it.

    Parameters
    ----------
    section : str
        Name of its entry point.
    package, version : str
    content : mapping
        As `SectionContent`.
    """

    section: str
    package: str
    version: str
    content: Mapping[str, Any]

    @property
    def by(self) -> Words:
        """Say whose it is."""
        return words(
            "Added by package {package} {version}. It is not part of Clampwright, which does not "
            "judge it.",
            package=self.package,
            version=self.version,
        )

    def body(self) -> dict[str, Any]:
        """Return the body of its entry."""
        return {
            "section": self.section,
            "package": self.package,
            "version": self.version,
            "content": self.content,
        }


@lru_cache(maxsize=1)
def added_sections() -> Found[Section]:
    """Return the sections that installed packages bring.

    Returns
    -------
    Found of callable
    """
    return found(REPORT_SECTION, check_section)


def check_section(_name: str, section: object) -> Section:
    """Take a section: a function of the record's data.

    Raises
    ------
    ClampwrightError
        When it is none.
    """
    if not callable(section):
        raise ClampwrightError(words("the entry point must name a function"))
    taken: Section = section
    return taken


def computed(one: Brought[Section], job: str, entries: Iterable[Mapping[str, Any]]) -> Told | None:
    """Compute a section from the entries of a job.

    Parameters
    ----------
    one : Brought
    job : str
    entries : iterable of mapping
        Of the job, in the order of the log.

    Returns
    -------
    Told or None
        None where it has nothing to say of this job.

    Raises
    ------
    ClampwrightError
        Names the package: it fails, gives no content, or not the same twice.
    """
    given = {"job": job, "entries": [one for one in entries if one["kind"] not in OUTSIDE]}
    try:
        first, second = (_content(one.value(copy.deepcopy(given))) for _ in range(2))
    except FAULTS as error:
        raise _wrong(one, words("{problem}", problem=fault(error))) from error
    if first != second:
        raise _wrong(one, words("it says something else each time"))
    return None if first is None else Told(one.name, one.package, one.version, first)


def _content(said: object) -> dict[str, Any] | None:
    if said is None:
        return None
    try:
        return SectionContent.model_validate(said).model_dump(exclude_none=True)
    except ValidationError as error:
        one = error.errors()[0]
        where = ".".join(str(part) for part in one["loc"])
        raise ValueError(f"{where}: {one['msg']}") from error


def _wrong(one: Brought[Section], why: Words) -> ClampwrightError:
    return ClampwrightError(
        words(
            "package {package} {version}: its section {name} is left out: {why}",
            package=one.package,
            version=one.version,
            name=one.name,
            why=why,
        )
    )


def told_in(entries: Iterable[Mapping[str, Any]]) -> list[Told]:
    """Return the sections of a record: of each name the one that was added last.

    Parameters
    ----------
    entries : iterable of mapping

    Returns
    -------
    list of Told
    """
    newest = {
        entry["body"]["section"]: Told(
            entry["body"]["section"],
            entry["body"]["package"],
            entry["body"]["version"],
            entry["body"]["content"],
        )
        for entry in entries
        if entry["kind"] == SECTION_ADDED
    }
    return [newest[name] for name in sorted(newest)]
