"""Small helpers on rows of numbers that every later step uses."""

from __future__ import annotations

import numpy as np

from clampwright.trace.model import Floats


def noise(values: Floats) -> float:
    """Estimate the noise of a smooth row from its second differences, robustly.

    Parameters
    ----------
    values : ndarray, shape (n,)

    Returns
    -------
    float
        Standard deviation in the unit of `values`; for a row rounded more coarsely than its noise,
        that of the rounding. 0 for fewer than 4 samples.

    Notes
    -----
    For white noise the second difference has a standard deviation of √6 times that of the noise.

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> round(noise(np.linspace(0, 50, 2000) + rng.normal(0, 0.2, 2000)), 1)
    0.2
    """
    if len(values) < 4:
        return 0.0
    second = np.abs(np.diff(values, 2))
    spread = 1.4826 * middle(second[:: stride(len(second))]) / 6.0**0.5
    return float(max(spread, rounding_step(values) / 12.0**0.5))


def stride(count: int) -> int:
    """Return how far apart samples may be taken where some hundred tell as much as all.

    Parameters
    ----------
    count : int
        How many there are.

    Returns
    -------
    int
        1 for fewer than 512.

    Examples
    --------
    >>> stride(200), stride(2000)
    (1, 7)
    """
    return max(1, count // 256)


def rate_of_change(values: Floats, time: Floats) -> Floats:
    """Return the slope between the neighbours of each sample.

    Parameters
    ----------
    values, time : ndarray, shape (n,)
        At least two; the time rises.

    Returns
    -------
    ndarray, shape (n,)
        In the unit of the values per second; at the ends the slope to the one neighbour.

    Examples
    --------
    >>> rate_of_change(np.array([0.0, 1.0, 4.0]), np.array([0.0, 1.0, 2.0])).tolist()
    [1.0, 2.0, 3.0]
    """
    place = np.arange(len(values))
    first, last = np.maximum(place - 1, 0), np.minimum(place + 1, len(values) - 1)
    return np.asarray((values[last] - values[first]) / (time[last] - time[first]))


def middle(values: Floats) -> float:
    """Return the median, without the checks that cost more than the median itself.

    Parameters
    ----------
    values : ndarray, shape (n,)
        At least one, none of them NaN.

    Returns
    -------
    float

    Examples
    --------
    >>> middle(np.array([3.0, 1.0, 2.0, 9.0]))
    2.5
    """
    half = len(values) // 2
    if len(values) % 2:
        return float(np.partition(values, half)[half])
    parted = np.partition(values, (half - 1, half))
    return float((parted[half - 1] + parted[half]) / 2.0)


def rounding_step(values: Floats) -> float:
    """Return the rounding step of a row, or 0 where it is not rounded noticeably.

    Parameters
    ----------
    values : ndarray, shape (n,)

    Returns
    -------
    float
        The smallest difference that occurs, if a twentieth of the samples repeat their neighbour.

    Examples
    --------
    >>> rounding_step(np.round(np.linspace(0, 10, 200) * 2) / 2)
    0.5
    """
    change = np.abs(np.diff(values))
    real = change[change > 1e-9]
    if len(real) == 0 or len(real) > 0.95 * len(change):
        return 0.0
    return float(real.min())


def moving_mean(values: Floats, width: int) -> Floats:
    """Return the centred mean over `width` samples; shorter windows at the ends.

    Parameters
    ----------
    values : ndarray, shape (n,)
    width : int
        Taken as the next odd number.

    Returns
    -------
    ndarray, shape (n,)

    Notes
    -----
    Running sums lose digits when the row stands far from zero, so the row is taken from its own
    first value before.

    Examples
    --------
    >>> moving_mean(np.array([0.0, 3.0, 0.0, 3.0]) + 1e5, 3).round(6).tolist()
    [100001.5, 100001.0, 100002.0, 100001.5]
    """
    half = max(int(width), 1) // 2
    if half == 0 or len(values) == 0:
        return values.copy()
    level = float(values[0])
    sums = np.concatenate(([0.0], np.cumsum(values - level)))
    place = np.arange(len(values))
    first, last = np.maximum(place - half, 0), np.minimum(place + half + 1, len(values))
    return np.asarray((sums[last] - sums[first]) / (last - first) + level)


def turning_points(values: Floats, threshold: float) -> list[int]:
    """Return where a row turns round by at least a threshold.

    Parameters
    ----------
    values : ndarray, shape (n,)
    threshold : float
        Smaller reversals are passed over.

    Returns
    -------
    list of int
        Indices of lowest and highest points in turn, beginning with a lowest point (index 0 where
        the row falls at once) and ending with the last extreme reached.

    Examples
    --------
    >>> turning_points(np.array([0.0, 5.0, 4.9, 9.0, 1.0, 3.0]), 1.0)
    [0, 3, 4, 5]
    """
    if len(values) == 0:
        return []
    found: list[int] = []
    low, at = 0, 0
    while True:
        high, at = _extreme(values, at, threshold, 1.0)
        found += [low, high]
        if at == len(values):
            return found
        low, at = _extreme(values, at, threshold, -1.0)
        if at == len(values):
            return [*found, low]


def _extreme(values: Floats, start: int, threshold: float, sign: float) -> tuple[int, int]:
    """First highest (or lowest) place from a start on, and where the row has turned from it.

    Looks at pieces that grow, so that a row of few turns is gone through at the speed of arrays.
    """
    best, place, first, width = -np.inf, start, start, _PIECE
    while first < len(values):
        part = sign * values[first : first + width]
        top = np.maximum.accumulate(np.maximum(part, best))
        turned = part < top - threshold
        where = int(turned.argmax())
        end = where if turned[where] else len(part)
        if end and top[end - 1] > best:
            best = float(top[end - 1])
            place = first + int(part[:end].argmax())
        if end < len(part):
            return place, first + end
        first, width = first + width, 2 * width
    return place, len(values)


_PIECE = 512
