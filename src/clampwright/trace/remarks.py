"""What a person should know about a pull beside its verdict."""

from __future__ import annotations

from clampwright.trace.compare import angle_limits, torque_limits
from clampwright.trace.features import Estimate
from clampwright.trace.limits import limit
from clampwright.trace.seen import Seen
from clampwright.units import factor
from clampwright.words import Words, words

_MIXED_UNITS = (
    "N·m",
    "ft·lbf",
    "in·lbf",
    "kgf·m",
    "kgf·cm",
    "daN·m",
    "dN·m",
    "cN·m",
    "kN·m",
    "mN·m",
)
"""Units of torque that stand on tools and in loggers, the likelier mix-up first."""


def remarks(it: Seen, compared: str) -> list[Words]:
    """Say what a person should know beside the verdict.

    Parameters
    ----------
    it : Seen
    compared : str
        What the comparison with the limits gave.

    Returns
    -------
    list of Words
    """
    f, target = it.features, it.target
    says: list[Words] = []
    if compared in {"short", "over"}:
        says += _unit_mix_up(f.final_torque, it.given.target_torque_Nm)
    if f.turned.stiffness.source == "assumed":
        says.append(
            words(
                "the wind-up of the wrench is not known and could not be found in the trace: "
                "{angle:.0f}° was assumed at the highest torque, and may be off by as much",
                angle=limit("wind_up_deg"),
            )
        )
    if it.given.procedure == "torque" and target and f.final_torque and compared == "within":
        above = f.peak_torque / target - 1.0
        if above > limit("overshoot_rel"):
            says.append(
                words("the pull went {above:.0%} past the target: pull more slowly", above=above)
            )
    if it.sample_rate < limit("stick_slip_rate_hz") and _half_rough(it):
        says.append(
            words(
                "sampled only {rate:.0f} times a second: whether the fastener stuck and slipped "
                "cannot be seen",
                rate=it.sample_rate,
            )
        )
    near = _near_a_limit(it)
    return [*says, near] if near is not None and compared in {"within", "short", "over"} else says


def _half_rough(it: Seen) -> bool:
    """Tell whether the torque was uneven, but not enough to be called stick-slip."""
    most = limit("stick_slip_share")
    return 0.5 * most < it.features.curve.roughness < most


def _unit_mix_up(final: Estimate | None, target: float | None) -> list[Words]:
    """Name the units whose ratio is the one between what was pulled and what was wanted."""
    if final is None or not target:
        return []
    ratio = final.value / target
    for pulled in _MIXED_UNITS:
        for wanted in _MIXED_UNITS:
            wrong = factor(pulled, wanted)
            far = abs(wrong - 1.0) > limit("unit_least")
            if far and abs(ratio / wrong - 1.0) < limit("unit_rel"):
                return [
                    words(
                        "{torque:.1f} N·m is {ratio:.2f} times the target, the ratio of {pulled} "
                        "to {wanted}: was the number set in the wrong unit?",
                        torque=final.value,
                        ratio=ratio,
                        pulled=pulled,
                        wanted=wanted,
                    )
                ]
    return []


def _near_a_limit(it: Seen) -> Words | None:
    """Say when a limit lies nearer than twice the uncertainty."""
    torque_stage = it.given.procedure == "torque"
    value = it.features.final_torque if torque_stage else it.features.after_snug
    bounds = torque_limits(it.given) if torque_stage else angle_limits(it.given)
    if value is None or not any(
        b is not None and abs(value.value - b) < 2 * value.u for b in bounds
    ):
        return None
    return words(
        "a limit lies closer than the uncertainty of the reading (±{u:.1f} {unit})",
        u=2 * value.u,
        unit="N·m" if torque_stage else "°",
    )
