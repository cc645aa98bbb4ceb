"""From what a person read on a scale to the torque the fastener received."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.drawer.calibration import Direction
from clampwright.drawer.tools import Adapter, Scale, Tool
from clampwright.drawer.trust import Trust, lever_of, torque_uncertainty, trust_when_showing
from clampwright.errors import OutOfRange
from clampwright.words import words


@dataclass(frozen=True, slots=True)
class Received:
    """The torque a fastener received.

    Parameters
    ----------
    torque : float
        Best estimate, N·m: the reading corrected for deviation and adapter.
    u : float
        Its standard uncertainty, N·m.
    trust : Trust
        What correction and uncertainty rest on.
    """

    torque: float
    u: float
    trust: Trust

    @property
    def u_rel(self) -> float:
        """Relative standard uncertainty, as a fraction."""
        return self.u / self.torque


@dataclass(frozen=True, slots=True)
class OtherReading:
    """A value taken as if it had been read on another scale of the same tool.

    Parameters
    ----------
    scale : Scale
    torque : float
        What the fastener would then have received, N·m.
    """

    scale: Scale
    torque: float


def torque_from_reading(
    tool: Tool,
    scale: Scale | str,
    reading: float,
    adapter: Adapter | None = None,
    *,
    direction: Direction = "cw",
    hand: float | None = None,
) -> Received:
    """Return the torque at the fastener for a reading, with its uncertainty.

    Parameters
    ----------
    tool : Tool
        A wrench.
    scale : Scale or str
        The scale that was read, or its unit.
    reading : float
        Shown, or set and signalled, in the scale's unit.
    adapter : Adapter, optional
    direction : str
        ``cw`` or ``ccw``.
    hand : float, optional
        Where the hand pulled, mm from the square; the grip mark if not given.

    Returns
    -------
    Received

    Raises
    ------
    OutOfRange
        When the reading cannot stand on the scale, or lies where the scale claims nothing and
        no calibration reaches.
    Refused, Missing
        As in `clampwright.drawer.settings.setting`.

    Examples
    --------
    >>> wrench = Tool("c", "Click", "click", "3/8 in", (Scale("ft·lbf", 10, 80, 5, 0.5),))
    >>> round(torque_from_reading(wrench, "ft·lbf", 30.0).torque, 3)
    40.675
    """
    chosen = tool.scale(scale) if isinstance(scale, str) else scale
    lever = lever_of(tool, adapter, hand)
    if not chosen.low <= reading <= chosen.high or not reading > 0:
        raise OutOfRange(
            words(
                "{reading:g} {unit} cannot be read on {tool}: its scale goes from {low:g} to "
                "{high:g}",
                reading=reading,
                unit=chosen.unit,
                tool=tool.title,
                low=chosen.low,
                high=chosen.high,
            ),
            value=reading,
            low=chosen.low,
            high=chosen.high,
        )
    trust = trust_when_showing(tool, reading * chosen.size, direction)
    if trust.deviation is None and reading < chosen.claimed_from:
        raise OutOfRange(
            words(
                "{reading:g} {unit} is below {start:g}, a fifth of the scale of {tool}: nothing is "
                "claimed there",
                reading=reading,
                unit=chosen.unit,
                start=chosen.claimed_from,
                tool=tool.title,
            ),
            value=reading,
            low=chosen.claimed_from,
            high=chosen.high,
        )
    torque = trust.reference * lever.ratio
    return Received(torque, torque * torque_uncertainty(tool, chosen, reading, trust, lever), trust)


def other_scale_readings(
    tool: Tool,
    value: float,
    scale: Scale | str | None = None,
    adapter: Adapter | None = None,
    *,
    direction: Direction = "cw",
) -> tuple[OtherReading, ...]:
    """Return on which other scales of a tool a value could have been read.

    Parameters
    ----------
    tool : Tool
        A wrench.
    value : float
        The number read.
    scale : Scale or str, optional
        The scale it is said to be from, or its unit; all scales are tried if not given.
    adapter : Adapter, optional
    direction : str
        ``cw`` or ``ccw``.

    Returns
    -------
    tuple of OtherReading
        Empty when no other scale holds the value.

    Examples
    --------
    >>> scales = (Scale("ft·lbf", 10, 80, 5, 0.5), Scale("N·m", 15, 105, 5, 1))
    >>> wrench = Tool("c", "Click", "click", "3/8 in", scales)
    >>> [other.scale.unit for other in other_scale_readings(wrench, 45, "N·m")]
    ['ft·lbf']
    """
    unit = scale.unit if isinstance(scale, Scale) else scale
    ratio = lever_of(tool, adapter).ratio
    return tuple(
        OtherReading(
            other, trust_when_showing(tool, value * other.size, direction).reference * ratio
        )
        for other in tool.scales
        if other.unit != unit and other.low <= value <= other.high and value > 0
    )
