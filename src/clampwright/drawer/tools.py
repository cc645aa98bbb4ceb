"""What lies in a drawer: wrenches, bars, ratchets, gauges and adapters, as plain frozen data."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal, TypeVar, get_args

from clampwright.drawer.adapters import DRIVES, Adapter
from clampwright.drawer.belongings import NOTHING_SAID, Belongings, StretchGauge, TestDevice
from clampwright.drawer.calibration import USES, Calibration, Direction
from clampwright.drawer.happened import Happened
from clampwright.errors import Refused
from clampwright.units import factor, format_quantity
from clampwright.words import words

ToolKind = Literal["beam", "dial", "click", "electronic", "bar", "ratchet", "angle_gauge"]
AngleMode = Literal["handle", "accumulated", "output"]
Mechanism = Literal["screw", "fixed", "no_scale"]
"""How a click wrench is set: by a screw against its scale, not at all, or only on a test device."""

__all__ = [
    "DRIVES",
    "FIFTH",
    "KINDS",
    "PLAIN",
    "POINTERS",
    "WRENCHES",
    "Adapter",
    "AngleMode",
    "AngleScale",
    "Drawer",
    "Mechanism",
    "Scale",
    "Tool",
    "ToolKind",
]

WRENCHES: frozenset[str] = frozenset({"beam", "dial", "click", "electronic"})
"""Kinds that show or signal a torque."""
POINTERS: frozenset[str] = frozenset({"beam", "dial"})
"""Kinds read from a pointer, which can also stand midway between two marks."""
PLAIN: frozenset[str] = frozenset({"bar", "ratchet"})
"""Kinds that turn without showing anything."""
KINDS: tuple[str, ...] = get_args(ToolKind)

FIFTH = 0.2
"""Below a fifth of the largest value some standards claim nothing: US Army TM 1-1500-204-23-9,
table 8-1 (1992), and the range rule of ISO 6789:2003 (from memory)."""


@dataclass(frozen=True, slots=True)
class Scale:
    """One engraved or displayed scale of a wrench.

    Parameters
    ----------
    unit : str
        Canonical name of the unit engraved.
    low, high : float
        Lowest and highest marked value, in `unit`. A scale marked from 0 has `low` 0.
    main_step : float
        From one main mark to the next, in `unit`; for a display, its smallest step.
    fine_step : float or None
        From one sleeve or minor mark to the next, in `unit`; None where there are only main marks.

    Examples
    --------
    >>> Scale("ft·lbf", 10, 80, 5, 0.5).text(31)
    '31.0 ft·lbf'
    """

    unit: str
    low: float
    high: float
    main_step: float
    fine_step: float | None = None
    size: float = field(init=False, repr=False, compare=False)
    digits: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "size", factor(self.unit, "N·m"))
        places = max(_decimals(part) for part in (self.step, self.main_step, self.low))
        object.__setattr__(self, "digits", places)

    @property
    def step(self) -> float:
        """The finest graduation, in the scale's unit."""
        return self.fine_step or self.main_step

    @property
    def claimed_from(self) -> float:
        """Where the scale begins to claim any accuracy, in its unit.

        The lowest marked value (ISO 6789-1:2017, from memory); on a scale marked from zero, a
        fifth of the highest.
        """
        return self.low or FIFTH * self.high

    def text(self, value: float) -> str:
        """Return a value of this scale with its unit, to the decimals of its marks."""
        return format_quantity(value, self.unit, digits=self.digits)


@dataclass(frozen=True, slots=True)
class AngleScale:
    """How a gauge or an electronic wrench shows angle.

    Parameters
    ----------
    step : float
        Mark or display step, degrees.
    limit : float or None
        Largest error the maker states, degrees either way; None when not stated.
    mode : str or None
        What is counted: ``handle`` (raw rotation of the handle), ``accumulated`` (a counter that
        adds up forward rotation) or ``output`` (rotation of the output square).
    """

    step: float
    limit: float | None = None
    mode: AngleMode | None = None

    @property
    def u(self) -> float:
        """Standard uncertainty of one reading, degrees: step and stated limit as rectangular."""
        return math.hypot(self.step / math.sqrt(12), (self.limit or 0.0) / math.sqrt(3))


@dataclass(frozen=True, slots=True)
class UseLimits:
    """After how many uses a wrench is due, whatever the calendar says.

    Parameters
    ----------
    uses : int
        All uses since the calibration.
    high_uses : int or None
        Uses near the largest torque; None where they are not looked at.
    high_percent : float
        From this part of the largest torque on a use counts as high, percent.
    """

    uses: int = USES
    high_uses: int | None = None
    high_percent: float = 80.0


