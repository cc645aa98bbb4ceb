"""One step of a written procedure, as plain frozen data.

Values stay in the unit the text states; the properties convert once, for whoever computes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from clampwright.units import factor

Kind = Literal[
    "torque", "angle", "loosen", "back_off_then", "stretch", "snug", "wait", "torque_check"
]
Check = Literal["rotating", "running", "re_check", "final_minimum", "ceiling"]
Fasteners = tuple[int, ...] | str
Order = str | tuple[int | str, ...]

KINDS: tuple[Kind, ...] = (
    "torque",
    "angle",
    "loosen",
    "back_off_then",
    "stretch",
    "snug",
    "wait",
    "torque_check",
)
ORDERS = (
    "sequence",
    "reverse",
    "centre_out",
    "criss_cross",
    "star",
    "opposite_pairs",
    "figure",
    "reverse_of_removal",
)
_ANGLE_KINDS = ("angle", "back_off_then")
_TORQUE_KINDS = ("torque", "torque_check")


@dataclass(frozen=True, slots=True)
class Figure:
    """The same quantity in another unit, as the text gives it beside the first.

    Parameters
    ----------
    value : float or None
        The figure, in `unit`.
    unit : str
        Canonical unit name.
    low, high : float or None
        Limits in the same unit.
    """

    value: float | None
    unit: str
    low: float | None = None
    high: float | None = None

    def as_json(self) -> dict[str, object]:
        """Return plain data with the key names of a stage."""
        return {
            "value": self.value,
            "unit": self.unit,
            "tolerance_low": self.low,
            "tolerance_high": self.high,
        }


@dataclass(frozen=True, slots=True)
class WrenchSetting:
    """What the text says to set on the wrench, which is not the torque at the fastener.

    Parameters
    ----------
    value : float
        The setting, in `unit`.
    unit : str
        Canonical unit name.
    fitted : str
        With which end-fitting or adapter it holds.
    """

    value: float
    unit: str
    fitted: str = ""

    def as_json(self) -> dict[str, object]:
        """Return plain data."""
        return {"value": self.value, "unit": self.unit, "with": self.fitted}


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of a procedure, applied to a set of fasteners.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    value : float or None
        The stated target in `unit`; None when none is stated.
    unit : str or None
        Canonical unit name, as the text states it (``N·m``, ``ft·lbf``, ``deg``, ``turn``,
        ``mm``, ``in``, ``min``, ``km`` ...).
    tolerance_low, tolerance_high : float or None
        Absolute limits in `unit`.
    fasteners : "all", tuple of int, or str
        Every fastener of the joint, their numbers, or a label.
    note : str
        Remark.
    order : str, tuple or None
        One of `ORDERS`, or the fastener numbers one after the other.
    also : tuple of Figure
        The same figure in other units.
    as_written : str
        The figure's own spelling where it was converted or read by a rule.
    condition : str
        What must be done at the same time.
    direction : str
        ``"ccw"`` for tightening a left-hand thread, else empty.
    per_fastener : bool
        Finish the run of such stages on one fastener before going to the next.
    plus_running_torque : bool
        Add the measured running torque of the nut to the value.
    wrench_setting : WrenchSetting or None
        What to set on the wrench with a named fitting.
    check : str or None
        Sort of `torque_check`.
    value_from : str
        ``"range_midpoint"`` where the value is the middle of a stated range.

    Examples
    --------
    >>> Stage("torque", 30.0, "N·m", 28.0, 32.0).low_nm
    28.0
    >>> Stage("angle", 0.25, "turn").angle_deg
    90.0
    """

    kind: Kind
    value: float | None = None
    unit: str | None = None
    tolerance_low: float | None = None
    tolerance_high: float | None = None
    fasteners: Fasteners = "all"
    note: str = ""
    order: Order | None = None
    also: tuple[Figure, ...] = ()
    as_written: str = ""
    condition: str = ""
    direction: str = ""
    per_fastener: bool = False
    plus_running_torque: bool = False
    wrench_setting: WrenchSetting | None = None
    check: Check | None = None
    value_from: str = ""

    @property
    def torque_nm(self) -> float | None:
        """The stated torque in N·m; None when this is no torque or has no value."""
        return self._in(_TORQUE_KINDS, "N·m", self.value)

    @property
    def low_nm(self) -> float | None:
        """The lower torque limit in N·m, or None."""
        return self._in(_TORQUE_KINDS, "N·m", self.tolerance_low)

    @property
    def high_nm(self) -> float | None:
        """The upper torque limit in N·m, or None."""
        return self._in(_TORQUE_KINDS, "N·m", self.tolerance_high)

    @property
    def angle_deg(self) -> float | None:
        """The stated angle in degrees, in the direction the kind says; None when no angle."""
        return self._in(_ANGLE_KINDS, "deg", self.value)

    @property
    def low_deg(self) -> float | None:
        """The lower angle limit in degrees, or None."""
        return self._in(_ANGLE_KINDS, "deg", self.tolerance_low)

    @property
    def high_deg(self) -> float | None:
        """The upper angle limit in degrees, or None."""
        return self._in(_ANGLE_KINDS, "deg", self.tolerance_high)

    def _in(self, kinds: tuple[str, ...], unit: str, value: float | None) -> float | None:
        if value is None or self.unit is None or self.kind not in kinds:
            return None
        return value * factor(self.unit, unit)

    def as_json(self) -> dict[str, object]:
        """Return plain data; the optional keys appear only where they say something.

        Returns
        -------
        dict
            Ready for `json.dumps`.
        """
        data: dict[str, object] = {
            "kind": self.kind,
            "value": self.value,
            "unit": self.unit,
            "tolerance_low": self.tolerance_low,
            "tolerance_high": self.tolerance_high,
            "fasteners": _plain(self.fasteners),
            "note": self.note,
        }
        data.update({key: value for key, value in self._extras().items() if value})
        return data

    def _extras(self) -> dict[str, object]:
        figures = [figure.as_json() for figure in self.also]
        return {
            "order": _plain(self.order),
            "also": figures[0] if len(figures) == 1 else figures,
            "as_written": self.as_written,
            "condition": self.condition,
            "direction": self.direction,
            "per_fastener": self.per_fastener,
            "plus_running_torque": self.plus_running_torque,
            "wrench_setting": self.wrench_setting and self.wrench_setting.as_json(),
            "check": self.check,
            "value_from": self.value_from,
        }


def _plain(value: Fasteners | Order | None) -> object:
    return list(value) if isinstance(value, tuple) else value
