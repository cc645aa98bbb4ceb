"""What a reading says of angle, stretch or running torque, with its own uncertainty."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from clampwright.drawer.belongings import StretchGauge
from clampwright.errors import OutOfRange, Refused
from clampwright.joint.model import Fastening
from clampwright.joint.stretch import clamp_from_stretch, thermal_length_change
from clampwright.units import convert
from clampwright.words import Words, words
from clampwright.work.ways_in import (
    GaugeReading,
    MarksReading,
    PhoneReading,
    StretchReading,
    TurningReading,
)

LOADED_U = 1.7
"""Standard uncertainty, degrees, of a dial read while the wrench still pulls: socket and extension
are wound up by an unknown 0 to 3 degrees each way (ours, no source: 3 / sqrt(3))."""
PHONE_LEAST_U = 0.5
"""A phone is never taken as surer than this, degrees (ours; see docs/validation/phone-angle.md)."""
BOLT_U_REL = 0.07
"""Relative standard uncertainty of a computed resilience of a bolt between its ends: how much of
head and engaged thread is in it is not known (ours)."""
THERMOMETER_U = 1.0
"""Standard uncertainty of a difference of two temperatures of a fastener, K (ours)."""
WHOLE_LENGTH = 10.0
"""From here on, mm, a free reading is taken as the whole length of the fastener (ours)."""
FIRST_PEAK = 1.25
"""A first reading so many times the largest later one looks like the peak at the start (ours)."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A quantity with its standard uncertainty.

    Parameters
    ----------
    value, u : float
        In `unit`; u is 0 where nothing is known of it.
    unit : str
        ``deg``, ``mm`` or ``N·m``.
    says : tuple of Words
        How it was reckoned, and what makes it less certain.
    clamp, u_clamp : float or None
        Clamp load that belongs to a stretch, N.
    """

    value: float
    u: float
    unit: str
    says: tuple[Words, ...] = ()
    clamp: float | None = None
    u_clamp: float | None = None


def angle_of(
    reading: MarksReading | GaugeReading | PhoneReading, tool_u: float | None = None
) -> Measured:
    """Return the angle a reading tells.

    Parameters
    ----------
    reading : MarksReading, GaugeReading or PhoneReading
    tool_u : float, optional
        Standard uncertainty of one reading of the gauge in hand, degrees.

    Returns
    -------
    Measured
        Degrees.

    Examples
    --------
    >>> found = angle_of(GaugeReading(Decimal(94), "let_go", play=Decimal(4)), 1.0)
    >>> found.value, round(found.u, 2)
    (92.0, 1.53)
    """
    match reading:
        case MarksReading(turn=turn):
            by_eye = words(
                "each place is read to {step:g}°; wide paint and a slanting look add to it",
                step=turn.step,
            )
            return Measured(turn.angle, turn.u, "deg", (turn.words(), by_eye))
        case PhoneReading():
            return _by_phone(reading)
        case GaugeReading():
            return _by_gauge(reading, tool_u)


def _by_phone(reading: PhoneReading) -> Measured:
    told = words(
        "by the phone's sensor, swings: {swings}; the wind-up of the wrench is in it",
        swings=reading.swings,
    )
    return Measured(float(reading.angle), max(float(reading.u), PHONE_LEAST_U), "deg", (told,))


def _by_gauge(reading: GaugeReading, tool_u: float | None) -> Measured:
    one = tool_u or 0.0
    shares, says = [one], []
    value = float(reading.angle - reading.zero)
    if reading.zero:
        shares.append(one)
        says.append(words("the dial stood at {zero}° before", zero=f"{reading.zero:f}"))
    if reading.play:
        play = float(reading.play)
        value -= play / 2
        shares.append(play / math.sqrt(12))
        says.append(
            words(
                "{play:g}° of free play was not taken up: half of it is taken off, and it adds "
                "to the uncertainty",
                play=play,
            )
        )
    if reading.held == "loaded":
        shares.append(LOADED_U)
        says.append(
            words(
                "read while the wrench still pulled: socket and extension were wound up; read "
                "after letting go, it is surer"
            )
        )
    return Measured(value, math.hypot(*shares), "deg", tuple(says))


def stretch_of(
    reading: StretchReading, fastening: Fastening | None = None, gauge: StretchGauge | None = None
) -> Measured:
    """Return the stretch two sets of lengths tell, and the clamp load where stiffness is known.

    Parameters
    ----------
    reading : StretchReading
    fastening : Fastening, optional
        With its `bolt_resilience` the clamp load is reckoned.
    gauge : StretchGauge, optional
        Its stated limit of error counts.

    Returns
    -------
    Measured
        mm; with the clamp load in N.

    Raises
    ------
    Refused
        When temperatures are told and the whole length of the fastener is not known.

    Notes
    -----
    Mean tight less mean free, less the thermal lengthening. A reading to the nearest division d has
    d / sqrt(12) (JCGM 100:2008, 4.3.7, from memory); where readings are repeated their own scatter
    is taken if it is larger. The gauge's limit of error is rectangular and counted once.

    Examples
    --------
    >>> free, tight = (Decimal("95.02"), Decimal("95.03")), (Decimal("95.15"), Decimal("95.16"))
    >>> found = stretch_of(StretchReading(free, tight, "mm", Decimal("0.01")))
    >>> round(found.value, 3), round(found.u, 4)
    (0.13, 0.0071)
    """
    unit, step = reading.unit, float(reading.step)
    means, u = [], []
    for values in (reading.free, reading.tight):
        mean, own = _mean(values, step)
        means.append(convert(mean, unit, "mm"))
        u.append(convert(own, unit, "mm"))
    if gauge is not None and gauge.limit:
        u.append(gauge.limit / math.sqrt(3))
    warm, u_warm, says = _warmth(reading, means[0])
    stretch, spread = means[1] - means[0] - warm, math.hypot(*u, u_warm)
    clamp, u_clamp, told = _clamp(stretch, spread, fastening)
    return Measured(stretch, spread, "mm", (*says, *told), clamp, u_clamp)


def _mean(values: Sequence[Decimal], step: float) -> tuple[float, float]:
    """Mean of readings, and its standard uncertainty: of the division, or of the scatter."""
    numbers = np.array([float(value) for value in values])
    by_step = step / math.sqrt(12)
    if len(numbers) < 2:
        return float(numbers[0]), by_step
    scatter = float(numbers.std(ddof=1)) / math.sqrt(len(numbers))
    return float(numbers.mean()), max(by_step, scatter)


def _warmth(reading: StretchReading, free: float) -> tuple[float, float, list[Words]]:
    if reading.temperatures is None:
        return 0.0, 0.0, []
    if free < WHOLE_LENGTH:
        raise Refused(
            words(
                "with temperatures the free reading must be the whole length of the fastener: what "
                "the dial shows alone does not say how much warmth lengthens it"
            )
        )
    change = float(reading.temperatures[1] - reading.temperatures[0])
    longer = float(thermal_length_change(free, change))
    u = float(thermal_length_change(free, THERMOMETER_U))
    told = words(
        "{change:+g} K between the readings: {longer:.1f} µm of the lengthening is warmth, taken "
        "off",
        change=change,
        longer=longer * 1000,
    )
    return longer, u, [told]


def _clamp(
    stretch: float, u: float, fastening: Fastening | None
) -> tuple[float | None, float | None, list[Words]]:
    resilience = fastening.bolt_resilience if fastening else None
    if fastening is None or resilience is None or stretch <= 0:
        return None, None, []
    # tension alone: the torsion of tightening has mostly sprung back when it is measured
    limit = fastening.yield_stress * fastening.stress_area if fastening.yield_stress else None
    try:
        clamp = float(clamp_from_stretch(stretch, bolt_resilience=resilience, yield_clamp=limit))
    except OutOfRange as error:
        return None, None, [error.message]
    u_clamp = clamp * math.hypot(u / stretch, BOLT_U_REL)
    told = words(
        "by this stretch it clamps with {clamp:.1f} kN ± {spread:.1f} kN (95 %), friction left out",
        clamp=clamp / 1000,
        spread=2 * u_clamp / 1000,
    )
    return clamp, u_clamp, [told]


def torque_while_turning(reading: TurningReading) -> Measured:
    """Return the mean of torques read while turning, and the uncertainty of that mean.

    Parameters
    ----------
    reading : TurningReading

    Returns
    -------
    Measured
        In the unit they were read in; u is that of the scatter alone, the tool's comes besides.

    Examples
    --------
    >>> read = TurningReading((Decimal("1.2"), Decimal("1.4"), Decimal("1.3")), "N·m")
    >>> found = torque_while_turning(read)
    >>> round(found.value, 2), round(found.u, 3)
    (1.3, 0.058)
    """
    values = np.array([float(value) for value in reading.values])
    spread = float(values.std(ddof=1)) if len(values) > 1 else 0.0
    says = [
        words(
            "{count} readings while turning: mean {mean:.3g} {unit}, from {low:g} to {high:g}",
            count=len(values),
            mean=float(values.mean()),
            unit=reading.unit,
            low=float(values.min()),
            high=float(values.max()),
        )
    ]
    if reading.peak is not None:
        says.append(
            words(
                "{peak} {unit} to break it loose is left out: friction at rest is higher than "
                "while turning",
                peak=f"{reading.peak:f}",
                unit=reading.unit,
            )
        )
    elif len(values) > 2 and values[0] > FIRST_PEAK * values[1:].max():
        says.append(
            words(
                "the first reading stands out: if it is the peak at the start, enter it as such, "
                "so that it is left out"
            )
        )
    if len(values) == 1:
        says.append(words("one reading alone shows no spread: read several while it turns"))
    return Measured(
        float(values.mean()), spread / math.sqrt(len(values)), reading.unit, tuple(says)
    )
