"""What was seen in a trace beside what the joint was expected to do."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.trace.features import Features
from clampwright.trace.given import Given, expected_rate


@dataclass(frozen=True, slots=True)
class Seen:
    """Features beside what was expected of them.

    Parameters
    ----------
    features : Features
    given : Given
    target : float or None
        Torque the pull was meant to reach, N·m.
    slope_ratio : float or None
        Slope over the expected one.
    angle_expected : float or None
        Rotation from snug to the target torque that is expected, degrees.
    sample_rate : float
        Hz.
    """

    features: Features
    given: Given
    target: float | None
    slope_ratio: float | None
    angle_expected: float | None
    sample_rate: float

    @property
    def angle_ratio(self) -> float | None:
        """Rotation after snug over the expected one."""
        after = self.features.after_snug
        if after is None or not self.angle_expected:
            return None
        return after.value / self.angle_expected


def seen(features: Features, given: Given, sample_rate: float) -> Seen:
    """Put features beside what the joint was expected to do.

    Parameters
    ----------
    features : Features
    given : Given
    sample_rate : float
        Hz.

    Returns
    -------
    Seen
    """
    rate = expected_rate(given)
    slope = features.slope
    ratio = None if slope is None or rate is None else slope.value / rate
    return Seen(
        features,
        given,
        given.target_torque_Nm,
        ratio,
        _expected_angle(features, given, rate),
        sample_rate,
    )


def _expected_angle(features: Features, given: Given, rate: float | None) -> float | None:
    """Rotation from snug to target, less what an earlier stage has turned already."""
    held = given.previous_torque_Nm or 0.0
    if given.target_torque_Nm is None:
        return None
    if rate and held > features.snug_torque:
        return max(given.target_torque_Nm - held, 0.0) / rate
    if given.nominal.angle_snug_to_target_deg is not None:
        return given.nominal.angle_snug_to_target_deg
    return max(given.target_torque_Nm - features.snug_torque, 0.0) / rate if rate else None


def yield_torque(given: Given) -> float | None:
    """Return the torque at which the fastener is expected to yield, N·m."""
    rate, nominal = expected_rate(given), given.nominal
    if rate is None or not nominal.combined_yield_clamp_N or not nominal.clamp_rate_N_per_deg:
        return None
    return nominal.combined_yield_clamp_N * rate / nominal.clamp_rate_N_per_deg
