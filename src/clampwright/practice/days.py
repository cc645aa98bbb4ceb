"""Tries of several days: how much a hand differs within a day and from day to day.

One-way model with random effects, ``e_ij = b + D_i + w_ij``: a bias that stays, what a day brings
with it, and what differs from pull to pull. A prediction for a day to come needs all three; tries
of one day alone hide the middle one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from clampwright.errors import OutOfRange
from clampwright.trace.model import Floats
from clampwright.words import words

FEWEST_DAYS = 3
"""Below this many days the part from day to day is not told (ours): one degree of freedom says
nothing useful."""
FEWEST_REPEATS = 3
"""Degrees of freedom within days that are needed besides (ours)."""


@dataclass(frozen=True, slots=True)
class DayParts:
    """Variance within days and between them.

    Parameters
    ----------
    days, count : int
    mean : float
        Mean of the days' means.
    between_square, within_square : float
        Mean squares between and within days.
    within, between : float
        Standard deviations from pull to pull and from day to day; the second is 0 where the days
        differ no more than pulls do.
    u_mean : float
        Standard uncertainty of `mean`, with ``days − 1`` degrees of freedom.
    next_u, next_dof : float
        Standard uncertainty of one pull on a day to come, about `mean`, and its effective degrees
        of freedom (Satterthwaite).
    """

    days: int
    count: int
    mean: float
    between_square: float
    within_square: float
    within: float
    between: float
    u_mean: float
    next_u: float
    next_dof: float


def enough_days(days: Sequence[Sequence[float]]) -> bool:
    """Say whether tries allow to tell days apart.

    Parameters
    ----------
    days : sequence of sequence of float
        The errors of each day.

    Returns
    -------
    bool
    """
    return len(days) >= FEWEST_DAYS and sum(map(len, days)) - len(days) >= FEWEST_REPEATS


def day_parts(days: Sequence[Sequence[float]]) -> DayParts:
    """Split the scatter of tries into what differs within days and between them.

    ``n0 = (N − Σ n_i²/N)/(k − 1)``, ``s_w² = MS_w``, ``s_b² = max(0, (MS_b − MS_w)/n0)``

    Parameters
    ----------
    days : sequence of sequence of float
        One sequence for each day, at least 2 of them with at least one repeat in all.

    Returns
    -------
    DayParts

    Raises
    ------
    OutOfRange
        Too few days, or no repeats.

    Notes
    -----
    With the same number of tries a day the interval of the mean is exact; with different numbers
    it rests on the days' unweighted means, which is near it. Where the days differ no more than
    pulls do, a pull on a day to come is predicted from all tries as one row.

    References
    ----------
    Snedecor and Cochran, *Statistical Methods*, one-way random effects (from memory);
    Satterthwaite, Biometrics Bulletin 2 (1946) 110 (from memory).

    Examples
    --------
    >>> found = day_parts([[0.02, 0.04], [0.10, 0.12], [0.05, 0.07]])
    >>> print(f"{found.within:.3f} within, {found.between:.3f} between days")
    0.014 within, 0.039 between days
    """
    rows = [np.asarray(day, dtype=np.float64) for day in days]
    sizes = np.array([len(row) for row in rows], dtype=np.float64)
    k, total = len(rows), float(sizes.sum())
    if k < 2 or total <= k or int(sizes.min()) < 1:
        raise OutOfRange(
            words(
                "days are told apart from at least 2 days with repeats; there are {count:g} tries "
                "on {days} days",
                count=total,
                days=k,
            ),
            value=total,
            low=3.0,
        )
    means = np.array([row.mean() for row in rows])
    every = np.concatenate(rows)
    between_square = float(sizes @ (means - every.mean()) ** 2) / (k - 1)
    within_square = float(sum(((row - row.mean()) ** 2).sum() for row in rows)) / (total - k)
    n0 = (total - float(sizes @ sizes) / total) / (k - 1)
    between = max(0.0, (between_square - within_square) / n0)
    u_mean = float(means.std(ddof=1)) / math.sqrt(k)
    next_u, next_dof = _next(every, sizes, n0, between_square, within_square)
    return DayParts(
        days=k,
        count=int(total),
        mean=float(means.mean()),
        between_square=between_square,
        within_square=within_square,
        within=math.sqrt(within_square),
        between=math.sqrt(between),
        u_mean=u_mean,
        next_u=next_u,
        next_dof=next_dof,
    )


def _next(
    every: Floats, sizes: Floats, n0: float, between_square: float, within_square: float
) -> tuple[float, float]:
    """Return uncertainty and degrees of freedom of one pull on a day to come."""
    k, total = len(sizes), float(sizes.sum())
    if between_square <= within_square:
        return float(every.std(ddof=1)) * math.sqrt(1.0 + 1.0 / total), total - 1.0
    day = (1.0 + 1.0 / k) / n0
    pull = max(0.0, 1.0 + float((1.0 / sizes).sum()) / k**2 - day)
    parts = (day * between_square, pull * within_square)
    square = sum(parts)
    dof = square**2 / (parts[0] ** 2 / (k - 1) + parts[1] ** 2 / (total - k))
    return math.sqrt(square), dof
