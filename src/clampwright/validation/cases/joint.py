"""Torque, tension, stress and stiffness: examples of more than one step."""

from __future__ import annotations

from typing import Any

from clampwright.joint import _arms, nut_factor, power_screw, stiffness, stress, torque_tension
from clampwright.joint.cone import parts_resilience
from clampwright.joint.evaluation import clamp_from_torque_pair
from clampwright.joint.frusta import frusta
from clampwright.joint.rival_stiffness import gasket_stiffness
from clampwright.joint.stripping import bolt_shear_area, nut_shear_area, stripping
from clampwright.joint.thread_limits import weakest_limits

Numbers = dict[str, float]


def torque_parts(
    *, clamp: float, P: float, d2: float, bearing_diameter: float, mu_thread: float,
    mu_bearing: float, **_: Any,
) -> Numbers:  # fmt: skip
    """Torque of the long form and its three parts."""
    geometry = {"P": P, "d2": d2, "bearing_diameter": bearing_diameter}
    friction = {"mu_thread": mu_thread, "mu_bearing": mu_bearing}
    total = float(torque_tension.torque_from_clamp(clamp, **geometry, **friction))
    shares = torque_tension.torque_shares(**geometry, **friction)
    return {
        "total": total,
        "lead": total * float(shares.lead),
        "thread": total * float(shares.thread),
        "bearing": total * float(shares.bearing),
    }


def nut_factor_line(*, d: float, P: float, d2: float, bearing_diameter: float, **_: Any) -> Numbers:
    """Straight line of the nut factor over one friction coefficient for thread and head."""
    ends = [
        float(nut_factor.nut_factor(
            d=d, P=P, d2=d2, bearing_diameter=bearing_diameter, mu_thread=mu, mu_bearing=mu))
        for mu in (0.0, 1.0)
    ]  # fmt: skip
    return {"intercept": ends[0], "slope": ends[1] - ends[0]}


def loosened(
    *, clamp: float, P: float, d2: float, bearing_diameter: float, mu_thread: float,
    mu_bearing: float, **_: Any,
) -> Numbers:  # fmt: skip
    """Loosening over tightening torque, and the clamp load back from the pair."""
    args = {"P": P, "d2": d2, "bearing_diameter": bearing_diameter, "mu_thread": mu_thread,
            "mu_bearing": mu_bearing}  # fmt: skip
    on = float(torque_tension.torque_from_clamp(clamp, **args))
    off = float(torque_tension.loosening_torque(clamp, **args))
    return {"ratio": off / on, "clamp": float(clamp_from_torque_pair(on, off, P=P))}


def hand_torque_at_yield(
    *, yield_stress: float, stress_area: float, P: float, d2: float, bearing_diameter: float,
    mu: float, utilisation: float, **_: Any,
) -> float:  # fmt: skip
    """Torque with the printed coefficients at a share of the yield stress."""
    clamp = stress.yield_clamp(yield_stress=yield_stress, stress_area=stress_area, P=P, d2=d2,
                               mu_thread=mu, utilisation=utilisation)  # fmt: skip
    torque = power_screw.torque_from_clamp_vdi_printed(
        clamp, P=P, d2=d2, bearing_diameter=bearing_diameter, mu_thread=mu, mu_bearing=mu
    )
    return float(torque)


def yield_share(
    *, stress_area: float, P: float, d2: float, mu_thread: float, torsion: Any, **_: Any
) -> float:
    """Clamp load at the onset of yield over that without torsion."""
    return 1.0 / float(stress.combined_factor(
        stress_area=stress_area, P=P, d2=d2, mu_thread=mu_thread, torsion=torsion))  # fmt: skip


def thread_torque_in_printed_figures(
    *, clamp: float, P: float, d2: float, mu_thread: float, **_: Any
) -> float:
    """Thread torque with the guideline's 1.155."""
    pitch, diameter, mu = _arms.checked_thread(P, d2, mu_thread)
    return clamp * float(stress.linear_arm(pitch, diameter, mu)) / _arms.N_MM_PER_N_M


