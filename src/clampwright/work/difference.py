"""What changed from one version of a shelved procedure to another."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from clampwright.words import Words, words
from clampwright.work.shelf import Version

Sign = Literal[" ", "-", "+"]

MOST_LINES = 2_000
"""Lines of a text that are compared one by one; longer texts are only said to differ."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a comparison.

    Parameters
    ----------
    sign : str
        A blank: in both; ``-``: only in the earlier one; ``+``: only in the later one.
    text : str
    """

    sign: Sign
    text: str

    @property
    def what(self) -> Words:
        """The sign in words."""
        return _SIGNS[self.sign]


_SIGNS: Mapping[Sign, Words] = {
    " ": words("as before"),
    "-": words("taken out"),
    "+": words("added"),
}


@dataclass(frozen=True, slots=True)
class Difference:
    """What two versions do not have in common.

    Parameters
    ----------
    stages : tuple of Line
        The stages in words, all of them.
    text : tuple of Line
        The lines of the text, all of them.
    others : tuple of Words
        What else changed: title, language, source, attached files.
    stages_changed : bool
        Whether the work itself is another one.
    """

    stages: tuple[Line, ...]
    text: tuple[Line, ...]
    others: tuple[Words, ...]
    stages_changed: bool

    @property
    def text_changed(self) -> bool:
        """Whether the words of the text are others."""
        return any(line.sign != " " for line in self.text)


def difference(before: Version, after: Version) -> Difference:
    """Compare two versions.

    Parameters
    ----------
    before, after : Version

    Returns
    -------
    Difference
    """
    return Difference(
        tuple(_lines(before.content["understood"], after.content["understood"])),
        tuple(_lines(before.text.splitlines(), after.text.splitlines())),
        tuple(_others(before, after)),
        before.content["stages"] != after.content["stages"],
    )


def _lines(before: Sequence[str], after: Sequence[str]) -> Iterator[Line]:
    if max(len(before), len(after)) > MOST_LINES:
        if list(before) != list(after):
            yield Line("-", f"({len(before)})")
            yield Line("+", f"({len(after)})")
        return
    matcher = difflib.SequenceMatcher(None, before, after)
    for tag, a_from, a_to, b_from, b_to in matcher.get_opcodes():
        if tag == "equal":
            yield from (Line(" ", text) for text in before[a_from:a_to])
            continue
        yield from (Line("-", text) for text in before[a_from:a_to])
        yield from (Line("+", text) for text in after[b_from:b_to])


_SOURCE = {
    "title": words("source"),
    "edition": words("edition"),
    "page": words("page"),
    "date": words("date of the source"),
}


def _others(before: Version, after: Version) -> Iterator[Words]:
    if before.title != after.title:
        yield _changed(words("title"), before.title, after.title)
    if before.locale != after.locale:
        yield _changed(words("language"), before.locale, after.locale)
    for key, name in _SOURCE.items():
        if before.source[key] != after.source[key]:
            yield _changed(name, before.source[key], after.source[key])
    if before.choice != after.choice:
        yield words("another reading was chosen")
    yield from _files(before, after)


def _changed(what: Words, before: str, after: str) -> Words:
    if not before:
        return words("{what}: {after} (nothing before)", what=what, after=after)
    if not after:
        return words("{what}: left out ({before} before)", what=what, before=before)
    return words("{what}: {after} ({before} before)", what=what, before=before, after=after)


def _files(before: Version, after: Version) -> Iterator[Words]:
    old: dict[str, Any] = {one.sha256: one.name for one in before.attached}
    new: dict[str, Any] = {one.sha256: one.name for one in after.attached}
    for sha256, name in new.items():
        if sha256 not in old:
            yield words("file added: {name}", name=name)
    for sha256, name in old.items():
        if sha256 not in new:
            yield words("file left out: {name}", name=name)
