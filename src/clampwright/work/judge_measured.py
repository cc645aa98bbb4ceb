"""Judging an angle or a stretch: what was measured, with its uncertainty, against the limits."""

from __future__ import annotations

import math
from dataclasses import replace

from clampwright.errors import Refused
from clampwright.units import convert
from clampwright.words import Words, words
from clampwright.work.judgement import (
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
from clampwright.work.measured import Measured, angle_of, stretch_of
from clampwright.work.readings import AngleReading, ValueReading
from clampwright.work.ways_in import GaugeReading, MarksReading, PhoneReading, StretchReading


def judge_angle(
    reading: AngleReading | MarksReading | GaugeReading | PhoneReading,
    limits: Limits,
    already: float,
    already_u: float,
    in_hand: InHand,
) -> Judgement:
    """Judge an angle, whichever way it was told.

    Parameters
    ----------
    reading : AngleReading, MarksReading, GaugeReading or PhoneReading
    limits : Limits
    already, already_u : float
        What earlier, short pulls have turned, and its standard uncertainty, degrees.
    in_hand : InHand

    Returns
    -------
    Judgement

    Raises
    ------
    Refused
        When the stage is not an angle.
    """
    if limits.quantity != "angle":
        raise Refused(words("this stage is not an angle; enter what it asks for"))
    if isinstance(reading, AngleReading):
        measured = Measured(float(reading.angle), in_hand.u_angle or 0.0, "deg")
    else:
        measured = angle_of(reading, in_hand.u_angle)
    whole = replace(measured, value=already + measured.value, u=math.hypot(already_u, measured.u))
    ends = {"low": limit_text(limits.low, "deg"), "high": limit_text(limits.high, "deg")}
    if whole.u:
        reason = words(
            "turned {angle:.4g}° in all, ± {spread:.2g}° (95 %); wanted {low} to {high}",
            angle=whole.value,
            spread=2 * whole.u,
            **ends,
        )
    else:
        reason = words(
            "turned {angle:g}° in all; wanted {low} to {high}", angle=whole.value, **ends
        )
    return replace(_by_measured(whole, limits, reason, "angle"), measured=measured)


def judge_stretch(
    reading: StretchReading | ValueReading, limits: Limits, in_hand: InHand
) -> Judgement:
    """Judge a stretch: one figure, or lengths free and tight.

    Parameters
    ----------
    reading : StretchReading or ValueReading
    limits : Limits
    in_hand : InHand

    Returns
    -------
    Judgement

    Raises
    ------
    Refused
        When the stage is not a stretch.
    """
    if limits.quantity != "stretch":
        raise Refused(words("this stage is not a stretch; enter what it asks for"))
    if isinstance(reading, ValueReading):
        measured = Measured(convert(float(reading.value), reading.unit, "mm"), 0.0, "mm")
    else:
        measured = stretch_of(reading, in_hand.fastening, in_hand.stretch_gauge)
    ends = {"low": limit_text(limits.low, "mm"), "high": limit_text(limits.high, "mm")}
    if measured.u:
        reason = words(
            "stretched {stretch:.4g} mm ± {spread:.2g} mm (95 %); wanted {low} to {high}",
            stretch=measured.value,
            spread=2 * measured.u,
            **ends,
        )
    else:
        reason = words(
            "stretched {stretch:.4g} mm; wanted {low} to {high}", stretch=measured.value, **ends
        )
    return _by_measured(measured, limits, reason, "torque")


def _by_measured(measured: Measured, limits: Limits, reason: Words, advised: str) -> Judgement:
    """Compare what was measured with the limits, and say what its own uncertainty leaves open."""
    verdict = compared(measured.value, limits)
    reasons = [reason]
    if verdict == WITHIN and measured.u and reaches_past(measured.value, measured.u, limits):
        chance = chance_inside(measured.value, measured.u, limits)
        reasons.append(
            words(
                "the uncertainty of this reading reaches past a limit; the chance that it is "
                "inside is about {chance:.0f} %",
                chance=100 * chance,
            )
        )
    reasons += [*measured.says, limits.words()]
    return replace(judgement(verdict, reasons, advised), measured=measured)
