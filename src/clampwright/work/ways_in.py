"""Ways in which a result comes in besides one figure from a scale.

Marks on the clock face, an angle gauge, a phone on the handle, lengths before and after, several
readings while turning: each carries what is needed to tell its own uncertainty.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from clampwright.errors import Refused
from clampwright.units import parse_number
from clampwright.words import words
from clampwright.work.clock_marks import MarkTurn, clock_text, read_clock

Held = Literal["loaded", "let_go"]
_SEVERAL_MARKS = re.compile(r"[.,].*[.,]")
MOST_READINGS = 50
"""Readings of one pull."""


@dataclass(frozen=True, slots=True)
class MarksReading:
    """An angle told by where a painted mark stood and stands.

    Parameters
    ----------
    turn : MarkTurn
    """

    turn: MarkTurn


@dataclass(frozen=True, slots=True)
class GaugeReading:
    """An angle read from a dial on the socket.

    Parameters
    ----------
    angle : Decimal
        What the dial showed, degrees.
    held : str
        ``loaded`` when it was read while pulling, ``let_go`` after.
    zero : Decimal
        What it showed at the start.
    play : Decimal or None
        How far it moved freely before the fastener turned, degrees; None where the play was taken
        up before the dial was set.
    """

    angle: Decimal
    held: Held = "let_go"
    zero: Decimal = Decimal(0)
    play: Decimal | None = None


@dataclass(frozen=True, slots=True)
class PhoneReading:
    """An angle from the rotation sensor of a phone strapped to the handle.

    Parameters
    ----------
    angle, u : Decimal
        Forward rotation and its standard uncertainty, degrees, as reckoned from the recording.
    swings : int
        Forward swings that were added up.
    """

    angle: Decimal
    u: Decimal
    swings: int = 1


@dataclass(frozen=True, slots=True)
class StretchReading:
    """Lengths of a fastener free and tight.

    Parameters
    ----------
    free, tight : tuple of Decimal
        Repeated readings; a dial that shows the stretch itself has one free reading of 0.
    unit : str
    step : Decimal
        The gauge's division, in `unit`.
    gauge : str or None
        Id of the stretch gauge of the drawer.
    temperatures : tuple of Decimal or None
        Of the fastener at the free and at the tight readings, °C.
    """

    free: tuple[Decimal, ...]
    tight: tuple[Decimal, ...]
    unit: str
    step: Decimal
    gauge: str | None = None
    temperatures: tuple[Decimal, Decimal] | None = None


@dataclass(frozen=True, slots=True)
class TurningReading:
    """Torques read while the fastener kept turning.

    Parameters
    ----------
    values : tuple of Decimal
        In the order they were read, without the peak at the start.
    unit : str
    peak : Decimal or None
        What it took to break it loose, where it was read.
    """

    values: tuple[Decimal, ...]
    unit: str
    peak: Decimal | None = None


WayIn = MarksReading | GaugeReading | PhoneReading | StretchReading | TurningReading


def way_as_body(reading: WayIn) -> dict[str, Any]:
    """Return a reading as it stands in an entry of the log: no binary floats.

    Parameters
    ----------
    reading : WayIn

    Returns
    -------
    dict

    Examples
    --------
    >>> way_as_body(MarksReading(MarkTurn(60.0, 150.0)))["end"]
    '5:00'
    """
    match reading:
        case MarksReading(turn=turn):
            return {
                "kind": "marks",
                "start": clock_text(turn.start),
                "end": clock_text(turn.end),
                "turns": turn.turns,
                "turning": turn.turning,
                "step": f"{turn.step:g}",
            }
        case GaugeReading():
            return {
                "kind": "gauge",
                "value": str(reading.angle),
                "unit": "deg",
                "held": reading.held,
                "zero": str(reading.zero),
                "play": None if reading.play is None else str(reading.play),
            }
        case PhoneReading():
            return {
                "kind": "phone",
                "value": str(reading.angle),
                "unit": "deg",
                "u": str(reading.u),
                "swings": reading.swings,
            }
        case StretchReading():
            warm = reading.temperatures
            return {
                "kind": "stretch",
                "free": [str(one) for one in reading.free],
                "tight": [str(one) for one in reading.tight],
                "unit": reading.unit,
                "step": str(reading.step),
                "gauge": reading.gauge,
                "temperatures": None if warm is None else [str(one) for one in warm],
            }
        case TurningReading():
            return {
                "kind": "while_turning",
                "values": [str(one) for one in reading.values],
                "unit": reading.unit,
                "peak": None if reading.peak is None else str(reading.peak),
            }


def way_from_body(body: Mapping[str, Any]) -> WayIn | None:
    """Rebuild a reading from its plain form; None where it is another kind.

    Parameters
    ----------
    body : mapping
        As made by `way_as_body`; figures may be typed with comma or point.

    Returns
    -------
    WayIn or None

    Raises
    ------
    ClampwrightError
        When a figure is none, or a reading cannot be.
    """
    match body["kind"]:
        case "marks":
            places = read_clock(str(body["start"])), read_clock(str(body["end"]))
            step = float(_number(body["step"]))
            turn = MarkTurn(*places, _count(body["turns"]), _turning(body["turning"]), step)
            return MarksReading(turn)
        case "gauge":
            held: Held = "loaded" if body["held"] == "loaded" else "let_go"
            zero, play = _number(body.get("zero") or "0"), body.get("play")
            return GaugeReading(
                _number(body["value"]), held, zero, None if play is None else _not_below(play)
            )
        case "phone":
            return PhoneReading(
                _number(body["value"]), _not_below(body["u"]), _count(body.get("swings", 1))
            )
        case "stretch":
            return _stretch(body)
        case "while_turning":
            peak = body.get("peak")
            return TurningReading(
                _numbers(body["values"]), str(body["unit"]), None if peak is None else _number(peak)
            )
        case _:
            return None


def _stretch(body: Mapping[str, Any]) -> StretchReading:
    warm = body.get("temperatures")
    if warm is not None and len(warm) != 2:
        raise Refused(words("temperatures are two: at the free and at the tight readings"))
    return StretchReading(
        tuple(read_length(str(one)) for one in _some(body["free"])),
        tuple(read_length(str(one)) for one in _some(body["tight"])),
        str(body["unit"]),
        _not_below(body["step"]),
        body.get("gauge"),
        None if warm is None else (_number(warm[0]), _number(warm[1])),
    )


def _turning(text: object) -> Literal["cw", "ccw"]:
    if text not in {"cw", "ccw"}:
        raise Refused(words("a turn is cw or ccw, not {text!r}", text=str(text)[:20]))
    return "cw" if text == "cw" else "ccw"


def _count(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise Refused(words("expected a whole number, got {value!r}", value=str(value)[:20]))
    return value


def _number(value: object) -> Decimal:
    return parse_number(str(value))


def _not_below(value: object) -> Decimal:
    number = _number(value)
    if number < 0:
        raise Refused(words("{value} lies below 0", value=str(number)))
    return number


def read_length(text: str) -> Decimal:
    """Read a length as a gauge shows it: a mark with three digits behind it is a decimal mark.

    Parameters
    ----------
    text : str
        Such as ``95.020`` or ``95,02``; no fastener is 95,020 mm long.

    Returns
    -------
    Decimal

    Examples
    --------
    >>> read_length("95,020"), read_length("95.02")
    (Decimal('95.020'), Decimal('95.02'))
    """
    marks = {sign for sign in text if sign in ".,"}
    if len(marks) != 1 or _SEVERAL_MARKS.search(text):
        return parse_number(text)
    return parse_number(text, decimal="," if "," in marks else ".")


def _some(values: Sequence[object]) -> Sequence[object]:
    if not 1 <= len(values) <= MOST_READINGS:
        raise Refused(
            words(
                "1 to {most} readings are taken, got {count}", most=MOST_READINGS, count=len(values)
            )
        )
    return values


def _numbers(values: Sequence[object]) -> tuple[Decimal, ...]:
    return tuple(_number(value) for value in _some(values))
