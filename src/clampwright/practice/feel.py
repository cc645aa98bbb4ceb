"""What tries by hand say: bias, scatter, the next pull, and whether it would do for a stage.

Everything is a share of the torque aimed at, so that tries at different torques stand together.
Intervals are those of few tries: Student's t for the bias and the next pull, chi-square for the
scatter. One try says nothing about scatter, and the results say so instead of a figure.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import TypeVar

from clampwright.distributions import chi_square_quantile, coverage_factor, t_probability
from clampwright.drawer.metrology.comparison import Difference, unpaired_difference
from clampwright.drawer.metrology.intervals import binomial_interval
from clampwright.drawer.metrology.summary import summary
from clampwright.errors import ClampwrightError, Missing
from clampwright.joint.line_fit import Line, fit_line
from clampwright.practice.days import DayParts, day_parts, enough_days
from clampwright.practice.tries import Try
from clampwright.words import Words, words

CONFIDENCE = 0.95
"""Of every interval."""
NOTHING = -1.0
"""No pull is further off than this: nothing was pulled. Cutting an interval there loses none of its
confidence."""
FEWEST_FOR_A_TREND = 6
"""Tries below which no trend is told (ours)."""
FEWEST_IN_A_GROUP = 3
"""Tries below which two ways are not compared (ours)."""

Range = tuple[float, float]
Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Spread:
    """Bias and scatter of a row of tries, as shares of the torque aimed at.

    Parameters
    ----------
    count : int
    bias : float
        Mean error; above 0 is too much.
    bias_range : tuple of float or None
        Interval of the bias; None for a single try.
    scatter : float or None
        Standard deviation of a pull; with days told apart, within and between days together.
    scatter_range : tuple of float or None
        Interval of the scatter of tries taken as one row.
    next_range : tuple of float or None
        Where the next pull falls (prediction interval).
    next_u, next_dof : float
        Standard uncertainty of the next pull about the bias, and its degrees of freedom; NaN for a
        single try.
    days : DayParts or None
        Within and between days, where the tries are enough for it.
    """

    count: int
    bias: float
    bias_range: Range | None
    scatter: float | None
    scatter_range: Range | None
    next_range: Range | None
    next_u: float
    next_dof: float
    days: DayParts | None

    def share_within(self, tolerance: float) -> float | None:
        """Return the chance that the next pull falls within ± a tolerance.

        Parameters
        ----------
        tolerance : float
            As a share, such as 0.1.

        Returns
        -------
        float or None
            From Student's t about the bias; None where nothing is known of the scatter.
        """
        if self.scatter is None:
            return None
        if self.next_u == 0.0:
            return float(abs(self.bias) <= tolerance)
        low, high = (-tolerance - self.bias) / self.next_u, (tolerance - self.bias) / self.next_u
        return t_probability(high, self.next_dof) - t_probability(low, self.next_dof)


def spread_of(tries: Sequence[Try]) -> Spread:
    """Evaluate tries.

    Parameters
    ----------
    tries : sequence of Try
        At least one.

    Returns
    -------
    Spread

    Raises
    ------
    Missing
        There is no try.

    References
    ----------
    t interval of a mean, chi-square interval of a standard deviation, prediction interval of one
    more value: any textbook of statistics; JCGM 100:2008, 4.2 and G.3 (from memory).

    Examples
    --------
    >>> from datetime import date
    >>> day = date(2026, 5, 1)
    >>> found = spread_of([Try(25.0, reached, day) for reached in (23.0, 24.0, 24.5, 23.5)])
    >>> print(f"{found.bias:+.1%}, {found.bias_range[0]:+.1%} to {found.bias_range[1]:+.1%}")
    -5.0%, -9.1% to -0.9%
    >>> print(f"next {found.next_range[0]:+.1%} to {found.next_range[1]:+.1%}")
    next -14.2% to +4.2%
    """
    if not tries:
        raise Missing(words("there is no try to evaluate yet"), "tries")
    errors = [one.error for one in tries]
    if len(errors) == 1:
        return Spread(1, errors[0], None, None, None, None, math.nan, math.nan, None)
    row = summary(errors)
    apart = list(grouped(tries, lambda one: one.day).values())
    days = [[one.error for one in day] for day in apart]
    parts = day_parts(days) if enough_days(days) else None
    mean, u, dof = row.mean, row.u_mean, row.n - 1.0
    next_u, next_dof, scatter = row.s * math.sqrt(1.0 + 1.0 / row.n), row.n - 1.0, row.s
    if parts is not None:
        mean, u, dof = parts.mean, parts.u_mean, parts.days - 1.0
        next_u, next_dof = parts.next_u, parts.next_dof
        scatter = math.hypot(parts.within, parts.between)
    half, away = coverage_factor(CONFIDENCE, dof) * u, coverage_factor(CONFIDENCE, next_dof)
    return Spread(
        count=row.n,
        bias=mean,
        bias_range=(max(mean - half, NOTHING), mean + half),
        scatter=scatter,
        scatter_range=scatter_range(row.s, row.n),
        next_range=(max(mean - away * next_u, NOTHING), mean + away * next_u),
        next_u=next_u,
        next_dof=next_dof,
        days=parts,
    )


def scatter_range(s: float, count: int, *, confidence: float = CONFIDENCE) -> Range:
    """Interval of a standard deviation of normal values.

    ``s √(ν/χ²_(1+p)/2) to s √(ν/χ²_(1−p)/2)``, ``ν = n − 1``

    Parameters
    ----------
    s : float
        Standard deviation found.
    count : int
        Values, at least 2.
    confidence : float

    Returns
    -------
    tuple of float

    References
    ----------
    Any textbook of statistics.

    Examples
    --------
    >>> low, high = scatter_range(1.0, 10)
    >>> round(low, 4), round(high, 4)
    (0.6878, 1.8256)
    """
    dof, tail = count - 1.0, 0.5 - confidence / 2.0
    ends = (chi_square_quantile(1.0 - tail, dof), chi_square_quantile(tail, dof))
    return s * math.sqrt(dof / ends[0]), s * math.sqrt(dof / ends[1])


def grouped(tries: Iterable[Try], key: Callable[[Try], Key]) -> dict[Key, list[Try]]:
    """Put tries together that share something, in the order in which it first appears."""
    found: dict[Key, list[Try]] = {}
    for one in tries:
        found.setdefault(key(one), []).append(one)
    return found


def by_length(tries: Sequence[Try]) -> dict[float, list[Try]]:
    """Put tries together by the length of the wrench, the shortest first; unknown ones left out."""
    found = grouped((one for one in tries if one.length), lambda one: float(one.length or 0.0))
    return dict(sorted(found.items()))


def by_posture(tries: Sequence[Try]) -> dict[str, list[Try]]:
    """Put tries together by posture; those without one left out."""
    return grouped((one for one in tries if one.posture), lambda one: one.posture)


def differences(groups: dict[Key, list[Try]]) -> dict[Key, Difference]:
    """Compare every group with the one that has most tries.

    Parameters
    ----------
    groups : dict of list of Try

    Returns
    -------
    dict of Difference
        Mean error of the group less that of the largest one. Groups of fewer than
        `FEWEST_IN_A_GROUP` tries are left out. With several comparisons each interval is widened
        so that all hold together (Bonferroni).
    """
    usable = {key: tries for key, tries in groups.items() if len(tries) >= FEWEST_IN_A_GROUP}
    if len(usable) < 2:
        return {}
    most = max(usable, key=lambda key: len(usable[key]))
    others = [key for key in usable if key != most]
    confidence = 1.0 - (1.0 - CONFIDENCE) / len(others)
    base = [one.error for one in usable[most]]
    found: dict[Key, Difference] = {}
    for key in others:
        try:
            errors = [one.error for one in usable[key]]
            found[key] = unpaired_difference(errors, base, confidence=confidence)
        except ClampwrightError:
            continue  # nothing scatters on either side: there is no interval to tell
    return found


def trend_of(tries: Sequence[Try]) -> Line | None:
    """Say whether errors get smaller from try to try.

    Parameters
    ----------
    tries : sequence of Try
        In the order in which they were made.

    Returns
    -------
    Line or None
        Size of the error over the number of the try; None for too few tries. Its slope has a t
        interval; sizes are not normal, so the interval is a guide.
    """
    if len(tries) < FEWEST_FOR_A_TREND:
        return None
    return fit_line(range(1, len(tries) + 1), [abs(one.error) for one in tries])


@dataclass(frozen=True, slots=True)
class Tolerance:
    """What a typical stage allows.

    Parameters
    ----------
    key : str
    title : Words
    tolerance : float
        As a share, ±.
    source : str
    """

    key: str
    title: Words
    tolerance: float
    source: str


@lru_cache(maxsize=1)
def tolerances() -> tuple[Tolerance, ...]:
    """Return what typical stages allow, the narrowest first."""
    text = resources.files(__package__).joinpath("tolerances.csv").read_text("utf-8")
    return tuple(
        Tolerance(
            row["key"], Words(row["title"]), float(row["tolerance_percent"]) / 100.0, row["source"]
        )
        for row in csv.DictReader(text.splitlines())
    )


@dataclass(frozen=True, slots=True)
class Held:
    """Tries held against one tolerance.

    Parameters
    ----------
    tolerance : Tolerance
    inside : int
        Tries that fell within it.
    share_range : tuple of float
        Exact interval of the share that does.
    next_within : float or None
        Chance of the next pull; see `Spread.share_within`.
    """

    tolerance: Tolerance
    inside: int
    share_range: Range
    next_within: float | None


def held_against(tries: Sequence[Try]) -> tuple[Held, ...]:
    """Hold tries against what typical stages allow.

    Parameters
    ----------
    tries : sequence of Try
        At least one.

    Returns
    -------
    tuple of Held
        The narrowest tolerance first.
    """
    found, spread = [], spread_of(tries)
    for one in tolerances():
        inside = sum(abs(each.error) <= one.tolerance + 1e-12 for each in tries)
        share = binomial_interval(inside, len(tries))
        found.append(Held(one, inside, share, spread.share_within(one.tolerance)))
    return tuple(found)
