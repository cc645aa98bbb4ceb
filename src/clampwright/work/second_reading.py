"""What a second person reads of the same pull, compared with what the first one read."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from clampwright.drawer.tools import Tool
from clampwright.errors import Refused
from clampwright.units import convert
from clampwright.words import Words, words
from clampwright.work import readings
from clampwright.work.measured import Measured, angle_of, stretch_of
from clampwright.work.ways_in import GaugeReading, MarksReading, StretchReading

_LEAST_U = {"deg": 0.3, "N·m": 0.0, "mm": 0.003}
"""Standard uncertainty of one look where no division is known: a whole degree, a hundredth of a
millimetre (rectangular); a torque's division is that of its scale."""


@dataclass(frozen=True, slots=True)
class SecondReading:
    """Two readings of one pull, compared.

    Parameters
    ----------
    agrees : bool
    words : Words
        What to do.
    """

    agrees: bool
    words: Words


def compare_readings(
    first: readings.Reading,
    second: readings.Reading,
    *,
    tool: Tool | None = None,
    u_angle: float | None = None,
) -> SecondReading:
    """Compare what two people read of one pull.

    Parameters
    ----------
    first, second : Reading
    tool : Tool, optional
        Whose scale was read: its division says how far two good looks may lie apart.
    u_angle : float, optional
        Standard uncertainty of one reading of the angle gauge in hand, degrees.

    Returns
    -------
    SecondReading

    Raises
    ------
    Refused
        When there is nothing to read again, or the two are not of the same kind.

    Notes
    -----
    They agree when they differ by no more than the root of the sum of the squares of their expanded
    uncertainties (E_n of at most 1, ISO 13528, from memory), k = 2; only what the eye adds counts,
    for both look at the same instrument.

    Examples
    --------
    >>> from decimal import Decimal
    >>> one, other = (readings.AngleReading(Decimal(x)) for x in ("90", "98"))
    >>> print(compare_readings(one, other, u_angle=1.0).words)
    they differ: 90° and 98° were read. Look again together, then enter what stands there
    """
    if isinstance(first, readings.ClickReading) and isinstance(second, readings.ClickReading):
        return _told(first == second, first, second)
    a, b = (_looked(one, tool, u_angle) for one in (first, second))
    if a is None or b is None or a.unit != b.unit:
        raise Refused(
            words(
                "a second person reads the same as the first, such as the figure on the scale or "
                "the place of the mark; a recording or a step that is only done is not read again"
            )
        )
    room = 2 * math.hypot(a.u, b.u)
    return _told(abs(a.value - b.value) <= room + 1e-9, first, second)


def _looked(reading: readings.Reading, tool: Tool | None, u_angle: float | None) -> Measured | None:
    match reading:
        case readings.AngleReading():
            return Measured(float(reading.angle), u_angle or _LEAST_U["deg"], "deg")
        case MarksReading() | GaugeReading():
            found = angle_of(reading, u_angle)
            return Measured(found.value, max(found.u, _LEAST_U["deg"]), "deg")
        case StretchReading():
            return stretch_of(reading)
        case readings.ValueReading():
            return _on_scale(reading, tool)
        case _:
            return None


def _on_scale(reading: readings.ValueReading, tool: Tool | None) -> Measured:
    if reading.unit in {"mm", "in", "µm"}:
        return Measured(convert(float(reading.value), reading.unit, "mm"), _LEAST_U["mm"], "mm")
    step = tool.scale(reading.unit).step if tool is not None else 0.0
    u = convert(step, reading.unit, "N·m") / math.sqrt(12)
    return Measured(convert(float(reading.value), reading.unit, "N·m"), u, "N·m")


def _told(agrees: bool, first: readings.Reading, second: readings.Reading) -> SecondReading:  # noqa: FBT001 - one of two outcomes
    both = {"first": reading_words(readings.as_body(first))}
    if agrees:
        return SecondReading(True, words("both read the same: {first}", **both))
    told = words(
        "they differ: {first} and {second} were read. Look again together, then enter what stands "
        "there",
        second=reading_words(readings.as_body(second)),
        **both,
    )
    return SecondReading(False, told)


def reading_words(reading: Mapping[str, Any]) -> Words:
    """Say what was handed in; traces are told by what was found in them.

    Parameters
    ----------
    reading : mapping
        As it stands in an entry of the log.

    Returns
    -------
    Words

    Examples
    --------
    >>> str(reading_words({"kind": "angle", "value": "91", "unit": "deg"}))
    '91°'
    """
    way = _TOLD.get(reading["kind"])
    if way is not None:
        return way(reading)
    return words("done") if reading.get("done") else words("not done")


def _value(reading: Mapping[str, Any]) -> Words:
    return words("{value} {unit}", value=reading["value"], unit=reading["unit"])


def _angle(reading: Mapping[str, Any]) -> Words:
    return words("{value}°", value=reading["value"])


def _click(reading: Mapping[str, Any]) -> Words:
    value, unit = reading["setting"]["value"], reading["setting"]["unit"]
    if not reading["clicked"]:
        return words("set to {value} {unit}: no click", value=value, unit=unit)
    if reading["moved"]:
        return words("set to {value} {unit}: click, moved", value=value, unit=unit)
    return words("set to {value} {unit}: click, did not move", value=value, unit=unit)


def _marks(reading: Mapping[str, Any]) -> Words:
    turn = readings.from_body(reading)
    if not isinstance(turn, MarksReading):
        return words("recorded")
    return words("{angle:g}°, {mark}", angle=turn.turn.angle, mark=turn.turn.words())


def _gauge(reading: Mapping[str, Any]) -> Words:
    if reading["held"] == "loaded":
        return words("{value}° on the dial, while pulling", value=reading["value"])
    return words("{value}° on the dial, let go", value=reading["value"])


def _phone(reading: Mapping[str, Any]) -> Words:
    return words("{value}° by the phone", value=reading["value"])


def _stretch(reading: Mapping[str, Any]) -> Words:
    return words(
        "free {free}, tight {tight} {unit}",
        free=" · ".join(reading["free"]),
        tight=" · ".join(reading["tight"]),
        unit=reading["unit"],
    )


def _turning(reading: Mapping[str, Any]) -> Words:
    values = " · ".join(reading["values"])
    if reading.get("peak"):
        return words(
            "{values} {unit} while turning; {peak} to break loose",
            values=values,
            unit=reading["unit"],
            peak=reading["peak"],
        )
    return words("{values} {unit} while turning", values=values, unit=reading["unit"])


_TOLD = {
    "value": _value,
    "angle": _angle,
    "click": _click,
    "marks": _marks,
    "gauge": _gauge,
    "phone": _phone,
    "stretch": _stretch,
    "while_turning": _turning,
}
