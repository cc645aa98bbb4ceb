"""A calibration step by step: what to do in which order, and what to read.

The order is that of ISO 6789 as far as it is known (from memory, see the table's sources).
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Literal

from clampwright.drawer.calibration import Direction
from clampwright.drawer.permissible import CLASS_OF_KIND
from clampwright.drawer.tools import Scale, Tool
from clampwright.errors import Refused
from clampwright.words import Words, words

StepKind = Literal["preload", "zero", "read"]


@dataclass(frozen=True, slots=True)
class Sequence:
    """How tools of one type are calibrated.

    Parameters
    ----------
    preloads : int
        Loads to the largest torque beforehand, not recorded.
    zero : bool
        Whether zero is set after them.
    readings : int
        At every point.
    shares : tuple of str
        ``lowest`` or parts of the largest torque.
    source : str
    """

    preloads: int
    zero: bool
    readings: int
    shares: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Series:
    """One more series at the lowest point, for a part of the uncertainty.

    Parameters
    ----------
    name : str
        ``reproducibility``, ``drive``, ``interface`` or ``grip``.
    positions, readings : int
        Positions, and readings in each.
    say : Words
        What to change between positions.
    source : str
    """

    name: str
    positions: int
    readings: int
    say: Words
    source: str


@lru_cache(maxsize=1)
def sequences() -> dict[str, Sequence]:
    """Return the sequences by type of tool."""
    return {
        row["type"]: Sequence(
            int(row["preloads"]),
            row["zero"] == "yes",
            int(row["readings"]),
            tuple(row["shares"].split()),
            row["source"],
        )
        for row in _rows("calibration_sequence.csv")
    }


@lru_cache(maxsize=1)
def further_series() -> tuple[Series, ...]:
    """Return the series that look at reproducibility, drive, interface and grip."""
    return tuple(
        Series(
            row["series"],
            int(row["positions"]),
            int(row["readings"]),
            Words(row["say"]),
            row["source"],
        )
        for row in _rows("calibration_series.csv")
    )


def _rows(name: str) -> list[dict[str, str]]:
    text = resources.files(__package__).joinpath(name).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do.

    Parameters
    ----------
    kind : str
        ``preload``, ``zero`` or ``read``.
    direction : str
    target : float
        On the tool's scale, in its unit.
    say : Words
    point : int
        Number of the point in its direction, from 1; 0 for what is not read.
    reading : int
        Number of the reading at the point, from 1.
    """

    kind: StepKind
    direction: Direction
    target: float
    say: Words
    point: int = 0
    reading: int = 0


def sequence_of(tool: Tool) -> Sequence:
    """Return how a tool is calibrated, by its type.

    Raises
    ------
    Refused
        It shows no torque.
    """
    if not tool.is_wrench:
        raise Refused(words("{tool} shows no torque: nothing to calibrate", tool=tool.title))
    if tool.mechanism != "screw":
        return sequences()["II fixed"]
    return sequences()[(tool.iso_class or CLASS_OF_KIND[tool.kind])[0]]


def points_of(tool: Tool, scale: Scale | None = None) -> tuple[float, ...]:
    """Return where a tool is to be calibrated: values on its scale that have a mark.

    Parameters
    ----------
    tool : Tool
    scale : Scale, optional
        The first one if not given.

    Returns
    -------
    tuple of float
        In the scale's unit, rising.

    Examples
    --------
    >>> points_of(Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),)))
    (10.0, 36.0, 60.0)
    """
    used = scale or tool.scales[0]
    step = tool.settable_step(used)
    found = []
    for share in sequence_of(tool).shares:
        wanted = used.claimed_from if share == "lowest" else float(share) * used.high
        marked = used.low + round((wanted - used.low) / step) * step
        found.append(min(max(round(marked, 9), used.low or step), used.high))
    return tuple(dict.fromkeys(found))


def steps_for(tool: Tool, scale: Scale | None = None) -> tuple[Step, ...]:
    """Return a whole calibration, step by step, each direction for itself.

    Parameters
    ----------
    tool : Tool
    scale : Scale, optional
        The first one if not given.

    Returns
    -------
    tuple of Step

    Examples
    --------
    >>> wrench = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),))
    >>> [step.kind for step in steps_for(wrench)].count("read")
    15
    """
    sequence_of(tool)  # refuses what shows no torque
    used = scale or tool.scales[0]
    return tuple(step for direction in tool.directions for step in _one_way(tool, used, direction))


def _one_way(tool: Tool, scale: Scale, direction: Direction) -> Iterator[Step]:
    how, top = sequence_of(tool), scale.high
    for number in range(1, how.preloads + 1):
        say = words(
            "load it to {top} ({number} of {count}); nothing is written down",
            top=scale.text(top),
            number=number,
            count=how.preloads,
        )
        yield Step("preload", direction, top, say)
    if how.zero:
        yield Step("zero", direction, 0.0, words("let go and set its zero"))
    for point, target in enumerate(points_of(tool, scale), 1):
        for reading in range(1, how.readings + 1):
            yield Step("read", direction, target, _say_read(tool, scale, target), point, reading)


def _say_read(tool: Tool, scale: Scale, target: float) -> Words:
    text = scale.text(target)
    if tool.kind == "click":
        return words(
            "set {value} from below, pull to four fifths freely, then slowly and evenly to the "
            "click; what did the device show at the click?",
            value=text,
        )
    return words("pull until it shows {value} and hold; what does the device show?", value=text)
