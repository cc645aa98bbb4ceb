"""Checks at the door of this room's functions: readings, shares, positive numbers."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint._checks import Floats, above, not_negative, number, within
from clampwright.words import words

__all__ = ["Floats", "above", "not_negative", "number", "one_above", "readings", "share", "within"]


def readings(name: str, values: ArrayLike, *, least: int = 1) -> Floats:
    """Return a row of readings as floats.

    Parameters
    ----------
    name : str
        Name of the argument, for the message.
    values : array_like
        One-dimensional.
    least : int
        How many are needed.

    Returns
    -------
    ndarray of float, shape (n,)

    Raises
    ------
    ClampwrightError
        It is no row of numbers.
    OutOfRange
        There are too few, or one is not finite.

    Examples
    --------
    >>> readings("readings", [20.15, 20.28], least=2).tolist()
    [20.15, 20.28]
    """
    row = number(name, values)
    if row.ndim != 1:
        raise ClampwrightError(words("{name} must be a row of numbers", name=name))
    if row.size < least:
        raise OutOfRange(
            words(
                "{name} holds {count} numbers; at least {least} are needed",
                name=name,
                count=row.size,
                least=least,
            ),
            value=float(row.size),
            low=float(least),
        )
    return row


def one_above(name: str, value: float, *, low: float = 0.0, unit: str = "") -> float:
    """Return one number greater than `low`; see `clampwright.joint._checks.above`.

    Parameters
    ----------
    name : str
    value : float
    low : float
    unit : str

    Returns
    -------
    float
    """
    checked = above(name, value, low=low, unit=unit)
    if np.ndim(checked):
        raise ClampwrightError(words("{name} must be one number", name=name))
    return float(checked)


def share(name: str, value: float) -> float:
    """Return a share above 0 and below 1.

    Parameters
    ----------
    name : str
    value : float

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        It is 0, 1 or outside.

    Examples
    --------
    >>> share("confidence", 0.95)
    0.95
    """
    one = one_above(name, value)
    if one >= 1.0:
        raise OutOfRange(
            words("{name} is {value:g}; it must lie between 0 and 1", name=name, value=one),
            value=one,
            low=0.0,
            high=1.0,
        )
    return one