@dataclass(frozen=True, slots=True)
class Tool:
    """One tool of a drawer.

    Parameters
    ----------
    id, title : str
    kind : str
        ``beam``, ``dial``, ``click``, ``electronic``, ``bar``, ``ratchet`` or ``angle_gauge``.
    drive : str
        One of `DRIVES`.
    scales : tuple of Scale
        Torque scales; empty for tools that show no torque.
    directions : tuple of str
        ``cw``, ``ccw`` or both: the ways it may be pulled.
    calibration : Calibration or None
    uses : int or None
        Uses since the calibration; None when nobody counted.
    length : float or None
        From the square to the grip mark, mm.
    pivot : float
        From the square to the pivot where the pull is sensed, mm; 0 when measured at the square.
    repeatability : float or None
        Standard deviation of single pulls, percent, where it was determined.
    angle : AngleScale or None
        Angle ability.
    trace : bool
        Whether it gives torque and angle over time.
    stiffness : float or None
        Torsional stiffness from handle to square, N·m per degree.
    note : str
    iso_class : tuple of str or None
        Type and class letter of ISO 6789-1, such as ``("II", "A")``; None: the usual one of its
        kind.
    mechanism : str
        ``screw``; ``fixed`` or ``no_scale`` for a click wrench that stands at one torque, the
        single value of its only scale.
    sample_rate : float or None
        Readings a second of an electronic wrench.
    suspect : str
        Why it is not to be trusted until it is calibrated again (dropped, overloaded, left wound
        up); empty when nothing is known.
    belongings : Belongings
        Serial number, purchase, papers and weight.
    use_limits : UseLimits
    high_uses : int
        Uses near the largest torque since the calibration, as far as they were counted.
    doubts : tuple of Happened
        What happened to it that lowers trust and that nothing has ended since.

    Examples
    --------
    >>> Tool("b1", "Bar", "bar", "1/2 in", directions=("cw", "ccw")).largest_torque
    0.0
    """

    id: str
    title: str
    kind: ToolKind
    drive: str
    scales: tuple[Scale, ...] = ()
    directions: tuple[Direction, ...] = ("cw",)
    calibration: Calibration | None = None
    uses: int | None = None
    length: float | None = None
    pivot: float = 0.0
    repeatability: float | None = None
    angle: AngleScale | None = None
    trace: bool = False
    stiffness: float | None = None
    note: str = ""
    iso_class: tuple[str, str] | None = None
    mechanism: Mechanism = "screw"
    sample_rate: float | None = None
    suspect: str = ""
    belongings: Belongings = NOTHING_SAID
    use_limits: UseLimits = UseLimits()
    high_uses: int = 0
    doubts: tuple[Happened, ...] = ()

    @property
    def high_torque(self) -> float:
        """From this torque on a use counts as high, N·m."""
        return self.largest_torque * self.use_limits.high_percent / 100

    @property
    def is_wrench(self) -> bool:
        """Whether it shows or signals a torque."""
        return self.kind in WRENCHES

    @property
    def largest_torque(self) -> float:
        """Upper end of its widest scale, N·m; 0 when it shows none."""
        return max((scale.high * scale.size for scale in self.scales), default=0.0)

    @property
    def stands_at_one(self) -> bool:
        """Whether it is set to one torque that cannot be changed at the bench."""
        return self.mechanism != "screw"

    def settable_step(self, scale: Scale) -> float:
        """Return the smallest step that can be set or read on a scale, in its unit.

        A pointer can be held on a mark or midway between two (common practice, no source); nothing
        is read on a wrench that stands at one torque.
        """
        if self.stands_at_one:
            return 0.0
        return scale.step / 2 if self.kind in POINTERS else scale.step

    def scale(self, unit: str) -> Scale:
        """Return the scale in a unit.

        Parameters
        ----------
        unit : str
            Canonical name.

        Raises
        ------
        Refused
            When the tool has no such scale.
        """
        for scale in self.scales:
            if scale.unit == unit:
                return scale
        raise Refused(
            words(
                "{tool} has no scale in {unit}; it has {known}",
                tool=self.title,
                unit=unit,
                known=", ".join(scale.unit for scale in self.scales) or "-",
            )
        )


Kept = TypeVar("Kept", Tool, Adapter, TestDevice, StretchGauge)


@dataclass(frozen=True, slots=True)
class Drawer:
    """The tools and adapters a person owns.

    Parameters
    ----------
    tools : tuple of Tool
    adapters : tuple of Adapter
        What goes between a wrench and a fastener: open ends, extensions, multipliers, sockets.
    invented : bool
        True for demonstration data.
    stretch_gauges : tuple of StretchGauge
    test_devices : tuple of TestDevice
    """

    tools: tuple[Tool, ...]
    adapters: tuple[Adapter, ...] = ()
    invented: bool = False
    stretch_gauges: tuple[StretchGauge, ...] = ()
    test_devices: tuple[TestDevice, ...] = ()

    @property
    def multipliers(self) -> tuple[Adapter, ...]:
        """The torque multipliers among the adapters."""
        return tuple(one for one in self.adapters if one.kind == "multiplier")

    def tool(self, tool_id: str) -> Tool:
        """Return a tool by its id; `Refused` names the known ones."""
        return _named(self.tools, tool_id)

    def adapter(self, adapter_id: str) -> Adapter:
        """Return an adapter by its id; `Refused` names the known ones."""
        return _named(self.adapters, adapter_id)

    def stretch_gauge(self, gauge_id: str) -> StretchGauge:
        """Return a stretch gauge by its id; `Refused` names the known ones."""
        return _named(self.stretch_gauges, gauge_id)

    def test_device(self, device_id: str) -> TestDevice:
        """Return a test device by its id; `Refused` names the known ones."""
        return _named(self.test_devices, device_id)


def _named(things: tuple[Kept, ...], wanted: str) -> Kept:
    for thing in things:
        if thing.id == wanted:
            return thing
    raise Refused(
        words(
            "the drawer has no {wanted!r}; it has {known}",
            wanted=wanted,
            known=", ".join(thing.id for thing in things) or "-",
        )
    )


def _decimals(value: float) -> int:
    return len(f"{value:.6f}".rstrip("0").partition(".")[2])
