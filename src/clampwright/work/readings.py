"""What a person or an instrument reports of one pull, before anybody has judged it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from clampwright.errors import Refused
from clampwright.trace.verdict import TraceVerdict
from clampwright.units import parse_number
from clampwright.words import words
from clampwright.work.ways_in import (
    GaugeReading,
    MarksReading,
    PhoneReading,
    StretchReading,
    TurningReading,
    WayIn,
    way_as_body,
    way_from_body,
)


@dataclass(frozen=True, slots=True)
class ValueReading:
    """A torque (or stretch) read from a scale or display.

    Parameters
    ----------
    value : Decimal
        As it was read.
    unit : str
        The unit of the scale it was read from.
    """

    value: Decimal
    unit: str


@dataclass(frozen=True, slots=True)
class ClickReading:
    """What was felt of a click wrench.

    Parameters
    ----------
    clicked, moved : bool
        Whether it clicked, and whether the fastener was seen to move before it did.
    setting : Decimal
        What the wrench was set to, on its scale.
    unit : str
        The unit of that scale.
    """

    clicked: bool
    moved: bool
    setting: Decimal
    unit: str


@dataclass(frozen=True, slots=True)
class AngleReading:
    """An angle turned, in degrees.

    Parameters
    ----------
    angle : Decimal
    """

    angle: Decimal


@dataclass(frozen=True, slots=True)
class TraceReading:
    """A recorded pull and what the analysis found in it.

    Parameters
    ----------
    paper : str
        SHA-256 of the trace file kept beside the log, hexadecimal.
    found : TraceVerdict
    """

    paper: str
    found: TraceVerdict


@dataclass(frozen=True, slots=True)
class DoneReading:
    """Work that is only done or not: snugging by hand, loosening, waiting.

    Parameters
    ----------
    done : bool
    """

    done: bool


Reading = ValueReading | ClickReading | AngleReading | TraceReading | DoneReading | WayIn


WAYS = (MarksReading, GaugeReading, PhoneReading, StretchReading, TurningReading)


def as_body(reading: Reading) -> dict[str, Any]:
    """Return a reading as it stands in an entry of the log: no binary floats.

    Parameters
    ----------
    reading : Reading

    Returns
    -------
    dict
    """
    if isinstance(reading, ValueReading):
        return {"kind": "value", "value": str(reading.value), "unit": reading.unit}
    if isinstance(reading, ClickReading):
        return {
            "kind": "click",
            "clicked": reading.clicked,
            "moved": reading.moved,
            "setting": {"value": str(reading.setting), "unit": reading.unit},
        }
    if isinstance(reading, AngleReading):
        return {"kind": "angle", "value": str(reading.angle), "unit": "deg"}
    if isinstance(reading, TraceReading):
        return {"kind": "trace", "paper": reading.paper}
    if isinstance(reading, WAYS):
        return way_as_body(reading)
    return {"kind": "done", "done": reading.done}


def torque_shown(body: Mapping[str, Any]) -> tuple[float, str] | None:
    """Return the torque a reading of the log tells of the tool's scale, with its unit.

    Parameters
    ----------
    body : mapping
        A reading as it stands in an entry.

    Returns
    -------
    tuple of (float, str) or None
        What was read, the mean of several read while turning, or what a click wrench was set to;
        None where the reading is no torque.

    Examples
    --------
    >>> torque_shown({"kind": "while_turning", "values": ["1", "1.5"], "unit": "N·m"})
    (1.25, 'N·m')
    """
    if body["kind"] == "while_turning":
        values = [float(one) for one in body["values"]]
        return sum(values) / len(values), str(body["unit"])
    told = body if body["kind"] == "value" else body.get("setting")
    return (float(told["value"]), str(told["unit"])) if told else None


def from_body(body: Mapping[str, Any]) -> Reading:
    """Rebuild a reading typed by a person from its plain form.

    Parameters
    ----------
    body : mapping
        As made by `as_body`; traces are read from their file instead.

    Returns
    -------
    Reading

    Raises
    ------
    Refused
        When it is not one of the known forms.
    """
    try:
        if (way := way_from_body(body)) is not None:
            return way
        match body["kind"]:
            case "value":
                return ValueReading(_number(body["value"]), str(body["unit"]))
            case "click":
                setting = body["setting"]
                return ClickReading(
                    _yes_no(body["clicked"]),
                    _yes_no(body["moved"]),
                    _number(setting["value"]),
                    str(setting["unit"]),
                )
            case "angle":
                return AngleReading(_number(body["value"]))
            case "done":
                return DoneReading(_yes_no(body["done"]))
            case other:
                raise Refused(
                    words(
                        "a reading is a value, click, angle, marks, gauge, phone, stretch, "
                        "while_turning or done, not {other!r}",
                        other=str(other),
                    )
                )
    except (KeyError, TypeError) as error:
        raise Refused(words("the reading lacks {what}", what=str(error))) from error


def _number(value: object) -> Decimal:
    return parse_number(str(value))


def _yes_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise Refused(words("expected true or false, got {value!r}", value=str(value)))
    return value
