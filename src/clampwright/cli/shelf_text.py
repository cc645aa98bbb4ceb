"""Shelved procedures as lines on a terminal, and as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from clampwright.cli.output import text_of
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.work.shelf import Version

Names = Mapping[str, str]


def head_lines(version: Version, names: Names) -> Iterator[str]:
    """Yield what a version is and who stands for it."""
    from clampwright.bench.names import name_of

    yield text_of(
        words("{id}, version {number}: {title}", id=version.procedure, number=version.number,
              title=version.title)
    )  # fmt: skip
    yield "  " + text_of(words("Source: {source}", source=version.source_line))
    for point in version.open_points:
        yield "  " + text_of(words("Open, so no job can use it: {point}", point=point))
    who = name_of(names, version.by)
    yield "  " + text_of(words("Entered by {who} on {day}", who=who, day=version.at[:10]))
    for one in version.confirmed:
        reader = name_of(names, one.by)
        yield "  " + text_of(
            words("Compared with its source by {who} on {day}", who=reader, day=one.at[:10])
        )
    if not version.confirmed:
        yield "  " + text_of(words("No second person has compared it with its source yet"))


def as_json(version: Version, names: Names) -> dict[str, Any]:
    """Return a version as plain data, with the names of people where they are known."""
    body = version.as_body()
    people = {version.by, *(one.by for one in version.confirmed)}
    return {**body, "names": {one: names[one] for one in sorted(people) if one in names}}
