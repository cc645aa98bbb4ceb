"""Torque, then angle, past yield; and the tool between hand and fastener."""

from __future__ import annotations

import math
from typing import Any

from clampwright.drawer.leverage import fastener_ratio
from clampwright.joint.hardening import gradient_point, hardening_line
from clampwright.joint.model import Fastening
from clampwright.joint.stress_strain import RambergOsgood
from clampwright.joint.torque_angle import Step, follow
from clampwright.standards import profile
from clampwright.trace.relations import bar_stiffness, in_series, rate_angle_uncertainty

Numbers = dict[str, float]


def _bolt(
    *, d: float, P: float, d2: float, d3: float, stress_area: float, bearing_outer: float,
    bearing_inner: float, grip: float, shank_length: float, outside: float, E_parts: float,
    yield_stress: float | None = None, tangent_modulus: float = 2050.0, **_: Any,
) -> Fastening:  # fmt: skip
    return Fastening(
        d=d, P=P, d2=d2, d3=d3, stress_area=stress_area, bearing_outer=bearing_outer,
        bearing_inner=bearing_inner, yield_stress=yield_stress, tangent_modulus=tangent_modulus,
    ).with_simple_joint(
        grip=grip, shank_length=shank_length, outside=outside, E_parts=E_parts
    )  # fmt: skip


def turned(
    *, snug_torque: float, mu_thread: float, mu_bearing: float, angle: float | None = None,
    again: float | None = None, **bolt: Any,
) -> Numbers:  # fmt: skip
    """Clamp load, torque and lasting stretch after a snug torque and up to two angles."""
    fastening = _bolt(**bolt)
    angles = [value for value in (angle, again) if value is not None]
    steps = [Step("snug", snug_torque), *(Step("angle", value) for value in angles)]
    last = follow(fastening, steps, mu_thread=mu_thread, mu_bearing=mu_bearing)[-1]
    stretch = float(last.plastic_stretch) if last.plastic_stretch is not None else math.nan
    length = fastening.plastic_length or math.nan
    rate = fastening.clamp_rate or math.nan
    return {
        "clamp": float(last.clamp),
        "torque": float(last.torque),
        "stretch": stretch,
        "strain": stretch / length,
        "angle": float(last.clamp) / rate,
        "yielded": float(bool(last.yielded)),
    }


def onset_of_yield(*, mu_thread: float, **bolt: Any) -> Numbers:
    """Clamp load and angle at the onset of yield."""
    fastening = _bolt(**bolt)
    clamp = float(fastening.yield_clamp(mu_thread=mu_thread))
    return {"clamp": clamp, "angle": clamp / (fastening.clamp_rate or math.nan)}


def torque_alone(*, torque: float, mu_thread: float, mu_bearing: float, **bolt: Any) -> Numbers:
    """Clamp load after a torque."""
    steps = [Step("torque", torque)]
    (last,) = follow(_bolt(**bolt), steps, mu_thread=mu_thread, mu_bearing=mu_bearing)
    return {"clamp": float(last.clamp), "yielded": float(bool(last.yielded))}


def gradient(
    *, mu_thread: float, mu_bearing: float, yield_stress: float, exponent: float, **bolt: Any
) -> Numbers:
    """Where the slope has fallen to half on a curve of Ramberg and Osgood."""
    fastening = _bolt(**bolt)
    law = RambergOsgood(yield_stress, exponent)
    friction = {"mu_thread": mu_thread, "mu_bearing": mu_bearing}
    point = gradient_point(fastening, law, **friction)
    return {
        "largest": float(hardening_line(fastening, law, **friction).gradient(0.0)),
        "clamp": float(point.clamp),
        "angle": float(point.angle),
        "torque": float(point.torque),
        "share": float(point.stress_share),
        "strain": float(point.axial_plastic_strain),
        "K": 1000.0 * float(point.torque) / (float(point.clamp) * fastening.d),
    }


def structural_bolt(
    *, length: float, angle: float, d: float, P: float, yield_stress: float, snug_clamp: float,
    mu: float, face: float, hole: float, plates: float, nut_side: float, threaded: float,
    least_thread: float, **_: Any,
) -> Numbers:  # fmt: skip
    """Structural bolt turned by the table: model with assumed inputs."""
    d2, d3 = profile.pitch_diameter(d, P), profile.metric_root_diameter(d, P)
    grip = length - nut_side
    fastening = Fastening(
        d=d, P=P, d2=d2, d3=d3, stress_area=math.pi / 4 * ((d2 + d3) / 2) ** 2,
        bearing_outer=face, bearing_inner=hole, yield_stress=yield_stress, tangent_modulus=2000.0,
        modulus=200_000.0,
    ).with_simple_joint(
        grip=grip, shank_length=min(length - threaded, grip - least_thread), outside=plates,
        E_parts=200_000.0,
    )  # fmt: skip
    friction = {"mu_thread": mu, "mu_bearing": mu}
    snug = float(fastening.torque_from_clamp(snug_clamp, **friction))
    state = follow(fastening, [Step("snug", snug), Step("angle", angle)], **friction)[-1]
    return {
        "clamp": float(state.clamp),
        "onset": float(fastening.yield_clamp(mu_thread=mu)),
        "yielded": float(bool(state.yielded)),
    }


def bar_wind_up(
    *, diameter: float, length: float, shear_modulus: float, torque: float,
    others: list[float] | None = None, **_: Any,
) -> Numbers:  # fmt: skip
    """Stiffness of a bar, alone or with others behind it, and its wind-up at a torque."""
    bar = float(bar_stiffness(diameter, length, shear_modulus))
    chain = bar if others is None else float(in_series(bar, *others))
    return {"stiffness": chain, "twist": torque / chain}


def gyro_angle(
    *, seconds: float, u_bias: float = 0.0, noise: float = 0.0, sample_rate: float = 100.0, **_: Any
) -> float:
    """Uncertainty of an angle integrated from a rate."""
    return float(rate_angle_uncertainty(u_bias=u_bias, noise=noise, seconds=seconds,
                                        sample_rate=sample_rate))  # fmt: skip


def received_with_adapter(
    *, setting: float, length: float, adapter_length: float, adapter_angle: float = 0.0, **_: Any
) -> float:
    """Torque at the fastener for a setting with an adapter."""
    return setting * fastener_ratio(
        length=length, adapter_length=adapter_length, adapter_angle=adapter_angle
    )


def hand_too_close(
    *, torque: float, length: float, adapter_length: float, closer: float, **_: Any
) -> float:
    """Torque received when the setting was worked out for one hand place and pulled at another."""
    setting = torque / fastener_ratio(length=length, adapter_length=adapter_length)
    hand = length - closer
    # The force on the handle grows so that the wrench still reads its setting at its square.
    return setting * fastener_ratio(length=hand, adapter_length=adapter_length)
