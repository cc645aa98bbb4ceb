"""Examples of textbooks and standards, each as its source solves it."""

from __future__ import annotations

import math
import statistics
from typing import Any

from clampwright.joint import power_screw
from clampwright.joint.engagement import engagement_equal_materials
from clampwright.joint.frusta import frusta, frustum_stiffness, series_stiffness
from clampwright.joint.rival_stiffness import bolt_stiffness, exponential_stiffness
from clampwright.joint.service_load import (
    bolt_load,
    joint_constant,
    load_factor,
    separation_factor,
    yield_factor,
)
from clampwright.joint.stiffness import clamp_rate
from clampwright.units import factor

Numbers = dict[str, float]


def preloaded_bolt(
    *, clamp: float, load: float, bolt_stiffness: float, parts_stiffness: float, stress_area: float,
    **_: Any,
) -> Numbers:  # fmt: skip
    """Stress by preload, joint constant, stress in service (Shigley, Example 8-3(a))."""
    C = float(joint_constant(bolt_stiffness=bolt_stiffness, parts_stiffness=parts_stiffness))
    inside = float(bolt_load(clamp, load=load, joint_constant=C))
    return {"preload": clamp / stress_area, "C": C, "service": inside / stress_area}


def full_torque(
    *, clamp: float, d: float, P: float, minor_area: float, f: float, collar: float, **_: Any
) -> Numbers:
    """Torque by the full equation with mean diameter of major and root (Example 8-3(c))."""
    root = math.sqrt(4.0 * minor_area / math.pi)
    mean = (d + root) / 2.0
    torque = power_screw.torque_from_clamp_power_screw(
        clamp, P=P, d2=mean, bearing_diameter=collar * d, mu_thread=f, mu_bearing=f
    )
    lead = math.degrees(math.atan(P / (math.pi * mean)))
    return {"root": root, "lead": lead, "torque": float(torque)}


def nut_factor_by_root(*, d: float, P: float, root_rule: float, f: float, collar: float,
                       **_: Any) -> float:  # fmt: skip
    """K of the full equation with the root diameter d − c P (Shigley, Eq. 8-26)."""
    mean = (d + d - root_rule * P) / 2.0
    torque = power_screw.torque_from_clamp_power_screw(
        1000.0, P=P, d2=mean, bearing_diameter=collar * d, mu_thread=f, mu_bearing=f
    )
    return float(torque) / d


def vessel(
    *, d: float, stress_area: float, shank_area: float, shank_length: float, thread_length: float,
    E_bolt: float, E_parts: float, proof_stress: float, share: float, load: float,
    load_wanted: float, bolts: float, **_: Any,
) -> Numbers:  # fmt: skip
    """Return the bolts of a vessel and what is in hand (Shigley, Example 8-4)."""
    grip = shank_length + thread_length
    kb = float(bolt_stiffness(shank_area=shank_area, stress_area=stress_area,
                              shank_length=shank_length, thread_length=thread_length,
                              E=E_bolt))  # fmt: skip
    km = frusta([(grip, E_parts)], d=d).stiffness
    fit = float(exponential_stiffness(d=d, grip=grip, E=E_parts, material="grey iron"))
    C = float(joint_constant(bolt_stiffness=kb, parts_stiffness=km))
    clamp = share * proof_stress * stress_area
    needed = C * load_wanted * load / (proof_stress * stress_area - clamp)
    each = load / bolts
    limits = {"proof_stress": proof_stress, "stress_area": stress_area}
    return {
        "kb": kb,
        "km": km,
        "fit": fit,
        "C": C,
        "Fi": clamp,
        "N": needed,
        "bolts": float(math.ceil(needed)),
        "nL": float(load_factor(clamp, load=each, joint_constant=C, **limits)),
        "np": float(yield_factor(clamp, load=each, joint_constant=C, **limits)),
        "n0": float(separation_factor(clamp, load=each, joint_constant=C)),
    }


def listed_frusta(
    *, d: float, faces: list[float], thicknesses: list[float], moduli: list[float],
    stress_area: float, thread_length: float, shank_area: float, shank_length: float,
    E_bolt: float, proof_stress: float | None = None, share: float = 0.75,
    load: float | None = None, **_: Any,
) -> Numbers:  # fmt: skip
    """Frusta as the solution lists them, in series; bolt; joint constant; load factor."""
    cones = [
        float(frustum_stiffness(d=d, face=D, thickness=t, E=E))
        for D, t, E in zip(faces, thicknesses, moduli, strict=True)
    ]
    km = float(series_stiffness(cones))
    kb = float(bolt_stiffness(shank_area=shank_area, stress_area=stress_area,
                              shank_length=shank_length, thread_length=thread_length,
                              E=E_bolt))  # fmt: skip
    C = float(joint_constant(bolt_stiffness=kb, parts_stiffness=km))
    found = {f"k{i}": k for i, k in enumerate(cones, 1)} | {"km": km, "kb": kb, "C": C}
    if proof_stress is not None and load is not None:
        clamp = share * proof_stress * stress_area
        found["Fi"] = clamp
        found["n"] = float(load_factor(clamp, load=load, joint_constant=C,
                                       proof_stress=proof_stress,
                                       stress_area=stress_area))  # fmt: skip
    return found


def preload_sample(*, preloads: list[float], torque: float, d: float, **_: Any) -> Numbers:
    """Mean, scatter and nut factor of bolts tightened to one torque."""
    mean, s = statistics.fmean(preloads), statistics.stdev(preloads)
    return {
        "mean": mean,
        "s": s,
        "cv": s / mean,
        "K": statistics.fmean(1000.0 * torque / (F * d) for F in preloads),
        "K_of_mean": 1000.0 * torque / (mean * d),
    }


def elastic_angle(
    *, clamp: float, P: float, bolt_stiffness: float, parts_stiffness: float, **_: Any
) -> float:
    """Angle to a preload with both parts elastic."""
    rate = clamp_rate(P=P, bolt_resilience=1.0 / bolt_stiffness,
                      parts_resilience=1.0 / parts_stiffness)  # fmt: skip
    return clamp / float(rate)


def engaged_over_diameter(
    *, stress_area: float, P: float, D1_max: float, d2_min: float, d: float, **_: Any
) -> float:
    """Engaged length for equal materials, in diameters."""
    length = engagement_equal_materials(stress_area=stress_area, P=P, D1_max=D1_max, d2_min=d2_min)
    return float(length) / d


def exponential_shape(*, ratio: float, **_: Any) -> float:
    """Stiffness over E d of the general fit at d/l."""
    d, E = 10.0, 200_000.0
    return float(exponential_stiffness(d=d, grip=d / ratio, E=E, material="general")) / (E * d)


def unit_in(*, one: Any, other: Any, **_: Any) -> float:
    """How many of one unit make another."""
    return factor(one, other)
