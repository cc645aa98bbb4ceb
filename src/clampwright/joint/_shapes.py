"""Checks of shape and choice at the door: rows, square matrices, whole numbers, named choices."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.words import words


class Numbers(Protocol):
    """Fastener numbers in an order: a tuple, list, range, or an `Order`."""

    def __iter__(self) -> Iterator[int]:
        """Go through them."""
        ...

    def __len__(self) -> int:
        """Count them."""
        ...


def row(name: str, value: ArrayLike, *, least: int = 1) -> Floats:
    """Return a row of numbers as floats.

    Parameters
    ----------
    name : str
        Name of the argument, for the message.
    value : array_like
        One-dimensional.
    least : int
        Fewest.

    Returns
    -------
    ndarray of float, shape (n,)

    Raises
    ------
    ClampwrightError
        It is no row.
    OutOfRange
        A number is NaN or infinite, or there are too few.

    Examples
    --------
    >>> row("positions", [0, 80, 160]).tolist()
    [0.0, 80.0, 160.0]
    """
    array = _checks.number(name, value)
    if array.ndim != 1:
        raise ClampwrightError(
            words(
                "{name} must be a plain row of numbers, not of shape {shape}",
                name=name,
                shape=str(array.shape),
            )
        )
    if array.size < least:
        raise OutOfRange(
            words(
                "{name} has {given} numbers; at least {least} are needed",
                name=name,
                given=array.size,
                least=least,
            ),
            value=float(array.size),
            low=float(least),
        )
    return array


def per_fastener(name: str, value: ArrayLike, count: int) -> Floats:
    """Return one number for each fastener: as given, or the same for all.

    Parameters
    ----------
    name : str
        Name of the argument.
    value : array_like
        One number, or `count` numbers; a stack of such rows is kept.
    count : int
        Number of fasteners.

    Returns
    -------
    ndarray of float, shape (..., count)

    Raises
    ------
    ClampwrightError
        The last dimension does not fit.

    Examples
    --------
    >>> per_fastener("target", 20, 3).tolist()
    [20.0, 20.0, 20.0]
    """
    array = _checks.number(name, value)
    if array.ndim and array.shape[-1] not in (1, count):
        raise ClampwrightError(
            words(
                "{name} has {given} numbers; {count} are needed, one for each fastener",
                name=name,
                given=array.shape[-1],
                count=count,
            )
        )
    return np.broadcast_to(array, (*array.shape[:-1], count))


def square(name: str, value: ArrayLike) -> Floats:
    """Return a square matrix as floats.

    Parameters
    ----------
    name : str
        Name of the argument.
    value : array_like

    Returns
    -------
    ndarray of float, shape (n, n)

    Raises
    ------
    ClampwrightError
        It is not square, or empty.

    Examples
    --------
    >>> square("flexibility", [[2, 1], [1, 2]]).shape
    (2, 2)
    """
    matrix = _checks.number(name, value)
    if matrix.ndim != 2 or matrix.shape[0] != matrix.shape[1] or not matrix.size:
        raise ClampwrightError(
            words(
                "{name} must be a square matrix, one row and one column for each fastener,"
                " not of shape {shape}",
                name=name,
                shape=str(matrix.shape),
            )
        )
    return matrix


def whole(name: str, value: int, *, low: int, high: int | None = None) -> int:
    """Return a whole number within its limits.

    Parameters
    ----------
    name : str
        Name of the argument.
    value : int
    low, high : int
        Limits, included; no upper one if not given.

    Returns
    -------
    int

    Raises
    ------
    ClampwrightError
        It is no whole number.
    OutOfRange
        It lies outside the limits.

    Examples
    --------
    >>> whole("samples", 1000, low=2)
    1000
    """
    if isinstance(value, bool) or not isinstance(value, int | np.integer):
        raise ClampwrightError(
            words("{name} must be a whole number, not {given}", name=name, given=repr(value)[:60])
        )
    if value < low:
        raise OutOfRange(
            words("{name} is {value}; it must be at least {low}", name=name, value=value, low=low),
            value=float(value),
            low=float(low),
        )
    if high is not None and value > high:
        raise OutOfRange(
            words(
                "{name} is {value}; it must be at most {high}", name=name, value=value, high=high
            ),
            value=float(value),
            high=float(high),
        )
    return int(value)


def fasteners(name: str, order: Numbers, count: int, *, each_once: bool) -> tuple[int, ...]:
    """Return places (from 0) of fastener numbers (from 1).

    Parameters
    ----------
    name : str
        Name of the argument.
    order : sequence of int
        Fastener numbers in the order they are taken; an `Order` will do.
    count : int
        Number of fasteners.
    each_once : bool
        Whether each number must be there exactly once.

    Returns
    -------
    tuple of int

    Raises
    ------
    ClampwrightError
        It is no sequence of whole numbers, or one is missing or double where it must not be.
    OutOfRange
        A number lies outside 1 to `count`.

    Examples
    --------
    >>> fasteners("order", [1, 3, 2], 3, each_once=True)
    (0, 2, 1)
    """
    numbers = tuple(whole(name, number, low=1, high=count) for number in order)
    if each_once and sorted(numbers) != list(range(1, count + 1)):
        raise ClampwrightError(
            words(
                "{name} must hold every number from 1 to {count} once, got {given}",
                name=name,
                count=count,
                given=", ".join(str(number) for number in numbers)[:80],
            )
        )
    return tuple(number - 1 for number in numbers)


def one_of(name: str, given: object, known: Collection[object]) -> None:
    """Refuse a choice that is not one of those known.

    Parameters
    ----------
    name : str
        Name of the argument.
    given : object
    known : collection

    Raises
    ------
    ClampwrightError
        It is not among them.
    """
    if given not in known:
        raise ClampwrightError(
            words(
                "{argument} is {given}; it must be one of: {known}",
                argument=name,
                given=repr(given),
                known=", ".join(str(choice) for choice in known),
            )
        )
