"""What to set, pull to or enter on a wrench, on the marks it really has, and what they cost."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.drawer.calibration import Direction
from clampwright.drawer.cards import card, cost_of_mark
from clampwright.drawer.marks import Mark, marks_beside
from clampwright.drawer.tools import Adapter, Scale, Tool
from clampwright.drawer.trust import (
    Lever,
    Trust,
    lever_of,
    torque_uncertainty,
    trust_when_showing,
    trust_when_wanting,
)
from clampwright.errors import OutOfRange, Refused
from clampwright.units import factor
from clampwright.words import Words, words

ROOM = 1e-9
"""Relative room for floating point at the edge of a range."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A torque wanted at the fastener.

    Parameters
    ----------
    torque : float
        N·m.
    low, high : float or None
        Limits of the stage, N·m.
    unit : str
        Unit of the procedure, in which differences are told.
    direction : str
        ``cw`` or ``ccw``.
    """

    torque: float
    low: float | None = None
    high: float | None = None
    unit: str = "N·m"
    direction: Direction = "cw"

    def holds(self, torque: float) -> bool:
        """Whether a torque lies within the limits."""
        room = ROOM * self.torque
        return (self.low is None or torque >= self.low - room) and (
            self.high is None or torque <= self.high + room
        )


@dataclass(frozen=True, slots=True)
class Setting:
    """What to set on a wrench for a wanted torque.

    Parameters
    ----------
    scale_unit : str
        Unit engraved on the scale that is used.
    value : float
        On the scale, after adapter and calibration, on a mark that exists.
    exact : float
        The same before going to the mark.
    main_mark : float
        The main mark at or below `value`.
    minor_marks : int
        Smallest settable steps past it.
    torque_at_fastener : float
        What the mark gives, N·m.
    rounding_cost : float
        That less what was wanted, N·m.
    words : Words
        For the card: what to do on the scale.
    cost : Words
        What the mark costs, in the unit of the procedure and of the scale.
    u_rel : float
        Relative standard uncertainty of the torque at the fastener.
    scale : Scale
    trust : Trust
        What the correction and the uncertainty rest on.
    lever : Lever
        Adapter and place of the hand.
    wanted_unit : str
        Unit of the procedure.
    """

    scale_unit: str
    value: float
    exact: float
    main_mark: float
    minor_marks: int
    torque_at_fastener: float
    rounding_cost: float
    words: Words
    cost: Words
    u_rel: float
    scale: Scale
    trust: Trust
    lever: Lever
    wanted_unit: str = "N·m"

    @property
    def wanted(self) -> float:
        """What was wanted at the fastener, N·m."""
        return self.torque_at_fastener - self.rounding_cost


@dataclass(frozen=True, slots=True)
class Misfit:
    """Why a scale cannot be set to a wanted torque.

    Parameters
    ----------
    words : Words
    exact : float
        The value that would be needed, in the scale's unit.
    out_of_range : bool
        True when it lies outside the scale; else no mark lies within the stage's limits.
    """

    words: Words
    exact: float
    out_of_range: bool


def setting(
    tool: Tool,
    torque: float,
    *,
    scale: Scale | str | None = None,
    low: float | None = None,
    high: float | None = None,
    unit: str = "N·m",
    direction: Direction = "cw",
    adapter: Adapter | None = None,
    hand: float | None = None,
) -> Setting:
    """Return what to set on a wrench so that the fastener gets a torque.

    Parameters
    ----------
    tool : Tool
        A wrench.
    torque : float
        Wanted at the fastener, N·m.
    scale : Scale or str, optional
        Which scale (or its unit); the best fitting one if not given.
    low, high : float, optional
        Limits of the stage, N·m; the mark chosen lies within them.
    unit : str
        Unit of the procedure; its scale is preferred and the cost is told in it.
    direction : str
        ``cw`` or ``ccw``.
    adapter : Adapter, optional
    hand : float, optional
        Where the hand pulls, mm from the square; the grip mark if not given.

    Returns
    -------
    Setting

    Raises
    ------
    OutOfRange
        When the needed value lies outside the scale, or where it claims no accuracy.
    Refused
        When no mark lies within the limits, the tool shows no torque or has no such scale, or the
        adapter does not fit.
    Missing
        When the length to the grip mark is needed and not known.

    Notes
    -----
    In this order: adapter, calibration, unit of the scale, marks. The fastener's torque is reckoned
    back from the mark, so that what the mark costs is the real difference.

    Examples
    --------
    >>> wrench = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),), length=320)
    >>> done = setting(wrench, 32.2)
    >>> str(done.words)
    'main mark 30, then the sleeve to 2.0'
    >>> str(done.cost)
    'this mark gives 32 N·m, 0.2 N·m less than wanted'
    """
    if not tool.scales:
        raise Refused(words("{tool} shows no torque: there is nothing to set", tool=tool.title))
    wanted = Wanted(torque, low, high, unit, direction)
    lever = lever_of(tool, adapter, hand)
    chosen = tool.scale(scale) if isinstance(scale, str) else scale
    result = (
        best_setting(tool, wanted, lever)
        if chosen is None
        else setting_on_scale(tool, chosen, wanted, lever)
    )
    if isinstance(result, Setting):
        return result
    if result.out_of_range:
        raise OutOfRange(result.words, value=result.exact)
    raise Refused(result.words)


def best_setting(tool: Tool, wanted: Wanted, lever: Lever) -> Setting | Misfit:
    """Return the best setting over the scales of a wrench, or why there is none.

    The scale in the procedure's unit goes first (US Army TM 1-1500-204-23-9, paragraph 8-3: use a
    wrench calibrated in the units of the specification), then the one whose mark costs least.

    Parameters
    ----------
    tool : Tool
        A wrench with at least one scale.
    wanted : Wanted
    lever : Lever

    Returns
    -------
    Setting or Misfit
    """
    results = [setting_on_scale(tool, scale, wanted, lever) for scale in tool.scales]
    done = [result for result in results if isinstance(result, Setting)]
    if done:
        return min(done, key=lambda s: (s.scale_unit != wanted.unit, abs(s.rounding_cost)))
    misfits = [result for result in results if isinstance(result, Misfit)]
    # A scale without a fitting mark is nearer to the aim than one that does not reach.
    return min(misfits, key=lambda misfit: misfit.out_of_range)


def setting_on_scale(tool: Tool, scale: Scale, wanted: Wanted, lever: Lever) -> Setting | Misfit:
    """Return the setting on one scale, or why there is none.

    Parameters
    ----------
    tool : Tool
    scale : Scale
    wanted : Wanted
    lever : Lever

    Returns
    -------
    Setting or Misfit
    """
    trust = trust_when_wanting(tool, wanted.torque / lever.ratio, wanted.direction)
    exact = trust.indicated / scale.size
    if tool.stands_at_one:
        return _only_setting(tool, scale, wanted, lever, exact)
    step = tool.settable_step(scale)
    if refusal := _outside(scale, exact, step, known=trust.deviation is not None):
        return Misfit(refusal, exact, out_of_range=True)
    choices = [
        (mark, trust_when_showing(tool, mark.value * scale.size, wanted.direction))
        for mark in marks_beside(scale, exact, step)
        if mark.value > 0
    ]
    inside = [
        (mark, trust) for mark, trust in choices if wanted.holds(trust.reference * lever.ratio)
    ]
    if not inside:
        return Misfit(_no_mark(choices, lever, wanted), exact, out_of_range=False)
    mark, trust = min(inside, key=lambda pair: abs(pair[1].reference * lever.ratio - wanted.torque))
    return _at_mark(tool, scale, mark, trust, (wanted, lever, exact))


def _at_mark(
    tool: Tool, scale: Scale, mark: Mark, trust: Trust, asked: tuple[Wanted, Lever, float]
) -> Setting:
    wanted, lever, exact = asked
    given = trust.reference * lever.ratio
    return Setting(
        scale_unit=scale.unit,
        value=mark.value,
        exact=exact,
        main_mark=mark.main,
        minor_marks=mark.minor,
        torque_at_fastener=given,
        rounding_cost=given - wanted.torque,
        words=card(tool, scale, mark),
        cost=cost_of_mark(scale, wanted=wanted.torque, given=given, unit=wanted.unit),
        u_rel=torque_uncertainty(tool, scale, mark.value, trust, lever),
        scale=scale,
        trust=trust,
        lever=lever,
        wanted_unit=wanted.unit,
    )


def _only_setting(
    tool: Tool, scale: Scale, wanted: Wanted, lever: Lever, exact: float
) -> Setting | Misfit:
    """Return what a wrench that stands at one torque gives, if that is what is wanted.

    Without limits of the stage it must lie within the permissible deviation of its class.
    """
    mark = Mark(scale.high, scale.high, 0)
    trust = trust_when_showing(tool, mark.value * scale.size, wanted.direction)
    given = trust.reference * lever.ratio
    close = abs(given - wanted.torque) <= trust.limit / 100 * wanted.torque
    held = wanted.holds(given) if wanted.low is not None or wanted.high is not None else close
    if held:
        return _at_mark(tool, scale, mark, trust, (wanted, lever, exact))
    return Misfit(
        words(
            "it stands at {value:g} {unit} and cannot be set at the bench; {exact:.4g} {unit} "
            "would be needed",
            value=scale.high,
            unit=scale.unit,
            exact=exact,
        ),
        exact,
        out_of_range=True,
    )


def _outside(scale: Scale, exact: float, step: float, *, known: bool) -> Words | None:
    """Return why a value cannot be taken on a scale; half a step goes to the end mark."""
    half = step / 2 * (1 + ROOM)
    if not scale.low - half <= exact <= scale.high + half:
        return words(
            "it would have to show {value:.4g} {unit}; its scale goes from {low:g} to {high:g}",
            value=exact,
            unit=scale.unit,
            low=scale.low,
            high=scale.high,
        )
    if exact < scale.claimed_from - half and not known:
        return words(
            "it would have to show {value:.4g} {unit}, below a fifth of its scale ({start:g}): "
            "nothing is claimed there",
            value=exact,
            unit=scale.unit,
            start=scale.claimed_from,
        )
    return None


def _no_mark(choices: list[tuple[Mark, Trust]], lever: Lever, wanted: Wanted) -> Words:
    size = factor("N·m", wanted.unit)
    torques = sorted(trust.reference * lever.ratio * size for _, trust in choices)
    return words(
        "no mark lies within the limits: the nearest give {torques} {unit}",
        torques=", ".join(f"{torque:.4g}" for torque in torques),
        unit=wanted.unit,
    )
