"""The marks that exist on a scale, and which of them lie beside a wanted value."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.drawer.tools import Scale

PLACES = 9
"""Decimals kept, so that 3 steps of 0.1 are 0.3."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One place on a scale that can be set or read.

    Parameters
    ----------
    value : float
        In the scale's unit.
    main : float
        The main mark at or below it.
    minor : int
        Settable steps past that main mark.
    """

    value: float
    main: float
    minor: int


def marks_beside(scale: Scale, exact: float, step: float) -> tuple[Mark, ...]:
    """Return the marks below and above a value, nearest first.

    Parameters
    ----------
    scale : Scale
    exact : float
        Wanted value, in the scale's unit.
    step : float
        Smallest settable step, in the scale's unit; a whole number of them makes a main step.

    Returns
    -------
    tuple of Mark
        One or two; none when the value is more than a step outside the scale.

    Examples
    --------
    >>> marks_beside(Scale("N·m", 10, 60, 5, 0.5), 32.1, 0.5)[0]
    Mark(value=32.0, main=30.0, minor=4)
    """
    count = round((scale.high - scale.low) / step)
    position = (exact - scale.low) / step
    near = round(position)
    other = near + 1 if position > near else near - 1
    per_main = round(scale.main_step / step)
    return tuple(
        _mark(scale, index, step, per_main) for index in (near, other) if 0 <= index <= count
    )


def _mark(scale: Scale, index: int, step: float, per_main: int) -> Mark:
    whole, minor = divmod(index, per_main)
    return Mark(
        value=round(float(scale.low + index * step), PLACES),
        main=round(float(scale.low + whole * scale.main_step), PLACES),
        minor=minor,
    )
