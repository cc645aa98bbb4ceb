"""Examples of the guides to measurement uncertainty."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from clampwright.distributions import normal_quantile, t_quantile
from clampwright.joint.line_fit import fit_line
from clampwright.joint.monte_carlo import monte_carlo
from clampwright.joint.propagation import (
    combined_u,
    propagate,
    truncated,
    welch_satterthwaite,
)
from clampwright.joint.uncertain import (
    ArcSine,
    CurvilinearTrapezoid,
    Distribution,
    Normal,
    Rectangular,
    ScaledT,
)

Numbers = dict[str, Any]

SAMPLES = 500_000
SEED = 20_260_101
_FIFTY_MM = 50_000_000.0
"""Nominal length of the end gauge, nm."""


def student(*, share: float, dof: float, **_: Any) -> float:
    """Coverage factor of Student's t, two-sided."""
    return t_quantile(0.5 + share / 2.0, dof)


def components(*, u: list[float], dof: list[float], share: float = 0.99, **_: Any) -> Numbers:
    """Combine standard uncertainties: u, effective degrees of freedom, expanded."""
    total, effective = combined_u(u), welch_satterthwaite(u, dof)
    factor = t_quantile(0.5 + share / 2.0, truncated(effective))
    return {
        "u": total,
        "dof": effective,
        "factor": factor,
        "U": factor * total,
        "U_of_rounded": factor * round(total),
    }


def rounded_dof(*, u: list[float], dof: list[float], rounded: float, **_: Any) -> float:
    """Effective degrees of freedom with the combined uncertainty as the guide rounds it."""
    return welch_satterthwaite(u, dof) * (rounded / combined_u(u)) ** 4


def straight_line(
    *, x: list[float], y: list[float], x0: float = 0.0, at: float = 0.0, **_: Any
) -> Numbers:
    """Fit a line; value and uncertainty at a place."""
    line = fit_line(x, y, x0=x0)
    return {
        "intercept": line.intercept,
        "u_intercept": line.u_intercept,
        "slope": line.slope,
        "u_slope": line.u_slope,
        "correlation": line.correlation,
        "s": line.residual_s,
        "sum": line.sum_of_squares,
        "t": line.t,
        "at": line.at(at),
        "u_at": line.u_at(at),
    }


def sum_of_four_normal(*, u: float, **_: Any) -> Numbers:
    """Sum of four normal inputs by the law of propagation (JCGM 101, 9.2.2)."""
    law = propagate(lambda a, b, c, d: a + b + c + d, dict.fromkeys("abcd", Normal(0.0, u)))
    return {"u": law.u, "half": law.expanded()}


def sum_of_four_rectangular(*, half_width: float, share: float = 0.95, **_: Any) -> Numbers:
    """Sum of four rectangular inputs: law of propagation, sampling, exact (JCGM 101, 9.2.3).

    The sum has the density of Irwin and Hall; beyond three half widths a tail is a fourth power.
    """
    inputs = dict.fromkeys("abcd", Rectangular(-half_width, half_width))
    law = propagate(lambda a, b, c, d: a + b + c + d, inputs)
    # P(|S| > s) = 2 (4 − s/a)^4 / (2^4 4!) for s from 2 a to 4 a
    exact = half_width * (4.0 - (192.0 * (1.0 - share)) ** 0.25)
    return {"u": law.u, "half": normal_quantile(0.5 + share / 2.0) * law.u, "exact": exact}


_KINDS: dict[str, Callable[..., Distribution]] = {
    "normal": Normal,
    "rectangular": Rectangular,
    "arcsine": ArcSine,
    "trapezoid": CurvilinearTrapezoid,
    "t": ScaledT,
}


def _distributions(given: Mapping[str, str]) -> dict[str, Distribution]:
    """Read inputs such as ``normal 1.234 0.020`` or ``rectangular 1.10 1.30``."""
    found = {}
    for name, text in given.items():
        kind, *numbers = text.split()
        found[name] = _KINDS[kind](*(float(number) for number in numbers))
    return found


def _mass(*, m: Any, dm: Any, air: Any, weight: Any, reference: Any) -> Any:
    """Difference from nominal mass, mg (JCGM 101, 9.3)."""
    return (m + dm) * (1.0 + (air - 1.2) * (1.0 / weight - 1.0 / reference)) - 100_000.0


def mass_calibration(*, order: float, **inputs: str) -> Numbers:
    """Mass calibration by the law of propagation, terms of first or second order, mg."""
    law = propagate(_mass, _distributions(inputs), second_order=order > 1.0)
    low, high = law.interval()
    return {"value": law.value, "u": law.u, "low": low, "high": high}


def mass_calibration_sampled(**inputs: str) -> Numbers:
    """Mass calibration by Monte Carlo, mg."""
    found = monte_carlo(_mass, _distributions(inputs), seed=SEED, samples=SAMPLES)
    low, high = found.symmetric()
    first, last = found.shortest()
    return {"value": found.value, "u": found.u, "low": low, "high": high, "width": last - first}


def _gauge(
    *, ls: Any, difference: Any, random: Any, systematic: Any, expansion: Any,
    mean_temperature: Any, swing: Any, expansion_gap: Any, temperature_gap: Any,
) -> Any:  # fmt: skip
    """Length of the end gauge, nm (JCGM 101, 9.5)."""
    shift = expansion_gap * (mean_temperature + swing) + expansion * temperature_gap
    return ls + difference + random + systematic - ls * shift


def end_gauge_sampled(**inputs: str) -> Numbers:
    """End gauge by Monte Carlo: deviation from 50 mm and its uncertainty, nm."""
    found = monte_carlo(_gauge, _distributions(inputs), seed=SEED, samples=SAMPLES)
    low, high = found.symmetric(0.99)
    return {
        "value": found.value - _FIFTY_MM,
        "u": found.u,
        "low": low - _FIFTY_MM,
        "high": high - _FIFTY_MM,
    }


def _linear_gauge(*, ls: Any, d: Any, da: Any, th: Any, a: Any, dt: Any) -> Any:
    """Length of the end gauge, nm (JCGM 100, H.1)."""
    return ls + d - ls * (da * th + a * dt)


def end_gauge(*, order: float, **inputs: str) -> Numbers:
    """End gauge by the law of propagation: deviation from 50 mm, nm."""
    law = propagate(_linear_gauge, _distributions(inputs), second_order=order > 1.0)
    return {"value": law.value - _FIFTY_MM, "u": law.u, "dof": law.dof or math.nan}
