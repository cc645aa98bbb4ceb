"""Torque tools: deviation, budget, comparison, conformity, intervals, drift, look-back."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from clampwright.drawer.calibration import deviation_percent, reference_of
from clampwright.drawer.metrology import (
    capability,
    comparison,
    conformity,
    intervals,
    look_back,
    straight_line,
)
from clampwright.drawer.metrology.readings import point_result, tool_budget
from clampwright.joint.line_fit import fit_line

Numbers = dict[str, Any]

SAMPLES = 400_000
SEED = 20_260_102


def acceptable_reference(*, indicated: float, limit_percent: float, **_: Any) -> Numbers:
    """Lowest and highest reference reading within a permissible deviation."""
    return {
        "low": reference_of(indicated, limit_percent),
        "high": reference_of(indicated, -limit_percent),
    }


def point(*, set_value: float, readings: list[float], limit: float | None = None,
          **_: Any) -> Numbers:  # fmt: skip
    """Deviations of the readings at one point."""
    found = point_result(set_value, readings, limit=limit)
    return {
        "deviations": list(found.deviations),
        "mean": found.mean_deviation,
        "of_mean": deviation_percent(set_value, found.mean_reference),
        "reference": found.mean_reference,
        "spread": found.spread,
        "passes": float(bool(found.passes)),
    }


def budget(
    *, set_value: float, readings: list[float], resolution: float, device_W: float,
    sequences: list[float], drives: list[float], interfaces: list[float], grips: list[float],
    single: float = 0.0, **_: Any,
) -> Numbers:  # fmt: skip
    """Uncertainty budget of a tool at one point, percent."""
    found = tool_budget(
        set_value=set_value, readings=readings, resolution=resolution, device_W=device_W,
        sequence_means=sequences, drive_means=drives, interface_means=interfaces,
        grip_means=grips, single_pull=single > 0.0,
    )  # fmt: skip
    widths = {"sequences": sequences, "drives": drives, "interfaces": interfaces, "grips": grips}
    return {
        **{part.name: part.w for part in found.parts},
        **{name: max(row) - min(row) for name, row in widths.items()},
        "w": found.w,
        "W": found.W,
        "W_prime": found.W_prime,
    }


@lru_cache(maxsize=4)
def _drawn(parts: tuple[tuple[str, float], ...]) -> tuple[float, float]:
    rng = np.random.default_rng(SEED)
    total = np.zeros(SAMPLES)
    for kind, w in parts:
        if kind == "normal":
            total += rng.normal(0.0, w, SAMPLES)
        else:
            total += rng.uniform(-1.0, 1.0, SAMPLES) * w * 3.0**0.5
    return float(total.std()), float(np.quantile(np.abs(total), 0.95))


def budget_sampled(*, set_value: float, **given: Any) -> Numbers:
    """Check the same budget by random draws: standard deviation and 95 % half width, percent."""
    found = tool_budget(
        set_value=set_value, readings=given["readings"], resolution=given["resolution"],
        device_W=given["device_W"], sequence_means=given["sequences"],
        drive_means=given["drives"], interface_means=given["interfaces"],
        grip_means=given["grips"],
    )  # fmt: skip
    sd, half = _drawn(tuple((part.distribution, part.w) for part in found.parts))
    return {"sd": sd, "half": half}


def normalized(*, value: float, U: float, reference: float, U_reference: float,
               correlation: float = 0.0, **_: Any) -> float:  # fmt: skip
    """Return the normalized error."""
    found = comparison.normalized_error(
        value, U=U, reference=reference, U_reference=U_reference, correlation=correlation
    )
    return float(found)


def pairs(*, tool: list[float], reference: list[float], paired: float = 1.0, **_: Any) -> Numbers:
    """Difference of two tools, in pairs or not."""
    compare = comparison.paired_difference if paired else comparison.unpaired_difference
    found = compare(tool, reference)
    return {name: getattr(found, name) for name in ("mean", "s", "t", "dof", "p", "low", "high")}


def agreement(*, first: list[float], second: list[float], **_: Any) -> Numbers:
    """Limits of agreement."""
    found = comparison.agreement(first, second)
    row = comparison.paired_difference(first, second)
    names = ("mean", "s", "low", "high", "u_mean", "u_limit", "correlation")
    return {name: getattr(found, name) for name in names} | {"p": row.p}


def conforms(*, value: float, u: float, low: float | None = None, high: float | None = None,
             **_: Any) -> float:  # fmt: skip
    """Probability of conformance."""
    return conformity.conformance_probability(value, u=u, low=low, high=high)


def acceptance(*, limit: float, u: float, confidence: float, **_: Any) -> float:
    """Return the acceptance limit with the guard band of a probability of conformance."""
    return limit - conformity.guard_band(u, confidence=confidence)


def action(*, limit: float, u_rel: float, confidence: float, **_: Any) -> float:
    """Measured value from which one may be that sure."""
    return conformity.action_threshold(limit, u_rel=u_rel, confidence=confidence)


def risks(*, scatter: float, u: float, limit: float, acceptance: float | None = None,
          **_: Any) -> Numbers:  # fmt: skip
    """Global risks of testing tools."""
    found = conformity.global_risk(scatter=scatter, u=u, limit=limit, acceptance=acceptance)
    return {
        "bad": found.bad,
        "accepted": found.wrongly_accepted,
        "rejected": found.wrongly_rejected,
    }


def reliability(*, interval: float, good: float, total: float, target: float, **_: Any) -> Numbers:
    """Interval for a reliability target, and the interval of the observed share."""
    found = intervals.interval_for_reliability(
        interval, good=int(good), total=int(total), target=target
    )
    low, high = intervals.binomial_interval(int(good), int(total))
    return {"length": found.length, "low": low, "high": high}


def drift(*, x: list[float], y: list[float], limit: float, at: float, **_: Any) -> Numbers:
    """Drift of a tool: line, where it and its bound reach a limit, both at a time."""
    line = fit_line(x, y)
    return {
        "slope": line.slope,
        "intercept": line.intercept,
        "u_slope": line.u_slope,
        "u_intercept": line.u_intercept,
        "s": line.residual_s,
        "mean_crossing": straight_line.time_to_limit(line, limit),
        "bound_crossing": straight_line.bound_to_limit(line, limit),
        "at": line.at(at),
        "bound": line.bound(at, side="low"),
    }


def found_out(
    *, before: float, found: float, window: float, limit: float, u: float = 0.0, time: float = 0.0,
    setting: float = 100.0, **_: Any,
) -> Numbers:  # fmt: skip
    """Tool found out: crossing, deviation, torque and chances at a time."""
    what = look_back.Finding(before, found, window, u, u)
    deviation = float(look_back.drifted(what, time))
    result: Numbers = {
        "crossing": look_back.drift_crossing(what, limit),
        "deviation": deviation,
        "torque": reference_of(setting, deviation),
        "torque_found": reference_of(setting, found),
        "chance": float(look_back.beyond_by_drift(what, time, limit)),
        "shifted": float(look_back.shifted_before(what, time)),
    }
    if u > 0.0:
        low, high = look_back.drift_crossing_range(what, limit)
        result |= {"earliest": low, "latest": high}
    return result


def capable(
    *, mean: float, s: float, low: float, high: float, target: float | None = None,
    n: float = 50.0, **_: Any,
) -> Numbers:  # fmt: skip
    """Capability indices and the intervals of the first two."""
    found = capability.capability(mean=mean, s=s, low=low, high=high, target=target)
    return {
        "Cp": found.spread,
        "Cpk": found.worst_side,
        "k": found.off_centre,
        "Cpm": found.on_target,
        "Cp_interval": list(capability.spread_interval(found.spread, n=int(n))),
        "Cpk_interval": list(capability.worst_side_interval(found.worst_side, n=int(n))),
    }


def drag_torque(*, table: float, drag: float, **_: Any) -> float:
    """Torque to set where the friction drag of a locking nut is added to the table value."""
    return table + drag
