"""From what was read to a verdict with reasons, and what to do next.

Decision rule: simple acceptance (JCGM 106:2012, from memory). The best estimate of the torque at
the fastener, corrected for the wrench's known deviation, is compared with the limits; where the
wrench's own uncertainty reaches past a limit the reason says so. A verdict is never a statement
that the joint is safe.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from decimal import Decimal

from clampwright.drawer.calibration import Direction
from clampwright.drawer.readings import Received, other_scale_readings, torque_from_reading
from clampwright.drawer.tools import Adapter, Tool
from clampwright.errors import OutOfRange, Refused
from clampwright.units import convert, factor
from clampwright.words import Words, words
from clampwright.work.describe import shown
from clampwright.work.judge_measured import judge_angle, judge_stretch
from clampwright.work.judgement import (
    BY_HAND,
    DOUBTFUL,
    NOT_KNOWN,
    SHORT,
    WITHIN,
    InHand,
    Judgement,
    chance_inside,
    compared,
    judgement,
    limit_text,
    reaches_past,
)
from clampwright.work.limits import Limits
from clampwright.work.measured import torque_while_turning
from clampwright.work.readings import (
    AngleReading,
    ClickReading,
    DoneReading,
    Reading,
    TraceReading,
    ValueReading,
)
from clampwright.work.ways_in import (
    GaugeReading,
    MarksReading,
    PhoneReading,
    StretchReading,
    TurningReading,
)

_CONFUSED = ("N·m", "ft·lbf", "in·lbf", "kgf·m", "kgf·cm")
"""Units that stand beside one another on scales and in manuals."""


_NEAR = 1.3
"""Units nearer to each other than this are not held to be mixed up (ours): in·lbf and kgf·cm."""


def judge_pull(
    reading: Reading,
    limits: Limits,
    *,
    tool: Tool | None = None,
    adapter: Adapter | None = None,
    direction: Direction = "cw",
    already: float = 0.0,
    already_u: float = 0.0,
    in_hand: InHand = BY_HAND,
) -> Judgement:
    """Judge one pull.

    Parameters
    ----------
    reading : Reading
        What was read or felt.
    limits : Limits
        What the pull must reach.
    tool : Tool or None
        The wrench; needed where a torque was read or a click was felt.
    adapter : Adapter or None
        The open-end adapter on it.
    direction : str
        ``cw`` or ``ccw``: the way the fastener was turned.
    already : float
        Angle that earlier, short pulls have turned of this stage, degrees.
    already_u : float
        Standard uncertainty of it, degrees.
    in_hand : InHand
        What it was measured with.

    Returns
    -------
    Judgement

    Raises
    ------
    Refused
        When the reading does not belong to this sort of stage or tool.
    """
    match reading:
        case DoneReading():
            if limits.quantity != "none":
                raise Refused(words("this stage needs a reading, not only that it was done"))
            return _done(reading)
        case TraceReading():
            return _trace(reading, limits)
        case AngleReading() | MarksReading() | GaugeReading() | PhoneReading():
            return judge_angle(reading, limits, already, already_u, in_hand)
        case StretchReading():
            return judge_stretch(reading, limits, in_hand)
        case ValueReading() if limits.quantity == "stretch":
            return judge_stretch(reading, limits, in_hand)
        case ClickReading():
            return _click(reading, limits, _Hand(_needed(tool), adapter, direction))
        case ValueReading() | TurningReading():
            return _by_scale(reading, limits, tool, adapter, direction)


def _by_scale(
    reading: ValueReading | TurningReading,
    limits: Limits,
    tool: Tool | None,
    adapter: Adapter | None,
    direction: Direction,
) -> Judgement:
    """Judge one torque, or the mean of several read while turning."""
    if limits.quantity != "torque":
        raise Refused(words("this stage asks for no torque"))
    nothing_asked = tool is None and limits.low is None and limits.high is None
    if isinstance(reading, TurningReading):
        if nothing_asked:
            return _noted_while_turning(reading)
        return _while_turning(reading, limits, _Hand(_needed(tool), adapter, direction))
    if nothing_asked:
        return _noted(reading)
    return _value(reading, limits, _Hand(_needed(tool), adapter, direction))


def _noted(reading: ValueReading) -> Judgement:
    """Take a value of which nothing is asked, such as the running torque of a nut."""
    convert(float(reading.value), reading.unit, "N·m")  # refuses what is no torque
    told = words("noted: {value} {unit}", value=f"{reading.value:f}", unit=reading.unit)
    return judgement(WITHIN, [told], "torque")


def _noted_while_turning(reading: TurningReading) -> Judgement:
    mean = torque_while_turning(reading)
    convert(mean.value, reading.unit, "N·m")  # refuses what is no torque
    return judgement(WITHIN, [*mean.says, words("noted")], "torque")


def _needed(tool: Tool | None) -> Tool:
    if tool is None:
        raise Refused(words("say which wrench was used: its scale and deviation are needed"))
    return tool


def _done(reading: DoneReading) -> Judgement:
    if reading.done:
        return judgement(WITHIN, [words("done, as the person at the bench says")], "none")
    return judgement(SHORT, [words("not done yet")], "none")


def _while_turning(reading: TurningReading, limits: Limits, hand: _Hand) -> Judgement:
    """Judge the mean of torques read while turning; their scatter adds to the tool's own."""
    mean = torque_while_turning(reading)
    value = Decimal(repr(round(mean.value, 9)))
    u_more = convert(mean.u, reading.unit, "N·m")
    return _by_torque(value, reading.unit, limits, hand, *mean.says, u_more=u_more)


