"""Readings typed at the bench that are more than one figure: marks, dial, lengths, several."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from clampwright.errors import ClampwrightError
from clampwright.units import parse_number
from clampwright.words import Words, words
from clampwright.work.clock_marks import MarkTurn, nearest_turns, read_clock
from clampwright.work.plan import direction_of
from clampwright.work.ways_in import (
    GaugeReading,
    MarksReading,
    StretchReading,
    TurningReading,
    WayIn,
    read_length,
)

if TYPE_CHECKING:
    from clampwright.bench.session import Session
    from clampwright.work.guide import Guidance

WAYS_HELP = (
    words("m 2 5:15   the mark stood at 2 and stands at a quarter past 5; m 2 5:15 1 after a turn"),
    words("o 2        the mark starts at 2 from here on: the drawing shows the goal"),
    words("g 92       the dial on the socket shows 92°, let go; g 92 load while pulling;"),
    words("           g 92 play 4 when 4° moved freely first"),
    words("l 95.02 95.03 to 95.15   lengths free and tight; at the end @ 20 26 for two °C"),
    words("v 1.2 1.4 1.3 peak 2.6   torques read while turning, and what broke it loose"),
    words("b READING  what a second person read of the last pull, typed like the first"),
)
"""What can be typed besides, a line each."""


def marks(rest: str, guidance: Guidance, already: float = 0.0) -> WayIn:
    """Read where a mark stood and stands, and full turns if any.

    Parameters
    ----------
    rest : str
        Such as ``2 5:15`` or ``2 5:15 1``.
    guidance : Guidance
    already : float
        What earlier, short pulls have turned, degrees.

    Returns
    -------
    WayIn
    """
    parts = rest.split()
    if len(parts) not in {2, 3} or (len(parts) == 3 and not parts[2].isdecimal()):
        raise ClampwrightError(
            words("say where the mark stood and stands, such as: m 2 5:15 (and full turns)")
        )
    start, end = read_clock(parts[0]), read_clock(parts[1])
    turning = direction_of(guidance.planned.stage, guidance.joint)
    wanted = (guidance.planned.stage.angle_deg or 0.0) - already
    turns = int(parts[2]) if len(parts) == 3 else nearest_turns(start, end, turning, wanted)
    return MarksReading(MarkTurn(start, end, turns, turning))


def gauge(rest: str) -> WayIn:
    """Read what the dial on the socket shows.

    Parameters
    ----------
    rest : str
        Such as ``92``, ``92 load`` or ``92 play 4``.

    Returns
    -------
    WayIn
    """
    parts = rest.split()
    if not parts:
        raise ClampwrightError(words("say what the dial shows, such as: g 92"))
    found = GaugeReading(parse_number(parts[0].removesuffix("°")))
    rest_of = parts[1:]
    while rest_of:
        word = rest_of.pop(0).casefold()
        if word in {"load", "loaded"}:
            found = replace(found, held="loaded")
        elif word == "play" and rest_of:
            found = replace(found, play=parse_number(rest_of.pop(0).removesuffix("°")))
        else:
            raise ClampwrightError(
                words("after the figure: load, or play and its degrees; not {word!r}", word=word)
            )
    return found


def lengths(rest: str, session: Session) -> WayIn:
    """Read lengths free and tight.

    Parameters
    ----------
    rest : str
        Such as ``95.02 95.03 to 95.15 @ 20 26``.
    session : Session
        Where the drawer has one stretch gauge, its division counts.

    Returns
    -------
    WayIn
    """
    figures, _, warm = rest.partition("@")
    free, to, tight = figures.partition(" to ")
    if not to or not free.split() or not tight.split():
        raise ClampwrightError(words("say the lengths free and tight, such as: l 95.02 to 95.15"))
    free_of, tight_of = (tuple(map(read_length, one.split())) for one in (free, tight))
    temperatures = tuple(map(parse_number, warm.split()))
    if len(temperatures) not in {0, 2}:
        raise ClampwrightError(words("after @ stand two temperatures, such as: @ 20 26"))
    gauges = session.drawer.stretch_gauges
    own = gauges[0] if len(gauges) == 1 else None
    step = Decimal(f"{own.step:g}") if own else _last_place([*free_of, *tight_of])
    return StretchReading(
        free_of,
        tight_of,
        "mm",
        step,
        own.id if own else None,
        (temperatures[0], temperatures[1]) if temperatures else None,
    )


def _last_place(values: list[Decimal]) -> Decimal:
    """Return one unit in the last place that was typed."""
    exponents = [value.as_tuple().exponent for value in values]
    return Decimal(1).scaleb(min(one for one in exponents if isinstance(one, int)))


def while_turning(rest: str, unit: str) -> WayIn:
    """Read torques while turning, and the peak at the start.

    Parameters
    ----------
    rest : str
        Such as ``1.2 1.4 1.3 peak 2.6``.
    unit : str
        Of the scale in hand.

    Returns
    -------
    WayIn
    """
    figures, _, peak = rest.partition("peak")
    values = tuple(map(parse_number, figures.split()))
    if not values:
        raise ClampwrightError(words("say what was read while turning, such as: v 1.2 1.4 1.3"))
    return TurningReading(values, unit, parse_number(peak.strip()) if peak.strip() else None)


def mark_lines(guidance: Guidance, start: float, already: float) -> list[str]:
    """Draw where the mark goes, for a stage that is an angle; nothing for others.

    Parameters
    ----------
    guidance : Guidance
    start : float
        Where the mark starts, degrees from 12.
    already : float
        What earlier, short pulls have turned, degrees.

    Returns
    -------
    list of str
    """
    from clampwright.cli.output import text_of
    from clampwright.work.clock_marks import clock_lines, flats_words, marks_words

    angle = guidance.planned.stage.angle_deg
    if guidance.planned.limits.quantity != "angle" or angle is None:
        return []
    rest = max(angle - already, 0.0)
    turning = direction_of(guidance.planned.stage, guidance.joint)
    told: list[Words] = [marks_words(start, rest, turning)]
    told += [flats] if (flats := flats_words(rest)) else []
    return [
        *(f"      {line}" for line in clock_lines(start, rest, turning)),
        "      " + "; ".join(text_of(one) for one in told),
    ]
