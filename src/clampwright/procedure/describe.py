"""Stages and measured values in words for people."""

from __future__ import annotations

import math

from clampwright.procedure.stage import Stage
from clampwright.units import format_quantity
from clampwright.words import Words, words


def describe(stage: Stage) -> Words:
    """Say what a stage asks, in the unit the procedure uses.

    Parameters
    ----------
    stage : Stage

    Returns
    -------
    Words

    Examples
    --------
    >>> str(describe(Stage("torque", 30.0, "N·m", 27.0, 33.0)))
    'torque 30 N·m (27 to 33)'
    >>> str(describe(Stage("angle", 90.0, "deg")))
    'turn 90° further'
    """
    match stage.kind:
        case "torque" | "stretch":
            return _with_limits(stage)
        case "torque_check":
            return _check(stage)
        case "angle":
            return _angle(stage)
        case "back_off_then":
            return words("turn back {amount}", amount=_amount(stage))
        case "loosen":
            return words("loosen fully")
        case "snug":
            return words("snug: run down by hand until the parts touch")
        case "wait":
            return words("wait {amount}", amount=_amount(stage))


def _angle(stage: Stage) -> Words:
    low, high = stage.tolerance_low, stage.tolerance_high
    if low is None and high is None:
        return words("turn {amount} further", amount=_amount(stage))
    return words(
        "turn {amount} further ({low} to {high})",
        amount=_amount(stage),
        low=_figure(low),
        high=_figure(high),
    )


def _with_limits(stage: Stage) -> Words:
    kind = "torque" if stage.kind == "torque" else "stretch"
    low, high = stage.tolerance_low, stage.tolerance_high
    if stage.value is None:
        return words("{kind} {limits}", kind=kind, limits=_range(stage))
    if low is None and high is None:
        return words("{kind} {amount}", kind=kind, amount=_amount(stage))
    return words(
        "{kind} {amount} ({low} to {high})",
        kind=kind,
        amount=_amount(stage),
        low=_figure(low),
        high=_figure(high),
    )


_CHECKS = {
    "rotating": "measure the rotating torque while turning steadily",
    "running": "measure the running torque before contact",
    "re_check": "check again in the tightening direction, without slackening",
    "final_minimum": "the torque must be at least this",
    "ceiling": "the torque must not pass this",
    None: "check the torque",
}


def _check(stage: Stage) -> Words:
    what = _CHECKS[stage.check]
    limits = _range(stage) or _amount(stage)
    return words("{what}: {limits}", what=what, limits=limits) if limits else Words(what)


def _range(stage: Stage) -> str:
    low, high = stage.tolerance_low, stage.tolerance_high
    if low is None and high is None:
        return ""
    return f"{_figure(low)} – {_figure(high)} {stage.unit}"


def _amount(stage: Stage) -> str:
    if stage.value is None or stage.unit is None:
        return ""
    return format_quantity(stage.value, stage.unit)


def _figure(value: float | None) -> str:
    return "…" if value is None else f"{value:g}"


_ORDERS = {
    "sequence": words("in the maker's sequence"),
    "reverse": words("in reverse order"),
    "centre_out": words("from the centre outwards"),
    "criss_cross": words("crosswise"),
    "star": words("in a star"),
    "opposite_pairs": words("opposite pairs"),
    "figure": words("in the order of the figure"),
    "reverse_of_removal": words("in the reverse of the order of removal"),
}


def remarks(stage: Stage) -> tuple[Words, ...]:
    """Say what else a stage asks: which fasteners, in which order, what at the same time.

    Parameters
    ----------
    stage : Stage

    Returns
    -------
    tuple of Words

    Examples
    --------
    >>> [str(one) for one in remarks(Stage("torque", 30.0, "N·m", fasteners=(1, 2), order="star"))]
    ['fasteners 1, 2', 'in a star']
    """
    found: list[Words] = []
    if stage.fasteners != "all":
        found.append(words("fasteners {which}", which=_listed(stage.fasteners)))
    if isinstance(stage.order, tuple):
        found.append(words("in the order {order}", order=_listed(stage.order)))
    elif stage.order is not None:
        found.append(_ORDERS[stage.order])
    if stage.per_fastener:
        found.append(words("one fastener after the other, each through all its steps"))
    if stage.direction == "ccw":
        found.append(words("counter-clockwise: left-hand thread"))
    if stage.plus_running_torque:
        found.append(words("plus the running torque that was measured"))
    if stage.condition:
        found.append(words("while: {condition}", condition=stage.condition))
    if stage.wrench_setting is not None:
        found.append(
            words(
                "wrench set to {value} with {fitted}",
                value=format_quantity(stage.wrench_setting.value, stage.wrench_setting.unit),
                fitted=stage.wrench_setting.fitted,
            )
        )
    return tuple(found)


def _listed(which: tuple[int | str, ...] | str) -> str:
    return which if isinstance(which, str) else ", ".join(str(one) for one in which)


def shown(value: float, unit: str, *, figures: int = 3) -> str:
    """Return a measured value with its unit to so many significant figures.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : str
    figures : int

    Returns
    -------
    str

    Examples
    --------
    >>> shown(45.0, "N·m"), shown(110.4, "N·m"), shown(0.0058123, "in")
    ('45.0 N·m', '110 N·m', '0.00581 in')
    """
    decimals = figures - 1 - math.floor(math.log10(abs(value))) if value else figures - 1
    return format_quantity(value, unit, digits=max(0, decimals))