def bolt_pieces(
    *, d: float, d3: float, thread_length: float, shank_length: float | None = None,
    E_tapped: float | None = None, **_: Any,
) -> Numbers:  # fmt: skip
    """Resilience of every piece of a bolt, and of all."""
    pieces = stiffness.bolt_segments(
        d=d, d3=d3, shank=[] if shank_length is None else [(shank_length, d)],
        thread_length=thread_length, counterpart="nut" if E_tapped is None else "tapped",
        E_tapped=E_tapped,
    )  # fmt: skip
    found = {piece.part: float(piece.resilience) for piece in pieces}
    return found | {"all": float(stiffness.bolt_resilience(pieces))}


def hard_joint(
    *, d: float, P: float, d3: float, thread_length: float, shank_length: float,
    bearing_outer: float, hole: float, outside: float, E_parts: float, **_: Any,
) -> Numbers:  # fmt: skip
    """Resiliences and clamp rate of a through bolt with one plain shank."""
    bolt = bolt_pieces(d=d, d3=d3, thread_length=thread_length, shank_length=shank_length)["all"]
    cone = parts_resilience(grip=shank_length + thread_length, bearing_outer=bearing_outer,
                            hole=hole, outside=outside, E=E_parts)  # fmt: skip
    parts = float(cone.resilience)
    rate = float(stiffness.clamp_rate(P=P, bolt_resilience=bolt, parts_resilience=parts))
    return {"bolt": bolt, "parts": parts, "rate": rate}


def angle_to_clamp(*, clamp: float, **joint: Any) -> float:
    """Angle from the elastic origin to a clamp load in a hard joint."""
    return clamp / hard_joint(**joint)["rate"]


def torque_rate(*, nut_factor: float, d: float, **joint: Any) -> float:
    """Torque per degree in a hard joint."""
    rate = hard_joint(d=d, **joint)["rate"]
    return float(stiffness.torque_rate(clamp_rate=rate, d=d, nut_factor=nut_factor))


def gasket_joint(
    *, E_gasket: float, gasket_area: float, gasket_thickness: float, count: float, P: float,
    **joint: Any,
) -> Numbers:  # fmt: skip
    """Stiffness of gasket and steel in series, and the clamp rate that is left."""
    hard = hard_joint(P=P, **joint)
    gasket = float(gasket_stiffness(E_gasket=E_gasket, area=gasket_area,
                                    thickness=gasket_thickness, count=int(count)))  # fmt: skip
    parts = hard["parts"] + 1.0 / gasket
    rate = stiffness.clamp_rate(P=P, bolt_resilience=hard["bolt"], parts_resilience=parts)
    return {"gasket": gasket, "series": 1.0 / parts, "rate": float(rate)}


def double_frustum(*, d: float, grip: float, E: float, **_: Any) -> float:
    """Stiffness of one material by two frusta that meet in the middle."""
    return frusta([(grip, E)], d=d).stiffness


def thread_pair(
    *, d: float, P: float, stress_area: float, length: float, bolt_strength: float,
    nut_strength: float, width_ratio: float | None = None, **_: Any,
) -> Numbers:  # fmt: skip
    """Strip a metric thread at its weakest limits of size."""
    weak = weakest_limits(d=d, P=P)
    bolt_area = float(bolt_shear_area(length, P=P, D1=weak.D1_max, d2=weak.d2_min))
    nut_area = float(nut_shear_area(length, P=P, d=weak.d_min, D2=weak.D2_max))
    found = stripping(
        bolt_area=bolt_area, nut_area=nut_area, stress_area=stress_area,
        bolt_strength=bolt_strength, nut_strength=nut_strength, width_ratio=width_ratio,
    )  # fmt: skip
    return {
        "bolt_area": bolt_area,
        "nut_area": nut_area,
        "R": float(found.strength_ratio),
        "C1": float(found.dilation),
        "C2": float(found.bolt_bending),
        "C3": float(found.nut_bending),
        "bolt_thread": float(found.bolt_thread),
        "nut_thread": float(found.nut_thread),
        "bolt": float(found.bolt),
        "bolt_first": float(str(found.first) == "bolt"),
    }
