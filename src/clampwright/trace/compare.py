"""A pull against the limits of its stage: within, short, over, or not known."""

from __future__ import annotations

from clampwright.trace.features import Estimate, Features
from clampwright.trace.given import Given
from clampwright.trace.limits import limit
from clampwright.trace.seen import Seen
from clampwright.words import Words, words


def by_limits(it: Seen) -> tuple[str, list[Words]]:
    """Compare with the stage's limits; the words name what was compared.

    Parameters
    ----------
    it : Seen

    Returns
    -------
    verdict : str
        ``within``, ``short``, ``over``, ``doubtful`` or ``not known``.
    reasons : list of Words
    """
    if it.given.procedure == "torque":
        return _by_torque(it)
    return _by_angle(it.features.after_snug, it.given, it.features)


def torque_limits(given: Given) -> tuple[float | None, float | None]:
    """Return the limits of the final torque, around the target where none are stated.

    Parameters
    ----------
    given : Given

    Returns
    -------
    tuple of float or None
        Low and high, N·m.

    Examples
    --------
    >>> torque_limits(Given(target_torque_Nm=50.0, torque_low=48.0))
    (48.0, None)
    """
    low, high, target = given.torque_low, given.torque_high, given.target_torque_Nm
    if low is None and high is None and target is not None:
        return target * (1.0 - limit("target_rel")), target * (1.0 + limit("target_rel"))
    return low, high


def angle_limits(given: Given) -> tuple[float | None, float | None]:
    """Return the limits of the rotation after snug, around the wanted one where none are stated.

    Parameters
    ----------
    given : Given

    Returns
    -------
    tuple of float or None
        Low and high, degrees.

    Examples
    --------
    >>> angle_limits(Given(procedure="torque_angle", angle_steps_deg=(90.0,)))
    (85.0, 95.0)
    """
    low, high, wanted = given.angle_low, given.angle_high, given.wanted_angle
    if low is None and high is None and wanted is not None:
        return wanted - limit("target_deg"), wanted + limit("target_deg")
    return low, high


def _by_torque(it: Seen) -> tuple[str, list[Words]]:
    final, (low, high) = it.features.final_torque, torque_limits(it.given)
    if final is None or (low is None and high is None):
        return "not known", [words("there is no torque limit to compare with")]
    if low is not None and final.value < low:
        return "short", [
            words(
                "{torque:.1f} N·m at the end of turning is below {low:.1f} N·m",
                torque=final.value,
                low=low,
            )
        ]
    if high is not None and final.value > high:
        return "over", [
            words(
                "{torque:.1f} N·m at the end of turning is above {high:.1f} N·m",
                torque=final.value,
                high=high,
            )
        ]
    say = [words("{torque:.1f} N·m at the end of turning is within limits", torque=final.value)]
    if it.features.restart_only and not (_angle_agrees(it) or _passed_before(it, low)):
        return "doubtful", [
            words(
                "the target was reached within {way:g}° after a stop, where starting takes more "
                "torque than turning; back off a little and pull again in one go",
                way=limit("breakaway_deg"),
            ),
            *say,
        ]
    return "within", say


def _angle_agrees(it: Seen) -> bool:
    """Tell whether the rotation bears out a torque that was reached just after a stop."""
    ratio = it.angle_ratio
    return ratio is not None and abs(ratio - 1.0) <= limit("angle_agrees")


def _passed_before(it: Seen, low: float | None) -> bool:
    """Tell whether the stroke before had passed the lower limit while running."""
    turning = [s for s in it.features.turned.strokes if s.turned_deg >= limit("breakaway_deg")]
    return low is not None and bool(turning) and turning[-1].torque_end >= low


def _by_angle(after: Estimate | None, given: Given, features: Features) -> tuple[str, list[Words]]:
    low, high = angle_limits(given)
    if low is None and high is None:
        return "not known", [words("there is no angle limit to compare with")]
    if after is None:
        return "short", [
            words(
                "{torque:.1f} N·m at most: the snug torque of {snug:.1f} N·m was not reached",
                torque=features.peak_torque,
                snug=features.snug_torque,
            )
        ]
    if low is not None and after.value < low:
        return "short", [
            words("{angle:.0f}° after snug is less than {low:.0f}°", angle=after.value, low=low)
        ]
    if high is not None and after.value > high:
        return "over", [
            words("{angle:.0f}° after snug is more than {high:.0f}°", angle=after.value, high=high)
        ]
    say = [words("{angle:.0f}° after snug is within limits", angle=after.value)]
    return _expected_torque(given, features, say)


def _expected_torque(given: Given, features: Features, say: list[Words]) -> tuple[str, list[Words]]:
    """Cross-check an angle within limits by the torque limits, if there are any."""
    final = features.final_torque
    if final is None:
        return "within", say
    low, high = given.torque_low, given.torque_high
    if (low is not None and final.value < low) or (high is not None and final.value > high):
        return "doubtful", [
            words(
                "{torque:.1f} N·m at the end is outside what is expected at this angle "
                "({low} to {high} N·m)",
                torque=final.value,
                low="any" if low is None else f"{low:.1f}",
                high="any" if high is None else f"{high:.1f}",
            ),
            *say,
        ]
    return "within", say
