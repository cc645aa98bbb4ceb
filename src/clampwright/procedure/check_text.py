"""Figures of the check as a person reads them."""

from __future__ import annotations

from clampwright.procedure.stage import Stage
from clampwright.units import convert, format_quantity


def written(stage: Stage) -> str:
    """Return the figure of a stage as the procedure writes it.

    Parameters
    ----------
    stage : Stage

    Returns
    -------
    str

    Examples
    --------
    >>> written(Stage("torque", 300.0, "in·lbf"))
    '300 in·lbf'
    """
    known = (stage.value, stage.tolerance_high, stage.tolerance_low)
    value = next((one for one in known if one is not None), None)
    return "" if value is None or stage.unit is None else format_quantity(value, stage.unit)


def in_words(torque: float, unit: str | None) -> str:
    """Return a computed torque (N·m) in the unit of the procedure, three figures.

    Parameters
    ----------
    torque : float
    unit : str or None

    Returns
    -------
    str

    Examples
    --------
    >>> in_words(53.914, "ft·lbf")
    '39.8 ft·lbf'
    """
    name = unit or "N·m"
    return three_figures(convert(torque, "N·m", name), name)


def three_figures(value: float, unit: str) -> str:
    """Return a computed value with three significant figures and its unit.

    Parameters
    ----------
    value : float
    unit : str

    Returns
    -------
    str

    Examples
    --------
    >>> three_figures(0.5, "kN"), three_figures(48311.0, "N")
    ('0.500 kN', '48311 N')
    """
    whole = len(str(int(abs(value)))) if abs(value) >= 1 else 0
    return format_quantity(value, unit, digits=max(0, 3 - whole))


def kilonewtons(force: float) -> str:
    """Return a force (N) in kN, three figures."""
    return three_figures(force / 1000, "kN")
