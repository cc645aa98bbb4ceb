"""How good an interval was: a score that is best for whoever says what they believe.

The interval score of Gneiting and Raftery: the width, and for what lies outside 2/α times how far.
It is proper: on average nobody does better than with the true 5 % and 95 % points, neither by
boasting (narrow) nor by hiding (wide).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import OutOfRange
from clampwright.trace.model import Floats
from clampwright.words import words

LEVEL = 0.90
"""The share of fasteners that an interval is meant to hold: the band goes from 5 to 95 %."""


def interval_score(low: float, high: float, outcome: ArrayLike, *, level: float = LEVEL) -> Floats:
    """Return the interval score of each outcome; smaller is better.

    ``S = (u − l) + (2/α)(l − x) for x < l, + (2/α)(x − u) for x > u``, ``α = 1 − level``

    Parameters
    ----------
    low, high : float
        The interval, unit of the outcome.
    outcome : array_like
        What came.
    level : float
        Share that the interval is meant to hold, above 0 and below 1.

    Returns
    -------
    ndarray
        Unit of the outcome.

    Raises
    ------
    OutOfRange
        The interval runs backward, or the level is no share.

    References
    ----------
    Gneiting and Raftery, "Strictly Proper Scoring Rules, Prediction, and Estimation", Journal of
    the American Statistical Association 102 (2007) 359–378, equation (43), from memory.

    Examples
    --------
    >>> [float(round(s, 1)) for s in interval_score(20.0, 30.0, [25.0, 31.0, 18.0])]
    [10.0, 30.0, 50.0]
    """
    if not 0.0 < level < 1.0:
        raise OutOfRange(
            words("the level {level:g} must lie between 0 and 1", level=level),
            value=level,
            low=0.0,
            high=1.0,
        )
    if not low <= high:
        raise OutOfRange(
            words(
                "the interval {low:g} to {high:g} runs backward; give the smaller end first",
                low=low,
                high=high,
            ),
            value=low,
            high=high,
        )
    x = np.asarray(outcome, dtype=np.float64)
    miss = np.maximum(low - x, 0.0) + np.maximum(x - high, 0.0)
    score: Floats = (high - low) + 2.0 / (1.0 - level) * miss
    return score


def points(score: float, best: float) -> int:
    """Return a score as points: 100 for the best that can be said, fewer the worse it is.

    Parameters
    ----------
    score : float
        Mean interval score of what was said, over all that may come.
    best : float
        The same of the true 5 % and 95 % points.

    Returns
    -------
    int
        0 to 100.

    Notes
    -----
    As the score is already the mean over all that may come, any falling function of it keeps it
    proper: the most points go to the same interval as the smallest score.

    Examples
    --------
    >>> points(20.0, 10.0), points(9.999, 10.0)
    (50, 100)
    """
    return round(100.0 * min(1.0, best / score)) if score > 0.0 else 100
