"""What was seen in a trace beside what the joint was expected to do."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.trace.features import Features
from clampwright.trace.given import Given, aimed_torque, expected_rate


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
        aimed_torque(given),
        ratio,
        _expected_angle(features, given, rate),
        sample_rate,
    )


def _expected_angle(features: Features, given: Given, rate: float | None) -> float | None:
    """Rotation from snug to target, less what an earlier stage has turned already."""
    held, target = given.previous_torque_Nm or 0.0, aimed_torque(given)
    if target is None:
        return None
    if rate and held > features.snug_torque:
        return max(target - held, 0.0) / rate
    told = given.nominal.angle_snug_to_target_deg
    if told is not None and target == given.target_torque_Nm:
        return told
    return max(target - features.snug_torque, 0.0) / rate if rate else None
