"""What goes between the square of a wrench and a fastener, and what it does to the torque."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from clampwright.drawer.belongings import NOTHING_SAID, Belongings
from clampwright.errors import OutOfRange
from clampwright.words import words

AdapterKind = Literal["open_end", "socket", "extension", "universal_joint", "multiplier"]

DRIVES = ("1/4 in", "3/8 in", "1/2 in", "3/4 in", "1 in")


@dataclass(frozen=True, slots=True)
class Adapter:
    """A part between wrench and fastener.

    Parameters
    ----------
    id, title : str
    drive : str
        One of `DRIVES`; the square it takes.
    length : float
        Of an open end: from the wrench's square to the fastener's axis, mm. Of any other: its
        length along the axis, which moves nothing sideways.
    angle : float
        Of an open end, to the handle line, degrees: 0 straight on, 90 square, 180 pointing back at
        the hand. Of a universal joint: the largest bend it is used with.
    kind : str
        ``open_end`` (also crowfoot and offset ends), ``socket``, ``extension``,
        ``universal_joint`` or ``multiplier``.
    ratio : float
        Of a multiplier's gear: turns in for one turn out.
    efficiency : float
        Share of the torque that arrives, 0 to 1.
    u_efficiency : float
        Its relative standard uncertainty, as a fraction.
    out : str or None
        Square it gives on, where it has one.
    size : float or None
        Width across flats it grips, mm.
    highest : float or None
        Largest torque it is made for at its output, N·m.
    stiffness : float or None
        N·m per degree.
    belongings : Belongings
    """

    id: str
    title: str
    drive: str
    length: float = 0.0
    angle: float = 0.0
    kind: AdapterKind = "open_end"
    ratio: float = 1.0
    efficiency: float = 1.0
    u_efficiency: float = 0.0
    out: str | None = None
    size: float | None = None
    highest: float | None = None
    stiffness: float | None = None
    belongings: Belongings = NOTHING_SAID

    @property
    def moves_sideways(self) -> bool:
        """Whether it takes the fastener off the wrench's axis, so that the grip point counts."""
        return self.kind == "open_end"

    @property
    def gain(self) -> float:
        """Torque out over torque in, along the axis: gear ratio times efficiency."""
        return self.ratio * self.efficiency

    @property
    def u_gain(self) -> float:
        """Relative standard uncertainty of `gain`."""
        bend = universal_joint_spread(self.angle) if self.kind == "universal_joint" else 0.0
        return math.hypot(self.u_efficiency, bend)


def universal_joint_spread(bend: float) -> float:
    """Return what a single universal joint adds to the uncertainty of a torque.

    Parameters
    ----------
    bend : float
        Angle between the two shafts, degrees, 0 to below 60.

    Returns
    -------
    float
        Relative standard uncertainty, as a fraction.

    Raises
    ------
    OutOfRange
        For a bend that cannot be.

    Notes
    -----
    The speed ratio of a single cross joint swings between cos β and 1/cos β over a quarter turn;
    without loss the torque swings the other way, by the same factors (kinematics of the Hooke
    joint, textbooks of machine elements, from memory). Where in the swing the pull ends is not
    known: taken as rectangular over the whole swing. Friction in the cross comes on top.

    Examples
    --------
    >>> round(universal_joint_spread(20.0), 4)
    0.0359
    """
    if not 0 <= bend < 60:
        raise OutOfRange(
            words("a universal joint bent by {bend:g}° cannot be pulled through", bend=bend),
            value=bend,
            low=0.0,
            high=60.0,
            source="limit ours",
        )
    cosine = math.cos(math.radians(bend))
    return (1 / cosine - cosine) / 2 / math.sqrt(3)
