"""Values from one unit to another, and out to text."""

from __future__ import annotations

import math
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Context, Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, Literal, overload

from clampwright.units.naming import unit_named
from clampwright.units.text import Unreadable, shown
from clampwright.units.unit import KIND_WORDS, Unit, units
from clampwright.words import words

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Towards = Literal["nearest", "up", "down"]
_WIDE = Context(prec=400)  # holds any float in full
_ROUNDING = {"nearest": ROUND_HALF_UP, "up": ROUND_CEILING, "down": ROUND_FLOOR}


def _unit(unit: Unit | str) -> Unit:
    if isinstance(unit, Unit):
        return unit
    return units().get(unit) or unit_named(unit)


@lru_cache(maxsize=256)
def _pair(from_unit: Unit | str, to_unit: Unit | str) -> tuple[float, float]:
    """Return slope and intercept of the change of unit."""
    source, target = _unit(from_unit), _unit(to_unit)
    if source.kind != target.kind:
        raise Unreadable(
            words(
                "{first} is {found} and {second} is {wanted}; one cannot be turned into the other",
                first=source.name,
                found=KIND_WORDS[source.kind],
                second=target.name,
                wanted=KIND_WORDS[target.kind],
            ),
            source.name,
        )
    slope = source.factor / target.factor
    return float(slope), float(source.offset * slope - target.offset)


def factor(from_unit: Unit | str, to_unit: Unit | str) -> float:
    """Return how many of one unit make one of another.

    Parameters
    ----------
    from_unit, to_unit : Unit or str
        Of the same kind.

    Returns
    -------
    float
        The exact ratio, rounded once. For temperatures the ratio of differences.

    Raises
    ------
    Unreadable, Ambiguous
        A unit is not known, or the two are of different kinds.

    Examples
    --------
    >>> factor("ft·lbf", "in·lbf")
    12.0
    """
    return _pair(from_unit, to_unit)[0]


@overload
def convert(value: float, from_unit: Unit | str, to_unit: Unit | str) -> float: ...
@overload
def convert(
    value: NDArray[np.float64], from_unit: Unit | str, to_unit: Unit | str
) -> NDArray[np.float64]: ...
def convert(
    value: float | NDArray[np.float64], from_unit: Unit | str, to_unit: Unit | str
) -> float | NDArray[np.float64]:
    """Return a value, or an array of values, in another unit.

    Parameters
    ----------
    value : float or array
        In `from_unit`.
    from_unit, to_unit : Unit or str
        Of the same kind.

    Returns
    -------
    float or array
        In `to_unit`, of the shape of `value`.

    Raises
    ------
    Unreadable, Ambiguous
        As in `factor`.

    Examples
    --------
    >>> convert(100.0, "°C", "°F")
    212.0
    """
    slope, intercept = _pair(from_unit, to_unit)
    return value * slope + intercept if intercept else value * slope


def format_quantity(
    value: float | Decimal,
    unit: Unit | str,
    *,
    digits: int | None = None,
    resolution: float | Decimal | None = None,
    towards: Towards = "nearest",
) -> str:
    """Return a value with its unit as text for a person.

    Parameters
    ----------
    value : float or Decimal
        In `unit`.
    unit : Unit or str
    digits : int, optional
        Decimals to print.
    resolution : float, optional
        Smallest step that can be read or set; the value is put on a multiple of it.
        With neither, four significant digits are shown.
    towards : {"nearest", "up", "down"}
        Which way to round. A lower limit goes up and an upper limit down, so that rounding
        never widens what is allowed.

    Returns
    -------
    str

    Raises
    ------
    Unreadable
        The value is not finite, or the unit not known.

    Examples
    --------
    >>> format_quantity(31, "N·m", digits=1)
    '31.0 N·m'
    >>> format_quantity(41.37, "ft·lbf", resolution=0.5)
    '41.5 ft·lbf'
    >>> format_quantity(90, "deg")
    '90°'
    """
    if digits is not None and resolution is not None:
        raise ValueError("give digits or resolution, not both")  # a slip of the caller's code
    known = _unit(unit)
    if not math.isfinite(value):
        raise Unreadable(
            words("{text}: a measured value must be a finite number", text=shown(str(value))),
            str(value),
        )
    number = _rounded(Decimal(str(value)), digits, resolution, towards)
    name = known.symbol if abs(number) == 1 else known.plural
    return f"{number:f}{' ' if known.spaced else ''}{name}"


def _rounded(
    value: Decimal, digits: int | None, resolution: float | Decimal | None, towards: Towards
) -> Decimal:
    rounding = _ROUNDING[towards]
    if resolution is not None:
        step = Decimal(str(resolution)).normalize()
        if not step > 0:
            raise ValueError(f"resolution must be above 0, got {resolution}")
        steps = _WIDE.divide(value, step).to_integral_value(rounding=rounding)
        number = _WIDE.multiply(steps, step)
    else:
        places = digits if digits is not None else max(0, 3 - value.adjusted())
        number = value.quantize(Decimal(1).scaleb(-places), rounding=rounding, context=_WIDE)
        if digits is None:
            number = number.normalize(_WIDE)
    return number or abs(number)  # no -0
