"""What packages of others bring, found by their entry points (docs/reference/entry-points.md).

A package says in its own metadata that it brings a language, a kind of line, a friction condition
or a section of the report. It is looked for only where such a thing is asked for; where none is
installed that look reads names of folders and nothing else. What a package brings is checked by
the room that uses it. What is wrong with it is told with the package's name, and the work goes on
without it.
"""

from __future__ import annotations

import csv
import logging
import os
import re
import sys
from collections import Counter
from collections.abc import Callable, Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import ModuleType
from typing import Any, Generic, TypeVar

from clampwright.errors import ClampwrightError, Missing
from clampwright.words import Words, words

LANGUAGE = "clampwright.language"
LINE = "clampwright.line"
FRICTION = "clampwright.friction"
REPORT_SECTION = "clampwright.report_section"
GROUPS = (LANGUAGE, LINE, FRICTION, REPORT_SECTION)
"""Groups of entry points that mean something."""
OURS = "clampwright."

FAULTS = (
    ArithmeticError,
    AssertionError,
    AttributeError,
    ImportError,
    LookupError,
    MemoryError,
    NameError,
    OSError,
    RuntimeError,
    SyntaxError,
    TypeError,
    ValueError,
)
"""What the code of others raises when it is wrong; an interrupt or an exit is none of these."""
MOST_ROWS = 5000
MOST_SIGNS = 2000
"""Rows of a table, and signs of one of its cells."""

Value = TypeVar("Value")
log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Brought(Generic[Value]):
    """One thing that a package brings, checked.

    Parameters
    ----------
    group, name : str
        Of its entry point.
    package, version : str
    value : object
        As the room that checked it gives it.
    """

    group: str
    name: str
    package: str
    version: str
    value: Value

    def as_body(self) -> dict[str, str]:
        """Return by whom it is, as entries of the log have it."""
        return {
            "group": self.group,
            "name": self.name,
            "package": self.package,
            "version": self.version,
        }


@dataclass(frozen=True, slots=True)
class NotTaken:
    """One thing that a package brings and that cannot be used.

    Parameters
    ----------
    group, name, package, version : str
        As of `Brought`.
    why : Words
    """

    group: str
    name: str
    package: str
    version: str
    why: Words

    @property
    def says(self) -> Words:
        """The whole sentence."""
        return words(
            "package {package} {version}: its {name} ({group}) is left out: {why}",
            package=self.package,
            version=self.version,
            name=self.name,
            group=self.group,
            why=self.why,
        )


@dataclass(frozen=True, slots=True)
class Found(Generic[Value]):
    """What the installed packages bring of one group.

    Parameters
    ----------
    brought : tuple of Brought
    left_out : tuple of NotTaken
    """

    brought: tuple[Brought[Value], ...] = ()
    left_out: tuple[NotTaken, ...] = ()

    def named(self, name: str) -> Brought[Value] | None:
        """Return the one of a name."""
        return next((one for one in self.brought if one.name == name), None)

    def why_not(self, name: str) -> Words | None:
        """Say why the one of a name was left out; None where there is none."""
        return next((one.says for one in self.left_out if one.name == name), None)


@lru_cache(maxsize=1)
def any_installed() -> bool:
    """Return whether any package in a folder on the path names one of our groups.

    The full machinery of packages takes twenty times as long to load as this look.

    Returns
    -------
    bool
    """
    return any(_names_us(Path(place or ".")) for place in sys.path)


def _names_us(place: Path) -> bool:
    with suppress(OSError), os.scandir(place) as lying:
        for one in lying:
            if one.name.endswith((".dist-info", ".egg-info")):
                with suppress(OSError):
                    said = Path(one.path, "entry_points.txt").read_bytes()
                    if b"[" + OURS.encode() in said:
                        return True
    return False


def points(group: str | None = None) -> list[Any]:
    """Return the entry points of a group, or of every group that looks like ours.

    Parameters
    ----------
    group : str, optional

    Returns
    -------
    list of importlib.metadata.EntryPoint
        By name, then by package.
    """
    return [one for one in every_point() if group is None or one.group == group]


@lru_cache(maxsize=1)
def every_point() -> tuple[Any, ...]:
    """Return the entry points whose groups look like ours: looked for once, as `any_installed`.

    The name of a package costs reading its whole description.

    Returns
    -------
    tuple of importlib.metadata.EntryPoint
        By group, by name, then by package.
    """
    if not any_installed():
        return ()
    from importlib.metadata import distributions  # noqa: PLC0415 - 40 ms, only where one is there

    first: dict[str, Any] = {}  # of a package that lies twice on the path, the first is imported
    for package in distributions():
        first.setdefault(re.sub("[-_.]+", "-", package.name).casefold(), package)
    ours = (
        one
        for package in first.values()
        for one in package.entry_points
        if one.group.startswith(OURS)
    )
    by_name = sorted(ours, key=lambda one: (one.group, one.name, one.dist.name if one.dist else ""))
    return tuple(by_name)


