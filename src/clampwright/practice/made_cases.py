"""Pulls whose fault lies with the person or the surface, made by the trace room's simulator.

`clampwright.trace.drawn` makes the faults of fastener and joint; these are the others: dry
surfaces, an angle counted from too early, a pull stopped early, a wrong unit.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, get_args

import numpy as np

from clampwright import standards
from clampwright.joint.model import Fastening
from clampwright.trace.expectation import expected
from clampwright.trace.given import Given
from clampwright.trace.model import Trace
from clampwright.trace.simulate import Condition, Fault, SimulatedFastener, SimulatedWrench

Made = Literal["dry", "wrong_snug", "stop_early", "wrong_unit"]
MADE: tuple[Made, ...] = get_args(Made)

_THREADS = ("M8", "M10", "M12")
_HEAD = "ISO 4014/4017"
_DRY = (1.5, 1.75)
"""Friction over what was planned: dry steel against oiled (VDI 2230-1 Table A5 has about that
between the middles of classes B and C, from memory)."""


def made_case(kind: Made, seed: int) -> tuple[Trace, Given]:
    """Make one pull.

    Parameters
    ----------
    kind : str
        One of `MADE`.
    seed : int

    Returns
    -------
    Trace, Given
        The recorded pull, and what is told about it. The same for the same kind and seed.

    Examples
    --------
    >>> trace, given = made_case("wrong_unit", 3)
    >>> float(trace.torque.max()) > 1.2 * given.torque_high
    True
    """
    rng = np.random.default_rng([seed, 100 + MADE.index(kind)])
    parts, mu = _parts(rng), float(rng.uniform(0.11, 0.13))
    limit = float(parts.yield_torque(mu_thread=mu, mu_bearing=mu))
    target = round(limit * float(rng.uniform(0.5, 0.6)))
    snug = round(0.25 * target)
    real = mu * (float(rng.uniform(*_DRY)) if kind == "dry" else float(rng.uniform(0.97, 1.03)))
    given = _given(parts, mu, target, snug, by_angle=kind == "wrong_snug")
    hard = 1.35 * snug if kind == "wrong_snug" else 0.0
    fastener = SimulatedFastener(
        parts,
        Condition(
            mu_thread=real,
            mu_bearing=real,
            prevailing_torque=hard,
            run_down=_run_down(rng, given),
            snug_zone=float(rng.uniform(4.0, 9.0)),
        ),
        seed=seed,
    )
    wrench = SimulatedWrench(
        stiffness=target / 3.0,
        stroke=float(rng.uniform(60.0, 100.0)),
        speed=40.0,
        sample_rate=200.0,
        torque_noise=0.002 * target,
        torque_step=0.1,
    )
    fault: Fault | None = {"stop_early": "stop_early", "wrong_unit": "wrong_unit"}.get(kind)  # type: ignore[assignment]  # both are faults of the wrench
    if given.wanted_angle is None:
        pull = wrench.pull(fastener, rng=rng, torque=float(target), fault=fault)
    else:
        pull = wrench.pull(fastener, rng=rng, torque=float(snug), angle=given.wanted_angle)
    return pull.trace, given


def _run_down(rng: np.random.Generator, given: Given) -> float:
    """Return the rotation before the parts touch: most of the angle, where one is counted."""
    if given.wanted_angle is None:
        return float(rng.uniform(60.0, 110.0))
    return given.wanted_angle * float(rng.uniform(0.45, 0.65))


def _parts(rng: np.random.Generator) -> Fastening:
    thread = standards.thread(str(rng.choice(_THREADS)))
    plain = Fastening.from_standards(
        thread,
        head=standards.head(_HEAD, thread.name),
        hole=standards.hole(thread.name, "medium"),
        strength=standards.strength("8.8", d=thread.d),
    )
    grip = thread.d * float(rng.uniform(3.0, 5.0))
    return plain.with_simple_joint(
        grip=grip, shank_length=0.5 * grip, outside=5.0 * thread.d, E_parts=205_000.0
    )


def _given(parts: Fastening, mu: float, target: float, snug: float, *, by_angle: bool) -> Given:
    nominal = expected(parts, mu_thread=mu, mu_bearing=mu, target=target, snug=snug)
    told = Given(d_mm=parts.d, P_mm=parts.P, Rp_MPa=parts.yield_stress, nominal=nominal)
    if by_angle:
        angle = float(round(nominal.angle_snug_to_target_deg or 30.0))
        return replace(
            told,
            procedure="torque_angle",
            target_torque_Nm=snug,
            snug_torque_Nm=snug,
            angle_steps_deg=(angle,),
            torque_low=round(0.85 * target),
            torque_high=round(1.15 * target),
            angle_low=angle - 4.0,
            angle_high=angle + 4.0,
        )
    return replace(
        told,
        target_torque_Nm=target,
        snug_torque_Nm=snug,
        torque_low=round(0.95 * target, 1),
        torque_high=round(1.05 * target, 1),
    )
