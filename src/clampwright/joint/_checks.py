"""Checks at the door of the joint's functions: one clear message with the argument's name.

Each check takes a number or an array, gives it back as an array of floats, and refuses the whole
of it when one element is wrong. Inside the door the arithmetic trusts its inputs.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.words import Words, words

Floats = NDArray[np.float64]
"""What the room's functions return: an array, or a NumPy float where plain numbers came in."""


def number(name: str, value: ArrayLike) -> Floats:
    """Return a number or an array of numbers as floats; refuse anything else, NaN and infinity.

    Parameters
    ----------
    name : str
        Name of the argument, for the message.
    value : array_like
        Any shape.

    Returns
    -------
    ndarray of float

    Raises
    ------
    ClampwrightError
        It is no number (text, None, true or false), or a list of unequal rows.
    OutOfRange
        One of the numbers is NaN or infinite.

    Examples
    --------
    >>> number("torque", [1, 2]).tolist()
    [1.0, 2.0]
    """
    try:
        given = np.asarray(value)
    except ValueError:  # rows of unequal length
        given = np.asarray(None)
    if given.dtype.kind not in "fiu":
        raise ClampwrightError(
            words(
                "{name} must be a number or an array of numbers, not {given}",
                name=name,
                given=repr(value)[:60],
            )
        )
    array = given.astype(np.float64, copy=False)
    _all(
        array,
        np.isfinite(array),
        lambda bad: words("{name} is {value:g}; a finite number is needed", name=name, value=bad),
    )
    return array


def above(name: str, value: ArrayLike, *, low: float = 0.0, unit: str = "") -> Floats:
    """Return `value` as floats, all of them greater than `low`.

    Parameters
    ----------
    name : str
        Name of the argument.
    value : array_like
    low : float
        The limit, itself refused.
    unit : str
        Unit of the value, for the message.

    Returns
    -------
    ndarray of float

    Raises
    ------
    OutOfRange
        An element is not greater than `low`, or not finite.

    Examples
    --------
    >>> above("P", 0.0, unit="mm")
    Traceback (most recent call last):
    ...
    clampwright.errors.OutOfRange: P is 0 mm; it must be greater than 0 mm
    """
    array = number(name, value)

    def message(bad: float) -> Words:
        if not unit:
            return words(
                "{name} is {value:g}; it must be greater than {low:g}",
                name=name,
                value=bad,
                low=low,
            )
        return words(
            "{name} is {value:g} {unit}; it must be greater than {low:g} {unit}",
            name=name,
            value=bad,
            low=low,
            unit=unit,
        )

    _all(array, array > low, message, low=low)
    return array


def within(
    name: str, value: ArrayLike, *, low: float, high: float, unit: str = "", source: str = ""
) -> Floats:
    """Return `value` as floats, all of them from `low` to `high`, limits included.

    Parameters
    ----------
    name : str
        Name of the argument.
    value : array_like
    low, high : float
        The limits.
    unit : str
        Unit of the value, for the message.
    source : str
        Where the limits come from.

    Returns
    -------
    ndarray of float

    Raises
    ------
    OutOfRange
        An element lies outside the limits, or is not finite.

    Examples
    --------
    >>> within("mu_thread", 1.2, low=0.0, high=1.0)
    Traceback (most recent call last):
    ...
    clampwright.errors.OutOfRange: mu_thread is 1.2; it must lie between 0 and 1
    """
    array = number(name, value)

    def message(bad: float) -> Words:
        if not unit:
            return words(
                "{name} is {value:g}; it must lie between {low:g} and {high:g}",
                name=name,
                value=bad,
                low=low,
                high=high,
            )
        return words(
            "{name} is {value:g} {unit}; it must lie between {low:g} and {high:g} {unit}",
            name=name,
            value=bad,
            low=low,
            high=high,
            unit=unit,
        )

    _all(array, (array >= low) & (array <= high), message, low=low, high=high, source=source)
    return array


def not_negative(name: str, value: ArrayLike, *, unit: str = "") -> Floats:
    """Return `value` as floats, none of them below zero.

    Parameters
    ----------
    name : str
        Name of the argument.
    value : array_like
    unit : str
        Unit of the value, for the message.

    Returns
    -------
    ndarray of float

    Raises
    ------
    OutOfRange
        An element is below zero, or not finite.
    """
    array = number(name, value)

    def message(bad: float) -> Words:
        if not unit:
            return words("{name} is {value:g}; it cannot be below 0", name=name, value=bad)
        return words(
            "{name} is {value:g} {unit}; it cannot be below 0 {unit}",
            name=name,
            value=bad,
            unit=unit,
        )

    _all(array, array >= 0.0, message, low=0.0)
    return array


def friction(name: str, value: ArrayLike) -> Floats:
    """Return friction coefficients as floats, from 0 to 1.

    Above 1 metal faces gall rather than slide, and the sliding relations no longer hold (ours).

    Parameters
    ----------
    name : str
        Name of the argument.
    value : array_like

    Returns
    -------
    ndarray of float

    Raises
    ------
    OutOfRange
        An element lies outside 0 to 1, or is not finite.
    """
    return within(name, value, low=0.0, high=1.0, source="sliding friction; limit ours")


def smaller(small_name: str, small: Floats, large_name: str, large: Floats) -> None:
    """Refuse geometry in which `small` is not smaller than `large` (both mm).

    Parameters
    ----------
    small_name, large_name : str
        Names of the arguments.
    small, large : ndarray of float
        Lengths in mm; shapes that fit together.

    Raises
    ------
    OutOfRange
        Somewhere `small` is as large as `large` or larger.
    ClampwrightError
        The shapes do not fit together.
    """
    shapes_fit(**{small_name: small, large_name: large})
    left, right = np.broadcast_arrays(small, large)
    wrong = left >= right
    if wrong.any():
        bad, limit = float(left[wrong][0]), float(right[wrong][0])
        raise OutOfRange(
            words(
                "{small} ({value:g} mm) must be smaller than {large} ({limit:g} mm)",
                small=small_name,
                value=bad,
                large=large_name,
                limit=limit,
            ),
            value=bad,
            high=limit,
        )


def shapes_fit(**arrays: Floats) -> tuple[int, ...]:
    """Return the shape that all arrays share by NumPy's rules of broadcasting.

    Parameters
    ----------
    **arrays : ndarray of float
        The arguments, by name.

    Returns
    -------
    tuple of int

    Raises
    ------
    ClampwrightError
        They do not fit together; the message names each argument and its shape.
    """
    try:
        return np.broadcast_shapes(*(array.shape for array in arrays.values()))
    except ValueError:
        shapes = ", ".join(f"{name} {array.shape}" for name, array in arrays.items() if array.ndim)
        raise ClampwrightError(
            words("array shapes do not fit together: {shapes}", shapes=shapes)
        ) from None


def _all(
    array: Floats,
    good: NDArray[np.bool_],
    message: Callable[[float], Words],
    *,
    low: float | None = None,
    high: float | None = None,
    source: str = "",
) -> None:
    """Raise `OutOfRange` with the first element that is not good."""
    if not good.all():
        bad = float(array[~good][0])
        raise OutOfRange(message(bad), value=bad, low=low, high=high, source=source)
