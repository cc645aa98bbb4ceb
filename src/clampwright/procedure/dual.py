"""Two figures for one torque: whether they agree, and what to ask when they do not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Literal

from clampwright.procedure.amounts import Amount
from clampwright.units.unit import units

Agreement = Literal["agree", "warn", "ask"]

# Our own choice, no source: below the first no word is lost, above the second a person decides.
SLIGHT = Fraction(2, 100)
GRAVE = Fraction(5, 100)

_SWAPS = {"ft·lbf": "in·lbf", "in·lbf": "ft·lbf", "kgf·m": "kgf·cm", "kgf·cm": "kgf·m"}


def agreement(first: Amount, second: Amount) -> Agreement:
    """Return whether two figures can stand for the same torque or angle.

    Each figure stands for itself plus or minus half its last printed digit. If the two
    intervals meet, they agree; otherwise the difference counts, measured against the second.

    Parameters
    ----------
    first, second : Amount
        Of one kind.

    Returns
    -------
    str
        ``agree``, ``warn`` or ``ask``.
    """
    pairs = _pairs(first, second)
    if not pairs:
        return "ask"
    gaps = [_gap(one, other, first, second) for one, other in pairs]
    worst = max(gaps)
    if worst <= SLIGHT:
        return "agree"
    return "warn" if worst <= GRAVE else "ask"


def _pairs(first: Amount, second: Amount) -> list[tuple[Fraction, Fraction]]:
    """Return the numbers that say the same thing: limits with limits, target with target."""
    made = [(first.low, second.low), (first.high, second.high)]
    if not first.from_range and not second.from_range:
        made.append((first.value, second.value))
    pairs = [(one, other) for one, other in made if one is not None and other is not None]
    if pairs or first.value is None or second.value is None:
        return pairs
    return [(first.value, second.value)]


def _gap(one: Fraction, other: Fraction, first: Amount, second: Amount) -> Fraction:
    size, against = units()[first.unit].factor, units()[second.unit].factor
    half = (first.step * size + second.step * against) / 2
    difference = abs(one * size - other * against)
    if difference <= half:
        return Fraction(0)
    return difference / abs(other * against) if other else Fraction(1)


def likely_slip(first: Amount, second: Amount) -> Amount | None:
    """Return the second figure in the unit that would make the two agree, or None.

    Parameters
    ----------
    first, second : Amount
        Two torques that disagree.

    Returns
    -------
    Amount or None
    """
    swapped = _SWAPS.get(second.unit)
    if swapped is None:
        return None
    candidate = replace(second, unit=swapped)
    return candidate if agreement(first, candidate) == "agree" else None


def is_tolerance(first: Amount, others: Sequence[Amount]) -> bool:
    """Tell whether a bracket gives the limits of the figure before it, in the same unit.

    Parameters
    ----------
    first : Amount
    others : sequence of Amount
        What stands in the bracket.

    Returns
    -------
    bool
    """
    if len(others) != 1 or first.value is None or first.from_range:
        return False
    only = others[0]
    if only.unit != first.unit or only.low is None or only.high is None or not only.from_range:
        return False
    return only.low <= first.value <= only.high
