"""The checks of a tool over time: is it wandering off, before any single check says so."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from clampwright.drawer.calibration import Direction
from clampwright.drawer.check_record import CheckRecord
from clampwright.drawer.metrology.control import Cusum, cusum, ewma, ewma_limits
from clampwright.drawer.tools import Tool
from clampwright.errors import Missing
from clampwright.units import factor
from clampwright.words import words

WEIGHT = 0.3
"""Of the newest check in the moving average: NIST/SEMATECH e-Handbook 6.3.2.4 uses 0.2 to 0.3."""
SLACK, ALARM = 0.5, 4.77
"""Of the cumulative sums, in standard deviations: e-Handbook 6.3.2.3 (from memory); a shift of one
is found in about eight checks, a false alarm comes in about 370."""
FEWEST = 3


@dataclass(frozen=True, slots=True)
class Band:
    """One check in the series.

    Parameters
    ----------
    check : CheckRecord
    average : float
        Moving average up to it, percent.
    low, high : float
        Limits of the average at it, percent.
    sum_high, sum_low : float
        Cumulative sums to both sides, percent.
    signals : tuple of str
        ``average`` or ``sum`` where it lies outside.
    """

    check: CheckRecord
    average: float
    low: float
    high: float
    sum_high: float
    sum_low: float
    signals: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CheckSeries:
    """All checks of a tool near one torque.

    Parameters
    ----------
    target : float
        Deviation they should scatter about, percent.
    s : float
        Standard deviation of a single check, percent.
    alarm : float
        Limit of the sums, percent.
    bands : tuple of Band
    """

    target: float
    s: float
    alarm: float
    bands: tuple[Band, ...]

    @property
    def signals(self) -> tuple[Band, ...]:
        """The checks at which something shows."""
        return tuple(band for band in self.bands if band.signals)


def check_series(
    checks: Sequence[CheckRecord],
    *,
    target: float | None = None,
    direction: Direction = "cw",
    level: float | None = None,
) -> CheckSeries:
    """Chart the checks of a tool.

    Parameters
    ----------
    checks : sequence of CheckRecord
        In the order of time.
    target : float, optional
        Deviation known from the calibration, percent; the mean of the checks if not given.
    direction : str
    level : float, optional
        Only checks within a fifth of this torque, N·m; that of the newest check if not given.

    Returns
    -------
    CheckSeries

    Raises
    ------
    Missing
        There are fewer than three checks at this torque and direction.

    Notes
    -----
    The standard deviation is that stated for the checks (their median): too few are made in a
    workshop to take it from their scatter.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3 and 6.3.2.4 (from memory).
    """
    same = [one for one in checks if one.direction == direction]
    wanted = level if level is not None else (torque_of(same[-1]) if same else 0.0)
    row = [one for one in same if abs(torque_of(one) - wanted) <= 0.2 * wanted]
    if len(row) < FEWEST:
        raise Missing(
            words(
                "{count} checks near one torque in this direction; a chart needs {fewest}",
                count=len(row),
                fewest=FEWEST,
            ),
            "checks",
        )
    values = [one.deviation for one in row]
    middle = statistics.fmean(values) if target is None else target
    s = statistics.median(one.u for one in row)
    averages = ewma(values, weight=WEIGHT, start=middle).tolist()
    sums = cusum(values, target=middle, k=SLACK * s, h=ALARM * s)
    bands = tuple(
        _band(number, check, average, (middle, s), sums)
        for number, (check, average) in enumerate(zip(row, averages, strict=True), 1)
    )
    return CheckSeries(middle, s, ALARM * s, bands)


def series_for(
    tool: Tool,
    checks: Sequence[CheckRecord],
    *,
    direction: Direction = "cw",
    level: float | None = None,
) -> CheckSeries:
    """Chart the checks of a tool about what its calibration says; see `check_series`.

    Parameters
    ----------
    tool : Tool
        As it is today.
    checks, direction, level
        As for `check_series`.

    Returns
    -------
    CheckSeries
    """
    same = [torque_of(one) for one in checks if one.direction == direction]
    near = level if level is not None else (same[-1] if same else None)
    known = None
    if near is not None and tool.calibration is not None:
        known = tool.calibration.at(near, direction)
    target = None if known is None else known.deviation
    return check_series(checks, target=target, direction=direction, level=level)


def torque_of(check: CheckRecord) -> float:
    """Return the torque of a check, N·m."""
    return check.level * factor(check.unit, "N·m")


def _band(
    number: int, check: CheckRecord, average: float, about: tuple[float, float], sums: Cusum
) -> Band:
    middle, s = about
    low, high = ewma_limits(centre=middle, s=s, weight=WEIGHT, index=number)
    signals = []
    if not low <= average <= high:
        signals.append("average")
    if number in sums.signals:
        signals.append("sum")
    return Band(
        check,
        average,
        low,
        high,
        float(sums.high[number - 1]),
        float(sums.low[number - 1]),
        tuple(signals),
    )
