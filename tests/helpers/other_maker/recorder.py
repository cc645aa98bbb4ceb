"""What the sensors make of the motion, and what a person would say of the joint."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from clampwright.trace.model import Trace
from clampwright.trace.rate import angle_from_rate
from other_maker.hand import FINE
from other_maker.joint import Floats, Joint


def recorded(
    rng: np.random.Generator,
    pattern: str,
    joint: Joint,
    column: str,
    motion: tuple[Floats, Floats, Floats, Floats],
) -> tuple[Trace, float]:
    """Put the motion through sensors, filters, rounding and a clock."""
    time, handle, torque, nut = motion
    rates = (
        [100.0, 200.0, 400.0, 1000.0]
        if pattern == "stick_slip"
        else [
            50.0,
            80.0,
            100.0,
            200.0,
            250.0,
            500.0,
            1000.0,
        ]
    )
    rate = float(rng.choice(rates))
    angle = {"output": nut - nut[0]}.get(column, handle)
    if column == "accumulated":
        over = torque > joint.target * rng.uniform(0.02, 0.06)
        step = np.diff(handle, prepend=handle[0])
        angle = np.cumsum(np.where(over, np.maximum(step, 0.0), 0.0))
    seen = torque * rng.uniform(0.996, 1.004)
    if pattern != "stick_slip" and rng.random() < 0.4:
        seen = _one_pole(seen, rng.uniform(20.0, 80.0))
    at = np.arange(time[0] + rng.uniform(0, 1.0 / rate), time[-1], 1.0 / rate)
    if rng.random() < 0.3:
        at = at + rng.uniform(-0.2, 0.2, len(at)) / rate
    if rng.random() < 0.3:
        at = at[rng.random(len(at)) > 0.006]
    seen, angle = np.interp(at, time, seen), np.interp(at, time, angle)
    seen = seen + joint.target * rng.uniform(0.0003, 0.005) * rng.normal(size=len(at))
    digit = float(rng.choice([0.01, 0.05, 0.1, 0.001 * joint.target, 0.0025 * joint.target]))
    seen = np.round(seen / digit) * digit
    places = 3 if rate <= 500 and rng.random() < 0.5 else 5
    stamps = np.asarray(np.round(at, places), dtype=np.float64)
    if column == "rate":
        speed = np.gradient(angle, at) * (1.0 + rng.normal(0.0, 0.004))
        speed = speed + rng.normal(0.0, 0.5) + rng.normal(0.0, rng.uniform(0.05, 0.2), len(at))
        speed = np.asarray(np.round(speed / 0.0625) * 0.0625, dtype=np.float64)
        turned, told = angle_from_rate(stamps, speed, seen)
        return Trace(stamps, seen, turned, "handle", (told,)), rate
    angle = angle + rng.uniform(0.0, 0.15) * rng.normal(size=len(at))
    grid = float(rng.choice([0.01, 0.1, 0.1, 0.25, 0.5, 1.0], p=[0.2, 0.25, 0.2, 0.15, 0.15, 0.05]))
    angle = np.round((angle + rng.uniform(-200, 200)) / grid) * grid
    return Trace(stamps, seen, angle, column), rate  # type: ignore[arg-type]  # the columns are modes


def _one_pole(values: Floats, hertz: float) -> Floats:
    keep = math.exp(-2.0 * math.pi * hertz / FINE)
    taps = (1.0 - keep) * keep ** np.arange(int(8.0 * FINE / hertz / 6.28) + 1)
    padded = np.pad(values, (len(taps) - 1, 0), mode="edge")
    return np.convolve(padded, taps / taps.sum(), mode="valid")


def given_of(
    rng: np.random.Generator,
    joint: Joint,
    stiffness: float,
    rate: float,
    column: str,
    *,
    exact: bool,
) -> dict[str, Any]:
    off = 0.0 if exact else rng.uniform(-0.05, 0.05)
    stiff = stiffness * (1.0 if exact else rng.uniform(0.85, 1.15))
    known: float | None = None if rng.random() < 0.3 else round(stiff, 2)
    clamp_rate = joint.clamp_rate * (1.0 + off)
    torque_angle = joint.angle is not None
    nominal: dict[str, float | None] = {
        "K": round(joint.nut_factor, 4),
        "clamp_rate_N_per_deg": round(clamp_rate, 2),
        "torque_rate_Nm_per_deg": round(joint.nut_factor * joint.d * clamp_rate / 1000.0, 4),
        "clamp_at_target_N": round(joint.target / joint.nut_factor / joint.d * 1000.0),
        "angle_snug_to_target_deg": round((joint.target - joint.snug) / joint.rate, 1),
        "combined_yield_clamp_N": round(joint.yield_clamp),
    }
    given: dict[str, Any] = {
        "d_mm": joint.d,
        "P_mm": joint.pitch,
        "grip_mm": round(joint.grip, 1),
        "Rp_MPa": joint.strength,
        "target_torque_Nm": joint.target,
        "snug_torque_Nm": joint.snug,
        "procedure": "torque_angle" if torque_angle else "torque",
        "angle_steps_deg": [joint.angle] if torque_angle else [],
        "nominal": nominal,
        "tool_stiffness_Nm_per_deg": known,
        "sample_rate_hz": rate,
        "angle_mode": "handle" if column == "rate" else column,
    }
    if torque_angle and rng.random() < 0.3:
        # a torque-angle stage often states no torque but the one it counts from
        given["target_torque_Nm"] = float(joint.snug) if rng.random() < 0.5 else None
        nominal["angle_snug_to_target_deg"] = None
        nominal["clamp_at_target_N"] = None
    return given
