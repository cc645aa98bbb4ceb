"""Pattern, fault, verdict and likelihoods of a row; see `patterns`, `verdict` and `likelihood`."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from clampwright.trace.compiled import seen as s
from clampwright.trace.compiled.keep import compiled
from clampwright.trace.compiled.told import Criteria, Known
from clampwright.trace.model import Floats
from clampwright.trace.patterns import PATTERNS

(
    NORMAL, PAUSE, SOFT_JOINT, PLASTIC, CROSS_THREAD, FALSE_SEAT, BOTTOMED, STICK_SLIP, STRIPPED,
    NECKING, PREVAILING_HIGH, SLOPE_OUT_OF_BAND, REHIT, SLIP_OFF, GALLING,
) = range(len(PATTERNS))  # fmt: skip
WITHIN, SHORT, OVER, DOUBTFUL, VOID, NOT_KNOWN = range(6)  # as in verdict.VERDICTS
SOUND = -1


class Tables(NamedTuple):
    """Tables of the likelihoods: logarithm of answers, middle and spread of features, priors."""

    answers: Floats
    middle: Floats
    spread: Floats
    prior: Floats
    widths: Floats  # logarithm of the spreads
    faults: np.ndarray  # verdict that each pattern brings, SOUND where it is no fault


class Ratios(NamedTuple):
    """What was seen against what was expected."""

    slope: float
    angle: float
    angle_expected: float
    room_low: float
    room_high: float


@compiled
def judged(k: Known, c: Criteria, tables: Tables, row: Floats, shares: Floats) -> None:
    """Write pattern, fault and verdict into a row and the likelihoods beside it."""
    r = _ratios(k, row)
    pattern = _pattern(k, c, r, row)
    compared = _by_torque(k, c, r, row) if k.by_torque else _by_angle(k, row)
    fault = tables.faults[pattern]
    if pattern == PLASTIC and _yield_unwanted(k, c, row):
        fault = DOUBTFUL
    row[s.PATTERN], row[s.FAULT] = pattern, fault != SOUND
    row[s.VERDICT] = compared if fault == SOUND else fault
    _likelihoods(pattern, _evidence(k, r, row), c, tables, shares)


@compiled
def _ratios(k: Known, row: Floats) -> Ratios:
    expected = math.nan
    if not math.isnan(k.aimed):
        told = not math.isnan(k.angle_snug_to_target) and k.aimed == k.target
        if k.rate > 0.0 and k.previous > row[s.SNUG_TORQUE]:
            expected = max(k.aimed - k.previous, 0.0) / k.rate
        elif told:
            expected = k.angle_snug_to_target
        elif k.rate > 0.0:
            expected = max(k.aimed - row[s.SNUG_TORQUE], 0.0) / k.rate
    angle = row[s.AFTER] / expected if expected > 0.0 else math.nan
    low = k.rate_low / k.rate if k.rate > 0.0 else 1.0
    high = k.rate_high / k.rate if k.rate > 0.0 else 1.0
    return Ratios(row[s.SLOPE] / k.rate, angle, expected, min(1.0, low), max(1.0, high))


@compiled
def _pattern(k: Known, c: Criteria, r: Ratios, row: Floats) -> int:
    """Return the first pattern that fits, the worse one first."""
    if row[s.SLIPS] > 0:
        return SLIP_OFF
    if _stripped(c, row):
        return STRIPPED
    if _rehit(k, c, r, row):
        return REHIT
    if _cross_thread(k, c, r, row):
        return CROSS_THREAD
    if row[s.ROUGHNESS] >= c.stick_slip_share:
        return STICK_SLIP
    if _galling(k, c, row):
        return GALLING
    return _milder(k, c, r, row)


@compiled
def _milder(k: Known, c: Criteria, r: Ratios, row: Floats) -> int:
    if _bottomed(k, c, r):
        return BOTTOMED
    if _necking(c, row):
        return NECKING
    if _false_seat(k, c, row):
        return FALSE_SEAT
    if row[s.RUNNING] >= c.prevailing_share * k.aimed:
        return PREVAILING_HIGH
    if not math.isnan(row[s.YIELD_ANGLE]) or _on_the_plateau(k, c, row):
        return PLASTIC
    if r.slope <= c.soft_slope_ratio * r.room_low:
        return SOFT_JOINT
    if r.slope < c.band_low * r.room_low or r.slope > c.band_high * r.room_high:
        return SLOPE_OUT_OF_BAND
    return PAUSE if row[s.PAUSES] > 0 else NORMAL


@compiled
def _stripped(c: Criteria, row: Floats) -> bool:
    if row[s.DROP] < c.strip_drop or row[s.DROP_WAY] < c.strip_turn_deg:
        return False
    if row[s.LAST] > (1.0 - c.strip_drop) * row[s.TOP]:
        return False
    return row[s.DROP_WAY] > 0.0 and row[s.DROP] / row[s.DROP_WAY] >= c.strip_rate


@compiled
def _rehit(k: Known, c: Criteria, r: Ratios, row: Floats) -> bool:
    if math.isnan(k.aimed) or math.isnan(row[s.AFTER]) or not k.by_torque:
        return False
    if row[s.PEAK] < 0.8 * k.aimed or row[s.TOTAL] > c.rehit_total_deg:
        return False
    most = c.rehit_angle_deg
    if not math.isnan(r.angle_expected):
        least = max(c.rehit_angle_deg, c.rehit_angle_share * r.angle_expected)
        most = min(c.rehit_angle_ratio * r.angle_expected, least)
    expected = r.angle_expected if r.angle_expected > 0.0 else most
    return row[s.AFTER] < most and expected >= 2.0


@compiled
def _cross_thread(k: Known, c: Criteria, r: Ratios, row: Floats) -> bool:
    if math.isnan(k.aimed) or math.isnan(r.slope) or r.slope > c.soft_slope_ratio:
        return False
    if k.previous > 0.0 or not math.isnan(row[s.YIELD_ANGLE]):
        return False
    expected = 0.0 if math.isnan(r.angle_expected) else r.angle_expected
    long = row[s.WAY_ABOVE] > 180.0 + expected and r.angle > c.cross_thread_angle_ratio
    rough = row[s.ROUGHNESS] > c.cross_thread_roughness
    return long or (rough and row[s.WAY_ABOVE] > 90.0 + expected)


@compiled
def _galling(k: Known, c: Criteria, row: Floats) -> bool:
    early, late = row[s.EARLY], row[s.LATE]
    if math.isnan(late) or math.isnan(k.rate) or not math.isnan(row[s.YIELD_ANGLE]):
        return False
    steep = early > c.bottomed_slope_ratio * k.rate
    least = c.galling_steep_ratio if steep else c.galling_ratio
    if late / max(early, 1e-9) < least or late < c.galling_ratio * k.rate:
        return False
    return early >= c.soft_slope_ratio * k.rate


@compiled
def _bottomed(k: Known, c: Criteria, r: Ratios) -> bool:
    if math.isnan(r.slope) or math.isnan(r.angle):
        return False
    if r.slope < c.bottomed_slope_ratio * r.room_high:
        return False
    return not (k.by_torque and r.angle > c.bottomed_angle_ratio)


@compiled
def _necking(c: Criteria, row: Floats) -> bool:
    if math.isnan(row[s.YIELD_ANGLE]) or math.isnan(row[s.END_SLOPE]):
        return False
    if row[s.END_SLOPE] > c.necking_slope_ratio * row[s.SLOPE] or row[s.DROP_WAY] < 15.0:
        return False
    return row[s.DROP] >= c.necking_drop


@compiled
def _false_seat(k: Known, c: Criteria, row: Floats) -> bool:
    early, late = row[s.EARLY], row[s.LATE]
    if math.isnan(early) or not math.isnan(row[s.YIELD_ANGLE]):
        return False
    if late / max(early, 1e-9) < c.false_seat_ratio:
        return False
    middle = c.soft_slope_ratio * k.rate
    if not math.isnan(k.rate) and not early <= middle <= late:
        return False
    return not row[s.RUNNING] > 0.7 * row[s.SNUG_TORQUE]


@compiled
def _on_the_plateau(k: Known, c: Criteria, row: Floats) -> bool:
    if k.previous == 0.0 or math.isnan(k.rate) or math.isnan(k.yield_torque):
        return False
    if math.isnan(row[s.END_SLOPE]) or math.isnan(row[s.FINAL]):
        return False
    flat = row[s.END_SLOPE] < c.plateau_slope_ratio * k.rate
    return flat and row[s.FINAL] >= c.plateau_least * k.yield_torque


@compiled
def _yield_unwanted(k: Known, c: Criteria, row: Floats) -> bool:
    if k.by_torque:
        return True
    if not math.isnan(row[s.YIELD_CLAMP]) and not math.isnan(k.yield_clamp):
        return row[s.YIELD_CLAMP] < c.low_yield_ratio * k.yield_clamp
    return row[s.FINAL] < c.low_yield_ratio * k.yield_torque  # never so for NaN


@compiled
def _by_torque(k: Known, c: Criteria, r: Ratios, row: Floats) -> int:
    final, low, high = row[s.FINAL], k.torque_low, k.torque_high
    if math.isnan(final) or (math.isnan(low) and math.isnan(high)):
        return NOT_KNOWN
    if final < low:
        return SHORT
    if final > high:
        return OVER
    agrees = abs(r.angle - 1.0) <= c.angle_agrees  # never so for NaN
    if row[s.RESTART_ONLY] == 0.0 or agrees or row[s.BEFORE] >= low:
        return WITHIN
    return DOUBTFUL


@compiled
def _by_angle(k: Known, row: Floats) -> int:
    after, low, high = row[s.AFTER], k.angle_low, k.angle_high
    if math.isnan(low) and math.isnan(high):
        return NOT_KNOWN
    if math.isnan(after) or after < low:
        return SHORT
    if after > high:
        return OVER
    final = row[s.FINAL]
    outside = final < k.stated_low or final > k.stated_high  # never so for NaN
    return DOUBTFUL if outside else WITHIN


@compiled
def _evidence(k: Known, r: Ratios, row: Floats) -> Floats:
    """Return the features that are weighed, NaN where one is not determinable."""
    found = np.full(6, math.nan)
    if not math.isnan(r.slope):
        found[0] = math.log(r.slope)
    if not math.isnan(r.angle):
        found[1] = math.log(max(r.angle, 0.02))
    if not math.isnan(row[s.EARLY]):
        found[2] = math.log(max(row[s.LATE], 1e-3) / max(row[s.EARLY], 1e-3))
    found[3] = math.log(row[s.ROUGHNESS] + 0.002)
    if not math.isnan(row[s.RUNNING]) and k.aimed > 0.0:
        found[4] = math.log(max(row[s.RUNNING] / k.aimed, 0.0) + 0.02)
    found[5] = math.log(row[s.DROP] + 0.01)
    return found


@compiled
def _likelihoods(
    answer: int, evidence: Floats, c: Criteria, tables: Tables, shares: Floats
) -> None:
    best = -np.inf
    for i in range(len(shares)):
        fit = 0.0
        for j in range(len(evidence)):
            if not math.isnan(evidence[j]):
                z = (evidence[j] - tables.middle[i, j]) / tables.spread[i, j]
                fit -= tables.widths[i, j] + 2.0 * math.log1p(z * z / 3.0)
        shares[i] = tables.answers[i, answer] + c.evidence_power * fit
        if tables.prior[i] > 0.0:
            best = max(best, shares[i])
    total = 0.0
    for i in range(len(shares)):
        shares[i] = tables.prior[i] * math.exp(shares[i] - best)
        total += shares[i]
    for i in range(len(shares)):
        shares[i] /= total
