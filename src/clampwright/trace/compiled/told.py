"""What the compiled analysis is told: criteria and what is given, as plain numbers."""

from __future__ import annotations

import math
from typing import NamedTuple, cast

import numpy as np

from clampwright.trace.compare import angle_limits, torque_limits
from clampwright.trace.given import Given, aimed_torque, expected_rate, yield_torque
from clampwright.trace.limits import limits
from clampwright.trace.model import Floats

HANDLE, ACCUMULATED, OUTPUT = range(3)


class Criteria:
    """The values of the table of criteria that the analysis uses, by their names.

    Only its form: what is passed is a record of an array, whose type the compiler knows by the
    names of its fields.
    """

    release_share: float
    held_share: float
    engaged_share: float
    restart_low: float
    restart_high: float
    back_swing_deg: float
    breakaway_deg: float
    pause_s: float
    hand_s: float
    rest_speed_dps: float
    slip_drop: float
    slip_from: float
    slip_time_s: float
    slip_slow_dps: float
    slip_run_deg: float
    slip_counted_deg: float
    stiffness_given_u: float
    delay_spread_s: float
    delay_u_s: float
    stiffness_trace_u: float
    grid_deg: float
    slope_window_deg: float
    yield_slope_ratio: float
    plateau_slope_ratio: float
    torque_u_rel: float
    clamp_rate_u_rel: float
    strip_drop: float
    strip_turn_deg: float
    necking_slope_ratio: float
    soft_slope_ratio: float
    bottomed_slope_ratio: float
    bottomed_angle_ratio: float
    band_low: float
    band_high: float
    prevailing_share: float
    cross_thread_share: float
    cross_thread_angle_ratio: float
    cross_thread_roughness: float
    stick_slip_share: float
    false_seat_ratio: float
    galling_ratio: float
    galling_steep_ratio: float
    rehit_angle_ratio: float
    rehit_angle_share: float
    rehit_angle_deg: float
    low_yield_ratio: float
    snug_share: float
    wind_up_deg: float
    wind_up_u_rel: float
    strip_rate: float
    vanish_drop: float
    vanish_time_s: float
    vanish_samples: float
    angle_agrees: float
    gap_times: float
    slowest_s: float
    clipped_samples: float
    slip_least: float
    flat_slope_ratio: float
    flat_deg: float
    yield_lacking: float
    rough_samples: float
    gone_share: float
    held_until: float
    slope_least: float
    plateau_least: float
    necking_drop: float
    rehit_total_deg: float
    play_deg: float
    restart_u_rel: float
    backward_deg: float
    yield_place_u_deg: float
    straight_rel: float
    slope_wave_deg: float
    running_share: float
    flat_share: float
    evidence_power: float
    yield_rise_least: float
    yield_window_deg: float
    yield_u_rel: float
    yield_rough: float
    yield_early: float
    yield_rise_early: float
    angle_u_deg: float
    counter_u_deg: float
    snug_u_most_deg: float
    waves_u_rel: float


class Pull(NamedTuple):
    """One pull, and what every later step asks of it."""

    time: Floats
    raw: Floats
    angle: Floats
    torque: Floats  # slightly smoothed
    change: Floats  # of that, N·m/s
    rate: float
    torque_noise: float
    angle_noise: float
    tolerance: float
    top: float  # of the smoothed torque
    peak: float  # of the raw one


class Known:
    """What is given about a pull; what is not known is NaN. Passed as a record, too."""

    mode: float
    by_torque: float
    target: float
    aimed: float
    snug: float
    previous: float
    stiffness: float
    rate: float
    rate_low: float
    rate_high: float
    yield_torque: float
    yield_clamp: float
    clamp_rate: float
    angle_snug_to_target: float
    torque_low: float
    torque_high: float
    angle_low: float
    angle_high: float
    stated_low: float
    stated_high: float
    d: float


def criteria() -> Criteria:
    """Return the criteria as the table has them."""
    table = limits()
    return cast("Criteria", _record(Criteria, {n: table[n].value for n in _names(Criteria)}))


def known(given: Given) -> Known:
    """Put what is given into plain numbers."""
    nominal, rate = given.nominal, expected_rate(given)
    torque, angle = torque_limits(given), angle_limits(given)
    values = {
        "mode": ("handle", "accumulated", "output").index(given.angle_mode or "handle"),
        "by_torque": given.procedure == "torque",
        "target": given.target_torque_Nm,
        "aimed": aimed_torque(given),
        "snug": given.snug_torque_Nm,
        "previous": given.previous_torque_Nm or 0.0,
        "stiffness": given.tool_stiffness_Nm_per_deg,
        "rate": rate,
        "rate_low": nominal.torque_rate_low_Nm_per_deg or rate,
        "rate_high": nominal.torque_rate_high_Nm_per_deg or rate,
        "yield_torque": yield_torque(given),
        "yield_clamp": nominal.combined_yield_clamp_N,
        "clamp_rate": nominal.clamp_rate_N_per_deg,
        "angle_snug_to_target": nominal.angle_snug_to_target_deg,
        "torque_low": torque[0],
        "torque_high": torque[1],
        "angle_low": angle[0],
        "angle_high": angle[1],
        "stated_low": given.torque_low,
        "stated_high": given.torque_high,
        "d": given.d_mm,
    }
    plain = {name: math.nan if v is None else float(v) for name, v in values.items()}
    return cast("Known", _record(Known, plain))


def _names(form: type) -> list[str]:
    return list(form.__annotations__)


def _record(form: type, values: dict[str, float]) -> np.record:
    fields = [(name, np.float64) for name in _names(form)]
    row = np.zeros(1, dtype=np.dtype((np.record, fields)))
    for name in _names(form):
        row[name] = values[name]
    return cast("np.record", row[0])
