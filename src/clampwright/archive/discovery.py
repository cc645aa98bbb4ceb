"""What stands out among very many, with a limit to how many of the alarms are false."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from clampwright.distributions import t_probability
from clampwright.errors import OutOfRange
from clampwright.joint.outliers import modified_z
from clampwright.words import words

FEWEST = 8
"""Values from which one group tells what is usual in it (ours)."""


def adjusted(chances: Sequence[float]) -> list[float]:
    """Return for each chance the share of false alarms if it and all smaller ones are alarms.

    Parameters
    ----------
    chances : sequence of float
        Of something as far off where nothing is wrong, 0 to 1.

    Returns
    -------
    list of float
        In the same order.

    Raises
    ------
    OutOfRange
        A chance lies outside 0 to 1.

    References
    ----------
    Benjamini and Hochberg, J. R. Statist. Soc. B 57 (1995) 289, from memory; holds for independent
    chances, and where they depend on each other positively.

    Examples
    --------
    >>> adjusted([0.01, 0.5, 0.02])
    [0.03, 0.5, 0.03]
    """
    p = np.asarray(chances, np.float64)
    if p.size and not (np.isfinite(p).all() and p.min() >= 0.0 and p.max() <= 1.0):
        raise OutOfRange(words("a chance lies outside 0 to 1"), value=float(p.max()), low=0.0,
                         high=1.0)  # fmt: skip
    order = np.argsort(p, kind="stable")
    scaled = p[order] * p.size / np.arange(1, p.size + 1)
    least = np.minimum.accumulate(scaled[::-1])[::-1]
    found = np.empty_like(p)
    found[order] = np.minimum(least, 1.0)
    return [float(one) for one in found]


def chances_of(values: Sequence[float]) -> tuple[list[float], list[float]]:
    """Return how far each value lies from the group's middle, and how likely that is by chance.

    Parameters
    ----------
    values : sequence of float
        At least 8.

    Returns
    -------
    list of float
        Robust distances (`clampwright.joint.outliers.modified_z`).
    list of float
        Chance of one as large, both sides, by Student's distribution with n − 1 degrees of freedom
        (ours: a robust distance scatters more than a normal one in small groups).

    Raises
    ------
    OutOfRange
        Fewer than 8 values.
    """
    if len(values) < FEWEST:
        raise OutOfRange(
            words("{count} values tell too little of what is usual; at least {fewest}",
                  count=len(values), fewest=FEWEST),
            value=float(len(values)),
            low=float(FEWEST),
        )  # fmt: skip
    far = [float(one) for one in modified_z(values)]
    known: dict[float, float] = {}
    for one in far:
        if one not in known:
            known[one] = min(1.0, 2.0 * t_probability(-abs(one), len(values) - 1))
    return far, [known[one] for one in far]
