"""What a person does on the scale, and what the mark costs: the sentences of the setting card."""

from __future__ import annotations

import math

from clampwright.drawer.marks import Mark
from clampwright.drawer.tools import POINTERS, Scale, Tool
from clampwright.units import factor
from clampwright.words import Words, words

UNSEEN = 5e-4
"""A difference below this part of the torque is not told: four digits are shown."""


def card(tool: Tool, scale: Scale, mark: Mark) -> Words:
    """Return what to do on the scale to stand on a mark.

    Parameters
    ----------
    tool : Tool
        A wrench.
    scale : Scale
    mark : Mark

    Returns
    -------
    Words

    Examples
    --------
    >>> scale = Scale("N·m", 10, 60, 5, 0.5)
    >>> str(card(Tool("c", "Click", "click", "3/8 in", (scale,)), scale, Mark(32.0, 30.0, 4)))
    'main mark 30, then the sleeve to 2.0'
    """
    if tool.stands_at_one:
        return words(
            "it stands at {value:g} {unit}: nothing to set", value=mark.value, unit=scale.unit
        )
    if tool.kind in POINTERS:
        return _pointer_card(tool, scale, mark)
    if tool.kind == "electronic":
        return words(
            "enter {value:.{digits}f} {unit} as the target",
            value=mark.value,
            digits=scale.digits,
            unit=scale.unit,
        )
    if scale.fine_step is None:
        return words("main mark {main:g}", main=mark.main)
    if mark.minor == 0:
        return words("main mark {main:g}, the sleeve on its zero", main=mark.main)
    return words(
        "main mark {main:g}, then the sleeve to {sleeve:.{digits}f}",
        main=mark.main,
        sleeve=mark.value - mark.main,
        digits=scale.digits,
    )


def _pointer_card(tool: Tool, scale: Scale, mark: Mark) -> Words:
    step = tool.settable_step(scale)
    if round((mark.value - scale.low) / step) % 2 == 0:
        return words(
            "pull until the pointer stands on {value:.{digits}f} {unit}",
            value=mark.value,
            digits=scale.digits,
            unit=scale.unit,
        )
    return words(
        "pull until the pointer stands midway between {below:.{digits}f} and {above:.{digits}f} "
        "{unit}",
        below=mark.value - step,
        above=mark.value + step,
        digits=scale.digits,
        unit=scale.unit,
    )


def cost_of_mark(scale: Scale, *, wanted: float, given: float, unit: str) -> Words:
    """Return what a mark costs in torque at the fastener.

    Parameters
    ----------
    scale : Scale
    wanted, given : float
        N·m.
    unit : str
        Unit of the procedure; the difference is told in it, and in the scale's where they differ.

    Returns
    -------
    Words

    Examples
    --------
    >>> str(cost_of_mark(Scale("ft·lbf", 10, 80, 5, 1), wanted=30.0, given=29.83, unit="N·m"))
    'this mark gives 29.83 N·m, 0.17 N·m less than wanted (0.13 ft·lbf)'
    """
    if math.isclose(given, wanted, rel_tol=UNSEEN):
        return words("this mark gives what is wanted")
    size = factor("N·m", unit)
    values: dict[str, str | float] = {
        "given": given * size,
        "unit": unit,
        "difference": abs(given - wanted) * size,
    }
    if scale.unit == unit:
        if given > wanted:
            return words(
                "this mark gives {given:.4g} {unit}, {difference:.2g} {unit} more than wanted",
                **values,
            )
        return words(
            "this mark gives {given:.4g} {unit}, {difference:.2g} {unit} less than wanted", **values
        )
    values |= {"scale_unit": scale.unit, "on_scale": abs(given - wanted) / scale.size}
    if given > wanted:
        return words(
            "this mark gives {given:.4g} {unit}, {difference:.2g} {unit} more than wanted "
            "({on_scale:.2g} {scale_unit})",
            **values,
        )
    return words(
        "this mark gives {given:.4g} {unit}, {difference:.2g} {unit} less than wanted "
        "({on_scale:.2g} {scale_unit})",
        **values,
    )