def found(
    group: str, check: Callable[[str, Any], Value], shipped: Collection[str] = ()
) -> Found[Value]:
    """Load what the installed packages bring of one group.

    Parameters
    ----------
    group : str
        One of `GROUPS`.
    check : callable
        Given the name and the loaded object; returns what is to be used, or raises what is wrong.
    shipped : collection of str
        Names that Clampwright has itself: nothing takes their place.

    Returns
    -------
    Found
    """
    there = points(group)
    often = Counter(one.name for one in there)
    brought: list[Brought[Value]] = []
    left_out: list[NotTaken] = []
    for point in there:
        package = point.dist.name if point.dist else "?"
        version = point.dist.version if point.dist else "?"
        why = _clash(point.name, often[point.name], shipped)
        if why is None:
            try:
                value = check(point.name, point.load())
            except ClampwrightError as error:
                why = error.message
            except FAULTS as error:
                why = words("{problem}", problem=fault(error))
            else:
                brought.append(Brought(group, point.name, package, version, value))
                continue
        left_out.append(NotTaken(group, point.name, package, version, why))
        log.warning("%s", left_out[-1].says)
    return Found(tuple(brought), tuple(left_out))


def _clash(name: str, often: int, shipped: Collection[str]) -> Words | None:
    if name in shipped:
        return words("Clampwright has {name} itself, and nothing takes its place", name=name)
    if often > 1:
        return words("several packages bring {name}: which one is meant cannot be told", name=name)
    return None


def fault(error: BaseException) -> str:
    r"""Return an error of somebody's code in one short line.

    Examples
    --------
    >>> fault(ValueError("so\nnot"))
    'ValueError: so not'
    """
    return " ".join(f"{type(error).__name__}: {error}".split())[:300]


def strange_groups() -> tuple[NotTaken, ...]:
    """Return what stands in groups that begin as ours and are none.

    Returns
    -------
    tuple of NotTaken
    """
    known = ", ".join(GROUPS)
    return tuple(
        NotTaken(
            one.group,
            one.name,
            one.dist.name if one.dist else "?",
            one.dist.version if one.dist else "?",
            words("there is no such group; there are {known}", known=known),
        )
        for one in points()
        if one.group not in GROUPS
    )


def table(module: object, file: str, columns: Sequence[str]) -> list[dict[str, str]]:
    """Read a table (CSV, UTF-8) that lies in a package.

    Parameters
    ----------
    module : module
        The package.
    file : str
        Name of the table.
    columns : sequence of str
        Its columns: these, in this order.

    Returns
    -------
    list of dict of str to str

    Raises
    ------
    ClampwrightError
        When it is not there, has other columns, or is too large.
    """
    from importlib.resources import files  # noqa: PLC0415 - only where a package is there

    if not isinstance(module, ModuleType):
        raise ClampwrightError(words("the entry point must name a package that holds the tables"))
    try:
        text = files(module).joinpath(file).read_text("utf-8")
        lines = list(csv.reader(text.splitlines(), strict=True))
    except (OSError, ValueError, csv.Error) as error:
        raise ClampwrightError(
            words("{file} cannot be read: {problem}", file=file, problem=fault(error))
        ) from error
    if not lines or lines[0] != list(columns):
        raise ClampwrightError(
            words("{file}: the columns must be {columns}", file=file, columns=",".join(columns))
        )
    if len(lines) > MOST_ROWS:
        raise ClampwrightError(
            words("{file} has more than {limit} rows", file=file, limit=MOST_ROWS)
        )
    for number, line in enumerate(lines[1:], 2):
        if len(line) != len(columns) or any(len(cell) > MOST_SIGNS for cell in line):
            raise ClampwrightError(
                words(
                    "{file}, row {row}: expected {count} cells of at most {limit} signs",
                    file=file,
                    row=number,
                    count=len(columns),
                    limit=MOST_SIGNS,
                )
            )
    return [dict(zip(columns, line, strict=True)) for line in lines[1:]]


def require(named: Sequence[dict[str, str]], here: Sequence[Brought[Any]]) -> None:
    """Refuse to go on where what an entry names is not installed as it was.

    Parameters
    ----------
    named : sequence of dict
        As `Brought.as_body` gives it.
    here : sequence of Brought

    Raises
    ------
    Missing
        Names the package.
    """
    known = {(one.group, one.name, one.package, one.version) for one in here}
    for one in named:
        if (one["group"], one["name"], one["package"], one["version"]) not in known:
            raise Missing(
                words(
                    "this was begun with {name} of package {package} {version}, which is not "
                    "installed here: install that version to go on",
                    name=one["name"],
                    package=one["package"],
                    version=one["version"],
                ),
                needed=one["package"],
            )
