"""Uncertainty and scatter of clamp load; outliers within a joint."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np

from clampwright.joint._checks import Floats
from clampwright.joint.outlier_limits import grubbs_limit, modified_z_limit
from clampwright.joint.outliers import grubbs, modified_z, quartiles, tukey_fences
from clampwright.joint.torque_tension import torque_shares
from clampwright.joint.uncertainty import clamp_u_rel, nut_factor_u_rel, rectangular_u

Numbers = dict[str, float]

SAMPLES = 200_000
NODES = 24
SEED = 20_260_108


def torque_error(*, limit: float, reading: float, **_: Any) -> Numbers:
    """Tool within a limit (rectangular), alone and with the reading."""
    tool = float(rectangular_u(limit))
    return {"tool": tool, "both": math.hypot(tool, reading)}


def clamp_error(
    *, P: float, d2: float, bearing_diameter: float, mu_thread: float, mu_bearing: float,
    u_mu: float, correlation: float, limit: float, reading: float, torque: float, **_: Any,
) -> Numbers:  # fmt: skip
    """Nut factor and clamp load by the linear law, and by sampling normal friction."""
    shares = torque_shares(P=P, d2=d2, bearing_diameter=bearing_diameter, mu_thread=mu_thread,
                           mu_bearing=mu_bearing)  # fmt: skip
    u_torque = torque_error(limit=limit, reading=reading)["both"]
    factor = float(nut_factor_u_rel(shares, mu_thread_u_rel=u_mu, mu_bearing_u_rel=u_mu,
                                    correlation=correlation))  # fmt: skip
    clamp = clamp_u_rel(torque=torque, torque_u_rel=u_torque, nut_factor_u_rel=factor)
    parts = (float(shares.lead), float(shares.thread), float(shares.bearing))
    return {"K": factor, "F": float(clamp)} | _sampled(parts, u_torque, u_mu, correlation)


@lru_cache(maxsize=8)
def _sampled(
    shares: tuple[float, float, float], u_torque: float, u_mu: float, correlation: float
) -> Numbers:
    def force(torque: Floats, thread: Floats, own: Floats) -> Floats:
        bearing = correlation * thread + math.sqrt(1.0 - correlation**2) * own
        factor = shares[0] + shares[1] * (1 + u_mu * thread) + shares[2] * (1 + u_mu * bearing)
        return (1.0 + u_torque * torque) / factor

    # Mean and spread without noise, by Gauss and Hermite; the ends of the interval by sampling.
    z, w = np.polynomial.hermite_e.hermegauss(NODES)
    w = w / w.sum()
    on_nodes = force(z[:, None, None], z[None, :, None], z[None, None, :])
    weight = w[:, None, None] * w[None, :, None] * w[None, None, :]
    mean = float((weight * on_nodes).sum())
    sd = math.sqrt(float((weight * (on_nodes - mean) ** 2).sum()))
    drawn = force(*np.random.default_rng(SEED).standard_normal((3, SAMPLES)))
    low, high = np.quantile(drawn, [0.025, 0.975])
    return {
        "sd": sd,
        "mean": mean - 1.0,
        "low": float(low),
        "high": float(high),
    }


def grubbs_of(*, values: list[float], side: Any = "both", **_: Any) -> Numbers:
    """Grubbs' statistic and limit of a set."""
    found = grubbs(values, side=side)
    return {"G": found.statistic, "limit": found.limit, "outlier": float(found.outlier)}


def grubbs_limit_of(*, count: float, alpha: float = 0.05, sides: float = 2.0, **_: Any) -> float:
    """Limit of Grubbs' test."""
    return grubbs_limit(int(count), alpha=alpha, sides=int(sides))


def modified_z_of(*, values: list[float], number: float, **_: Any) -> float:
    """Return the modified z of one value (numbered from 1)."""
    return float(modified_z(values)[int(number) - 1])


def modified_z_limits(*, count: float, **_: Any) -> Numbers:
    """Limit for a family error of 5 %, and the false alarms of the usual limit."""
    found = modified_z_limit(int(count))
    return {"limit": found.limit, "false_alarms": found.false_alarms}


def quarters(*, values: list[float], rule: Any = "linear", **_: Any) -> Numbers:
    """Quartiles and fences of a set."""
    (q1, q3), (low, high) = quartiles(values, rule=rule), tukey_fences(values, rule=rule)
    return {"q1": q1, "q3": q3, "low": low, "high": high}