def _trace(reading: TraceReading, limits: Limits) -> Judgement:
    found = reading.found
    early = found.yielded and limits.quantity == "torque" and found.verdict != WITHIN
    quantity = "yield" if early else limits.quantity
    return judgement(found.verdict, [*found.reasons, limits.words()], quantity)


@dataclass(frozen=True, slots=True)
class _Hand:
    """The wrench as it was held."""

    tool: Tool
    adapter: Adapter | None
    direction: Direction

    def received(self, unit: str, value: Decimal) -> Received:
        return torque_from_reading(
            self.tool, unit, float(value), self.adapter, direction=self.direction
        )

    def on_scale(self, unit: str, value: Decimal) -> bool:
        scale = self.tool.scale(unit)
        return value > 0 and scale.low <= value <= scale.high


def _value(reading: ValueReading, limits: Limits, hand: _Hand) -> Judgement:
    return _by_torque(reading.value, reading.unit, limits, hand)


def _click(reading: ClickReading, limits: Limits, hand: _Hand) -> Judgement:
    if not reading.clicked:
        return judgement(SHORT, [words("the wrench did not click")], "torque")
    if limits.rechecks:
        return _click_again(reading, limits, hand)
    if not reading.moved:
        reason = words(
            "it clicked before the fastener moved: the torque is at least the setting, and may "
            "be well over it"
        )
        return judgement(DOUBTFUL, [reason], "click")
    never = words("a click tells when the setting was reached; it never rules out a pull past it")
    return _by_torque(reading.setting, reading.unit, limits, hand, never)


def _click_again(reading: ClickReading, limits: Limits, hand: _Hand) -> Judgement:
    """Judge a re-check: standing still is what is hoped for, movement a finding."""
    if not reading.moved:
        held = words("it clicked and the fastener stood still: it held at least the setting")
        return judgement(WITHIN, [held], "click")
    moved = words(
        "the fastener moved before the click: it had settled; where many move, or one moves a "
        "lot, find the cause (paint, rust, a worn seat, a wrong part)"
    )
    return _by_torque(reading.setting, reading.unit, limits, hand, moved)


def _by_torque(
    value: Decimal, unit: str, limits: Limits, hand: _Hand, *remarks: Words, u_more: float = 0.0
) -> Judgement:
    """Compare the torque at the fastener with the limits; ask where another unit would fit."""
    try:
        received = hand.received(unit, value)
        received = replace(received, u=math.hypot(received.u, u_more))
    except OutOfRange as error:
        return _unclaimed(error, value, unit, limits, hand)
    verdict = compared(received.torque, limits)
    reasons = [_received_words(received, unit, limits)]
    next_step = limits.approached and verdict == SHORT
    if verdict != WITHIN and not next_step and (other := _other_unit(value, unit, limits, hand)):
        return judgement(DOUBTFUL, [*reasons, other], "unit", received)
    if verdict == WITHIN and reaches_past(received.torque, received.u, limits):
        reasons.append(_reach_words(received, limits))
    reasons += [*remarks, received.trust.words(), limits.words()]
    return judgement(verdict, reasons, "torque", received)


def _unclaimed(
    error: OutOfRange, value: Decimal, unit: str, limits: Limits, hand: _Hand
) -> Judgement:
    """Judge a value that the scale cannot show, or shows where nothing is claimed of it."""
    if other := _other_unit(value, unit, limits, hand):
        return judgement(DOUBTFUL, [error.message, other], "unit")
    if not hand.on_scale(unit, value):
        raise error
    return judgement(NOT_KNOWN, [error.message], "torque")


def _received_words(received: Received, unit: str, limits: Limits) -> Words:
    value = convert(received.torque, "N·m", unit)
    figures = _figures(value, limits, unit)
    return words(
        "the fastener received {torque} ± {spread} (95 %); wanted {low} to {high}",
        torque=shown(value, unit, figures=figures),
        spread=shown(2 * convert(received.u, "N·m", unit), unit, figures=2),
        low=limit_text(limits.low, "N·m", unit, figures=figures),
        high=limit_text(limits.high, "N·m", unit, figures=figures),
    )


def _figures(value: float, limits: Limits, unit: str) -> int:
    """Return as many figures as it takes to see on which side of a limit a value lies."""
    shown_as = shown(value, unit)
    near = {
        limit_text(limit, "N·m", unit) for limit in (limits.low, limits.high) if limit is not None
    }
    return 4 if shown_as in near else 3


def _reach_words(received: Received, limits: Limits) -> Words:
    return words(
        "the wrench's own uncertainty reaches past a limit; the chance that the torque is inside "
        "is about {chance:.0f} %",
        chance=100 * chance_inside(received.torque, received.u, limits),
    )


def _other_unit(value: Decimal, unit: str, limits: Limits, hand: _Hand) -> Words | None:
    """Say which other unit the figure would fit: first another scale of the tool, then any."""
    own = [scale.unit for scale in hand.tool.scales]
    for other in other_scale_readings(hand.tool, float(value), unit, hand.adapter):
        if limits.holds(other.torque):
            return words(
                "{value} fits the tool's {unit} scale; which scale was read?",
                value=f"{value:f}",
                unit=other.scale.unit,
            )
    if limits.low is None or limits.high is None:
        return None  # with one side open some unit always fits: that is no sign of a mix-up
    for confused in _CONFUSED:
        if confused in own or _hardly_differ(confused, unit):
            continue
        if limits.holds(convert(float(value), confused, "N·m")):
            return words(
                "{value} would fit if the unit were {unit}; which unit was read?",
                value=f"{value:f}",
                unit=confused,
            )
    return None


def _hardly_differ(one: str, other: str) -> bool:
    """Whether two units are so near that a mix-up looks like an ordinary slip of the pull."""
    return abs(math.log(factor(one, other))) < math.log(_NEAR)
