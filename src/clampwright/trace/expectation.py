"""What a joint should do, from its mechanics: the expectation a trace is held against."""

from __future__ import annotations

from clampwright.joint.model import Fastening
from clampwright.joint.nut_factor import nut_factor
from clampwright.joint.stress import yield_clamp
from clampwright.joint.torque_tension import clamp_from_torque
from clampwright.trace.given import Nominal


def expected(
    fastening: Fastening,
    *,
    mu_thread: float,
    mu_bearing: float,
    target: float | None = None,
    snug: float | None = None,
) -> Nominal:
    """Compute what is expected of a joint with a friction in mind.

    Parameters
    ----------
    fastening : Fastening
    mu_thread, mu_bearing : float
        The friction expected; there is no default.
    target, snug : float, optional
        Target and snug torque, N·m.

    Returns
    -------
    Nominal
        With None for what the fastening does not tell.

    Examples
    --------
    >>> m10 = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63,
    ...                 bearing_inner=11.0, yield_stress=940, clamp_rate=829.66, plastic_length=22)
    >>> nominal = expected(m10, mu_thread=0.12, mu_bearing=0.10, target=37.62, snug=10.0)
    >>> round(nominal.K, 4), round(nominal.torque_rate_Nm_per_deg, 4)
    (0.1505, 1.2485)
    >>> round(nominal.angle_snug_to_target_deg, 1)
    22.1
    """
    d_b = (fastening.bearing_outer + fastening.bearing_inner) / 2.0
    K = float(
        nut_factor(
            d=fastening.d,
            P=fastening.P,
            d2=fastening.d2,
            bearing_diameter=d_b,
            mu_thread=mu_thread,
            mu_bearing=mu_bearing,
        )
    )
    rate = fastening.clamp_rate
    torque_rate = None if rate is None else K * rate * fastening.d / 1000.0
    angle = None
    if torque_rate and target is not None and snug is not None:
        angle = max(target - snug, 0.0) / torque_rate or None
    clamp = None
    if target is not None and target > fastening.prevailing_torque:
        clamp = float(
            clamp_from_torque(
                target,
                P=fastening.P,
                d2=fastening.d2,
                bearing_diameter=d_b,
                mu_thread=mu_thread,
                mu_bearing=mu_bearing,
                prevailing_torque=fastening.prevailing_torque,
            )
        )
    return Nominal(
        K=K,
        clamp_rate_N_per_deg=rate,
        torque_rate_Nm_per_deg=torque_rate,
        clamp_at_target_N=clamp,
        angle_snug_to_target_deg=angle,
        combined_yield_clamp_N=_yield(fastening, mu_thread),
    )


def _yield(fastening: Fastening, mu_thread: float) -> float | None:
    if fastening.yield_stress is None:
        return None
    return float(
        yield_clamp(
            yield_stress=fastening.yield_stress,
            stress_area=fastening.stress_area,
            P=fastening.P,
            d2=fastening.d2,
            mu_thread=mu_thread,
        )
    )
