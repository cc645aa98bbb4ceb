"""Readings of a repeatability and reproducibility study as a table: who, which part, what."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from clampwright.drawer.metrology.gauge_study import (
    GaugeStudy,
    VarianceStudy,
    analysis_of_variance,
    average_and_range,
)
from clampwright.errors import ClampwrightError
from clampwright.words import Words, words
from clampwright.work.measured_table import MeasuredTable, read_table

_PERSON = frozenset({"person", "appraiser", "who"})
_PART = frozenset({"part", "fastener", "point"})
_TRIAL = frozenset({"trial", "time"})
_VALUE = frozenset({"value", "reading"})

GOOD, BEARABLE = 10.0, 30.0
"""Percent of the total spread: AIAG Measurement Systems Analysis, 4th ed. (from memory)."""
LEAST_CATEGORIES = 5


@dataclass(frozen=True, slots=True)
class Study:
    """A study, evaluated both ways.

    Parameters
    ----------
    people, parts, trials : int
    ranges : GaugeStudy or None
        By averages and ranges; None where the printed factors do not reach.
    variance : VarianceStudy
        By analysis of variance.
    says : tuple of Words
    """

    people: int
    parts: int
    trials: int
    ranges: GaugeStudy | None
    variance: VarianceStudy
    says: tuple[Words, ...]


def read_study(data: bytes, name: str) -> Study:
    """Read and evaluate a study.

    Parameters
    ----------
    data : bytes
        Text table with columns ``person``, ``part``, ``trial`` and ``value``: at least two people,
        two parts, two trials, every combination once.
    name : str
        Name of the file, for messages.

    Returns
    -------
    Study

    Raises
    ------
    BadFile
        It is no table, or a combination is missing or there twice.
    """
    table = read_table(data, name)
    readings = _cube(table)
    people, trials, parts = readings.shape
    try:
        ranges = average_and_range(readings)
    except ClampwrightError:
        ranges = None
    variance = analysis_of_variance(readings)
    return Study(people, parts, trials, ranges, variance, _says(variance))


def _cube(table: MeasuredTable) -> NDArray[np.float64]:
    places = []
    for what, names in (("person", _PERSON), ("trial", _TRIAL), ("part", _PART), ("value", _VALUE)):
        place = table.find(names)
        if place is None:
            raise table.bad(
                words("column {what} is missing; needed are person, part, trial, value", what=what)
            )
        places.append(place)
    *keys, value = places
    known = [list(dict.fromkeys(row[key].strip() for row in table.rows)) for key in keys]
    people, trials, parts = known
    if min(len(people), len(parts), len(trials)) < 2:
        raise table.bad(
            words("a study needs at least two people, two parts and two trials of each")
        )
    cube = np.full((len(people), len(trials), len(parts)), np.nan)
    for row, cells in enumerate(table.rows):
        at = tuple(known[axis].index(cells[key].strip()) for axis, key in enumerate(keys))
        if not np.isnan(cube[at]):
            raise table.bad(
                words(
                    "line {line}: person {person}, part {part}, trial {trial} is there twice",
                    line=table.lines[row],
                    person=cells[keys[0]],
                    trial=cells[keys[1]],
                    part=cells[keys[2]],
                )
            )
        cube[at] = table.number(row, value)
    if np.isnan(cube).any():
        where = np.argwhere(np.isnan(cube))[0]
        raise table.bad(
            words(
                "person {person}, part {part}, trial {trial} is missing",
                person=people[where[0]],
                trial=trials[where[1]],
                part=parts[where[2]],
            )
        )
    return cube


def _says(variance: VarianceStudy) -> tuple[Words, ...]:
    study = variance.study
    share = study.percent("gauge")
    told = [_judged(share)]
    if study.categories < LEAST_CATEGORIES:
        told.append(
            words(
                "It tells {count} groups of parts apart; at least {least} are wanted.",
                count=study.categories,
                least=LEAST_CATEGORIES,
            )
        )
    if study.reproducibility > study.repeatability:
        told.append(words("The people differ more than one person from pull to pull: agree on how "
                          "to pull and read."))  # fmt: skip
    else:
        told.append(words("One person scatters more than the people differ: look at the tool."))
    if not variance.pooled:
        told.append(
            words("People and parts act on each other: somebody reads some parts otherwise.")
        )
    return tuple(told)


def _judged(share: float) -> Words:
    if share < GOOD:
        return words("Tool and people take {share:.0f} % of the spread: good.", share=share)
    if share <= BEARABLE:
        return words(
            "Tool and people take {share:.0f} % of the spread: it depends on what is at stake.",
            share=share,
        )
    return words("Tool and people take {share:.0f} % of the spread: too much.", share=share)
