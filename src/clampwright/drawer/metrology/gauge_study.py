"""Repeatability and reproducibility: several people measure the same parts several times.

Two analyses of the same readings stand side by side: average and range (by hand, older), and the
analysis of variance (also finds that people disagree on some parts only). They differ by a few per
cent; the second uses the readings better.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike

from clampwright.distributions import f_probability
from clampwright.drawer.metrology import _inputs
from clampwright.drawer.metrology._inputs import Floats
from clampwright.errors import OutOfRange
from clampwright.words import words

CATEGORIES = math.sqrt(2.0)
"""Distinct categories per part over gauge spread; AIAG prints 1.41."""


@dataclass(frozen=True, slots=True)
class GaugeStudy:
    """Result of a study; standard deviations in the unit of the readings.

    Parameters
    ----------
    repeatability : float
        EV: the same person, the same part, again.
    reproducibility : float
        AV: another person.
    gauge : float
        GRR: both together.
    part : float
        PV: between the parts.
    total : float
        TV.
    method : {"average and range", "analysis of variance"}
    """

    repeatability: float
    reproducibility: float
    gauge: float
    part: float
    total: float
    method: str

    def percent(self, name: str) -> float:
        """Return one of the spreads in percent of the total; the percentages do not add to 100.

        Parameters
        ----------
        name : str
            ``repeatability``, ``reproducibility``, ``gauge`` or ``part``.

        Returns
        -------
        float
        """
        value: float = getattr(self, name)
        return 100.0 * value / self.total

    @property
    def categories(self) -> int:
        """How many groups of parts the gauge can tell apart (ndc): cut, not rounded; at least 1."""
        return max(1, int(CATEGORIES * self.part / self.gauge))


@dataclass(frozen=True, slots=True)
class Source:
    """One line of an analysis of variance.

    Parameters
    ----------
    sum_of_squares, mean_square : float
        Unit of the readings squared.
    dof : int
        Degrees of freedom.
    F, p : float or None
        Ratio to the line it is tested against, and the chance of a larger one.
    """

    sum_of_squares: float
    dof: int
    mean_square: float
    F: float | None = None
    p: float | None = None


@dataclass(frozen=True, slots=True)
class VarianceStudy:
    """An analysis of variance and the study that follows from it.

    Parameters
    ----------
    appraiser, part, interaction, error : Source
    pooled : bool
        Whether the interaction was taken into the error, because it did not show.
    pooled_mean_square : float
        The error's mean square that was used.
    study : GaugeStudy
    """

    appraiser: Source
    part: Source
    interaction: Source
    error: Source
    pooled: bool
    pooled_mean_square: float
    study: GaugeStudy


@lru_cache(maxsize=1)
def gauge_constants() -> dict[str, dict[int, float]]:
    """Return the factors K1 (by trials), K2 (by people) and K3 (by parts).

    Returns
    -------
    dict of str to dict of int to float

    References
    ----------
    AIAG *Measurement Systems Analysis*, 4th ed. (from memory). K1 is 1/d2, K2 and K3 are
    1/√(d2² + d3²) of the range of that many; tests recompute them.

    Examples
    --------
    >>> gauge_constants()["K1"][3]
    0.5908
    """
    text = resources.files(__package__).joinpath("gauge_constants.csv").read_text("utf-8")
    table: dict[str, dict[int, float]] = {"K1": {}, "K2": {}, "K3": {}}
    for row in csv.DictReader(text.splitlines()):
        for name, known in table.items():
            if row[name]:
                known[int(row["count"])] = float(row[name])
    return table


def average_and_range(readings: ArrayLike) -> GaugeStudy:
    """Gauge study by averages and ranges.

    ``EV = K1 R̄``, ``AV² = (K2 x̄_diff)² − EV²/(n r)``, ``PV = K3 R_p``

    Parameters
    ----------
    readings : array_like, shape (appraisers, trials, parts)
        2 or 3 people, 2 or 3 trials, 2 to 10 parts.

    Returns
    -------
    GaugeStudy

    Raises
    ------
    OutOfRange
        The study has another size, a reading is not finite, or nothing scatters.

    References
    ----------
    AIAG *Measurement Systems Analysis*, 4th ed. (from memory).

    Examples
    --------
    >>> study = average_and_range([[[2.0, 2.4, 2.1], [2.1, 2.3, 2.1]],
    ...                            [[2.1, 2.5, 2.2], [2.1, 2.4, 2.2]]])
    >>> print(f"{study.gauge:.4f} of {study.total:.4f}, {study.categories} categories")
    0.0715 of 0.1844, 3 categories
    """
    table = _table(readings)
    people, trials, parts = table.shape
    known = gauge_constants()
    factors = [
        _factor(known[name], count, what)
        for name, count, what in (
            ("K1", trials, "trials"),
            ("K2", people, "appraisers"),
            ("K3", parts, "parts"),
        )
    ]
    repeat = factors[0] * float(np.ptp(table, axis=1).mean())
    between = factors[1] * float(np.ptp(table.mean(axis=(1, 2))))
    other = math.sqrt(max(0.0, between**2 - repeat**2 / (parts * trials)))
    spread = factors[2] * float(np.ptp(table.mean(axis=(0, 1))))
    return _study(repeat, other, spread, "average and range")


def analysis_of_variance(readings: ArrayLike, *, pool_above: float = 0.25) -> VarianceStudy:
    """Gauge study by two-way analysis of variance.

    Parameters
    ----------
    readings : array_like, shape (appraisers, trials, parts)
        At least 2 of each.
    pool_above : float
        The interaction goes into the error where its chance p is above this.

    Returns
    -------
    VarianceStudy

    Raises
    ------
    OutOfRange
        The study is too small, a reading is not finite, or nothing scatters.

    Notes
    -----
    People and parts are tested against the interaction. A component that would be negative is
    taken as zero.

    References
    ----------
    AIAG *Measurement Systems Analysis*, 4th ed. (from memory).

    Examples
    --------
    >>> found = analysis_of_variance([[[2.0, 2.4, 2.1], [2.1, 2.3, 2.1]],
    ...                               [[2.1, 2.5, 2.2], [2.1, 2.4, 2.2]]])
    >>> print(f"{found.study.gauge:.4f} of {found.study.total:.4f}, pooled: {found.pooled}")
    0.0722 of 0.1834, pooled: True
    """
    table = _table(readings)
    limit = _inputs.share("pool_above", pool_above)
    people, trials, parts = table.shape
    lines = _sources(table)
    chance = lines["interaction"].p
    pooled = chance is None or chance > limit
    error = _pooled(lines["interaction"], lines["error"]) if pooled else lines["error"].mean_square
    against = error if pooled else lines["interaction"].mean_square
    # Components of variance; one that would be negative is none.
    crossed = max(0.0, (against - error) / trials)
    other = max(0.0, (lines["appraiser"].mean_square - against) / (parts * trials))
    spread = max(0.0, (lines["part"].mean_square - against) / (people * trials))
    study = _study(
        math.sqrt(error), math.sqrt(other + crossed), math.sqrt(spread), "analysis of variance"
    )
    return VarianceStudy(**lines, pooled=pooled, pooled_mean_square=error, study=study)


def _sources(table: Floats) -> dict[str, Source]:
    """Return the four lines of the analysis, each with what it is tested against."""
    people, trials, parts = table.shape
    grand, cell = table.mean(), table.mean(axis=1)
    appraiser = trials * parts * _square(table.mean(axis=(1, 2)) - grand)
    part = people * trials * _square(table.mean(axis=(0, 1)) - grand)
    additive = cell.mean(axis=1)[:, None] + cell.mean(axis=0) - grand
    crossed = trials * _square(cell - additive)
    error = _source(_square(table - cell[:, None, :]), people * parts * (trials - 1))
    interaction = _source(crossed, (people - 1) * (parts - 1), error)
    return {
        "appraiser": _source(appraiser, people - 1, interaction),
        "part": _source(part, parts - 1, interaction),
        "interaction": interaction,
        "error": error,
    }


def _table(readings: ArrayLike) -> Floats:
    table = _inputs.number("readings", readings)
    if table.ndim != 3 or min(table.shape) < 2:
        raise OutOfRange(
            words(
                "a gauge study needs readings of at least 2 appraisers, 2 trials and 2 parts, each"
                " with the same number; got shape {shape}",
                shape=str(table.shape),
            ),
            value=float(table.size),
            low=8.0,
        )
    return table


def _factor(known: dict[int, float], count: int, what: str) -> float:
    if count not in known:
        raise OutOfRange(
            words(
                "average and range is tabled for {known} {what}, not for {count}; use the analysis"
                " of variance",
                known=", ".join(str(number) for number in known),
                what=what,
                count=count,
            ),
            value=float(count),
            low=float(min(known)),
            high=float(max(known)),
            source="AIAG Measurement Systems Analysis, 4th ed. (from memory)",
        )
    return known[count]


def _square(gap: Floats) -> float:
    return math.fsum((gap.ravel() ** 2).tolist())


def _source(total: float, dof: int, against: Source | None = None) -> Source:
    mean = total / dof
    if against is None or not against.mean_square > 0.0:
        return Source(total, dof, mean)
    ratio = mean / against.mean_square
    return Source(total, dof, mean, ratio, 1.0 - f_probability(ratio, dof, against.dof))


def _pooled(one: Source, two: Source) -> float:
    return (one.sum_of_squares + two.sum_of_squares) / (one.dof + two.dof)


def _study(repeat: float, other: float, spread: float, method: str) -> GaugeStudy:
    gauge = math.hypot(repeat, other)
    _inputs.one_above("scatter of the gauge", gauge)
    return GaugeStudy(repeat, other, gauge, spread, math.hypot(gauge, spread), method)
