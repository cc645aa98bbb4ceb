"""A tool compared with a trusted one, pull by pull: what the pairs show, and what they cannot."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass

from clampwright.distributions import t_quantile
from clampwright.drawer.belongings import TestDevice
from clampwright.drawer.calibration import Direction, deviation_percent, reference_of
from clampwright.drawer.check_record import CheckRecord, CheckVerdict
from clampwright.drawer.metrology.comparison import (
    Difference,
    normalized_error,
    paired_difference,
)
from clampwright.drawer.tools import Scale, Tool
from clampwright.drawer.trust import permissible_for, resolution_uncertainty, trust_when_showing
from clampwright.errors import Missing, OutOfRange, Refused
from clampwright.units import convert
from clampwright.words import Words, words

Pair = tuple[float, float]
"""What the tool showed, and what the trusted one showed, for the same pull."""

FEW = 5
"""Fewer pairs than this say little of the scatter (common practice, no source)."""
SAME_DEVICE = 0.5
"""Correlation taken for two tools that were calibrated on the same device, where nobody knows it
better. Our own choice, no source: part of their uncertainties is the device's, part their own."""

COARSE = 0.5
"""A trusted tool whose own uncertainty is more than this part of the tolerance cannot decide much
(ours; a calibration asks for a quarter)."""


@dataclass(frozen=True, slots=True)
class Trusted:
    """What a tool is compared with, at the level of the pairs.

    Parameters
    ----------
    name, title : str
    deviation : float
        Known deviation, percent; it is taken out.
    u : float
        Relative standard uncertainty of what it then says, percent, without its scatter.
    """

    name: str
    title: str
    deviation: float
    u: float


def trusted_tool(
    tool: Tool, level: float, unit: str, direction: Direction, *, today: dt.date
) -> Trusted:
    """Return a tool of the drawer as the trusted one.

    Parameters
    ----------
    tool : Tool
        As it is today.
    level : float
        About what it shows, in `unit`.
    unit : str
    direction : str
    today : datetime.date
        A calibration that has run out vouches for nothing.

    Returns
    -------
    Trusted

    Raises
    ------
    Refused
        It is no wrench, its calibration ran out or is not known, or something happened to it.
    """
    if not tool.is_wrench:
        raise Refused(words("{tool} shows no torque", tool=tool.title))
    for happened in tool.doubts:
        if happened.doubt is not None:
            raise Refused(
                words("{tool} cannot vouch for another: {why}", tool=tool.title, why=happened.doubt)
            )
    if tool.calibration is None or tool.calibration.due_on < today:
        raise Refused(
            words(
                "{tool} cannot vouch for another: it has no calibration that holds today",
                tool=tool.title,
            )
        )
    trust = trust_when_showing(tool, convert(level, unit, "N·m"), direction)
    scale = tool.scales[0]
    read = resolution_uncertainty(tool.settable_step(scale), convert(level, unit, scale.unit))
    return Trusted(tool.id, tool.title, trust.deviation or 0.0, 100 * math.hypot(trust.u_rel, read))


def trusted_device(device: TestDevice) -> Trusted:
    """Return a test device as the trusted one.

    Raises
    ------
    Missing
        Nothing is known of its uncertainty.
    """
    if device.u_rel is None:
        raise Missing(
            words("the drawer file states no uncertainty of {device}", device=device.title),
            "uncertainty_percent",
        )
    return Trusted(device.id, device.title, 0.0, 100 * device.u_rel)


@dataclass(frozen=True, slots=True)
class Compared:
    """What the pairs came to.

    Parameters
    ----------
    deviation : float
        Mean deviation of the tool from the corrected trusted one, percent.
    u : float
        Its standard uncertainty, percent: scatter, reading of the scale, trusted tool.
    low, high : float
        Its 95 % interval, percent.
    difference : Difference or None
        Of the shown values, paired, in their unit; None where the pairs do not scatter at all.
    normalized_error : float
        E_n of the tool (its own certificate corrected for) against the trusted one.
    verdict : str
        ``agrees``, ``off`` or ``not known``, against the permissible deviation.
    limit : float
        Permissible deviation, percent.
    shows, cannot_show : tuple of Words
    """

    deviation: float
    u: float
    low: float
    high: float
    difference: Difference | None
    normalized_error: float
    verdict: CheckVerdict
    limit: float
    shows: tuple[Words, ...]
    cannot_show: tuple[Words, ...]

    def record(
        self,
        *,
        date: dt.date,
        trusted: str,
        unit: str,
        pairs: Sequence[Pair],
        direction: Direction,
        note: str = "",
    ) -> CheckRecord:
        """Return it as the log keeps it."""
        return CheckRecord(
            date, trusted, unit, tuple(pairs), self.deviation, self.u, self.normalized_error,
            self.verdict, direction, note,
        )  # fmt: skip


def compare(
    tool: Tool,
    trusted: Trusted,
    pairs: Sequence[Pair],
    *,
    unit: str | None = None,
    direction: Direction = "cw",
    correlation: float = 0.0,
) -> Compared:
    """Compare a tool with a trusted one by paired pulls at about one torque.

    Parameters
    ----------
    tool : Tool
        As it is today.
    trusted : Trusted
    pairs : sequence of (float, float)
        At least two: what the tool showed or was set to, and what the trusted one showed.
    unit : str, optional
        Of the pairs, one of the tool's scales; the first one if not given.
    direction : str
    correlation : float
        Of the two tools' uncertainties, −1 to 1: both were calibrated on the same device, for one.

    Returns
    -------
    Compared

    Raises
    ------
    OutOfRange
        Too few pairs, a reading is not above 0 or not on the scale, or they are of several torques.
    Refused
        The tool shows no torque or has no such direction.

    Notes
    -----
    Importance is the interval of the deviation against the permissible one; significance is only
    whether zero lies in the interval of the paired differences. E_n as in ISO/IEC 17043 (from
    memory), with expanded uncertainties.

    Examples
    --------
    >>> wrench = Tool("c", "Click", "click", "1/2 in", (Scale("N·m", 20, 100, 10, 0.5),))
    >>> pairs = [(80.9, 80.2), (81.4, 80.7), (81.6, 80.6), (81.1, 80.3), (81.5, 80.5)]
    >>> found = compare(wrench, Trusted("t", "device", 0.0, 0.4), pairs)
    >>> found.verdict, round(found.deviation, 2), round(found.difference.t, 3)
    ('agrees', 1.04, 12.385)
    """
    scale = tool.scale(unit) if unit else _first(tool)
    _check(tool, scale, pairs, direction)
    corrected = [reference_of(other, trusted.deviation) for _one, other in pairs]
    gaps = [deviation_percent(one, ref) for (one, _), ref in zip(pairs, corrected, strict=True)]
    mean = math.fsum(gaps) / len(gaps)
    scatter = math.sqrt(math.fsum((gap - mean) ** 2 for gap in gaps) / (len(gaps) - 1))
    level = math.fsum(corrected) / len(corrected)
    read = 100 * resolution_uncertainty(tool.settable_step(scale), level)
    u_mean = scatter / math.sqrt(len(gaps))
    steady = math.hypot(read, trusted.u)
    half = math.hypot(t_quantile(0.975, len(gaps) - 1) * u_mean, 2 * steady)
    limit = permissible_for(tool)
    difference = None
    if len({round(one - other, 9) for one, other in pairs}) > 1:
        difference = paired_difference([one for one, _ in pairs], [other for _, other in pairs])
    shown = math.fsum(one for one, _ in pairs) / len(pairs)
    own = _own(tool, scale, shown, direction)
    e_n = _normalized(own, (level, 2 * trusted.u / 100 * level), correlation)
    found = Compared(
        mean, math.hypot(u_mean, steady), mean - half, mean + half, difference, e_n,
        _verdict(mean, half, limit), limit, (), (),
    )  # fmt: skip
    return _told(found, trusted, len(pairs), scale.text(level), correlation)


def _first(tool: Tool) -> Scale:
    if not tool.scales:
        raise Refused(words("{tool} shows no torque", tool=tool.title))
    return tool.scales[0]


def _check(tool: Tool, scale: Scale, pairs: Sequence[Pair], direction: Direction) -> None:
    if direction not in tool.directions:
        raise Refused(
            words("{tool} does not work in direction {direction}", tool=tool.title,
                  direction=direction)
        )  # fmt: skip
    if len(pairs) < 2:
        raise OutOfRange(
            words("{count} pairs; at least 2 are needed, better {few}", count=len(pairs), few=FEW),
            value=float(len(pairs)),
            low=2.0,
        )
    for one, other in pairs:
        if not (scale.low <= one <= scale.high and one > 0 and other > 0):
            raise OutOfRange(
                words(
                    "pair {one:g} and {other:g}: both must be above 0, and the first on the scale, "
                    "{low:g} to {high:g} {unit}",
                    one=one,
                    other=other,
                    low=scale.low,
                    high=scale.high,
                    unit=scale.unit,
                ),
                value=one,
                low=scale.low,
                high=scale.high,
            )
    shown = [one for one, _other in pairs]
    if max(shown) > 1.2 * min(shown):
        raise OutOfRange(
            words(
                "the pairs go from {low:g} to {high:g}: compare at one torque at a time, and each "
                "torque for itself",
                low=min(shown),
                high=max(shown),
            ),
            value=max(shown),
            high=1.2 * min(shown),
        )


def _own(tool: Tool, scale: Scale, shown: float, direction: Direction) -> Pair:
    """Return what the tool itself claims to have given, with its expanded uncertainty."""
    trust = trust_when_showing(tool, shown * scale.size, direction)
    read = resolution_uncertainty(tool.settable_step(scale), shown)
    value = shown if trust.deviation is None else reference_of(shown, trust.deviation)
    return value, 2 * math.hypot(trust.u_rel, read) * value


def _normalized(own: Pair, reference: Pair, correlation: float) -> float:
    value, U = own
    level, U_reference = reference
    return float(
        normalized_error(
            value, U=U, reference=level, U_reference=U_reference, correlation=correlation
        )
    )


def _verdict(mean: float, half: float, limit: float) -> CheckVerdict:
    if abs(mean) + half <= limit:
        return "agrees"
    return "off" if abs(mean) - half > limit else "not known"


def _told(
    found: Compared, trusted: Trusted, count: int, level: str, correlation: float
) -> Compared:
    """Put into words what the pairs show and what they cannot."""
    shows = (_important(found), _significant(found), _certificates(found))
    cannot = [
        words("It holds near {level} and in this direction only.", level=level),
        words("Two tools that agree can both be wrong in the same way."),
    ]
    if 2 * trusted.u > COARSE * found.limit:
        cannot.append(
            words(
                "{title} itself is only known to ±{u:.1f} %, the tool may be off by ±{limit:g} %: "
                "a test device would tell more",
                title=trusted.title,
                u=2 * trusted.u,
                limit=found.limit,
            )
        )
    if count < FEW:
        cannot.append(words("{count} pairs say little of the scatter: pull {few}.", count=count,
                            few=FEW))  # fmt: skip
    if correlation == 0.0:
        cannot.append(
            words(
                "Were both calibrated on the same device, their errors go together; then say so "
                "(correlation): E_n gets stricter."
            )
        )
    elif correlation == SAME_DEVICE:
        cannot.append(
            words(
                "How far their errors go together is not known: a correlation of {half:g} was "
                "taken, our own choice, no source.",
                half=SAME_DEVICE,
            )
        )
    return Compared(
        found.deviation, found.u, found.low, found.high, found.difference,
        found.normalized_error, found.verdict, found.limit, shows, tuple(cannot),
    )  # fmt: skip


def _important(found: Compared) -> Words:
    given = {
        "mean": found.deviation,
        "low": found.low,
        "high": found.high,
        "limit": found.limit,
    }
    if found.verdict == "agrees":
        return words(
            "It deviates by {mean:+.2f} % ({low:+.2f} to {high:+.2f}, 95 %): inside the "
            "permissible ±{limit:g} %.",
            **given,
        )
    if found.verdict == "off":
        return words(
            "It deviates by {mean:+.2f} % ({low:+.2f} to {high:+.2f}, 95 %): beyond the "
            "permissible ±{limit:g} %. Take it out of use and have it calibrated.",
            **given,
        )
    return words(
        "It deviates by {mean:+.2f} % ({low:+.2f} to {high:+.2f}, 95 %), which lies across the "
        "permissible ±{limit:g} %: more pairs or a better reference are needed.",
        **given,
    )


def _significant(found: Compared) -> Words:
    if found.difference is None:
        return words("All differences are the same: the steps of the scales hide the scatter.")
    p = found.difference.p
    if not found.difference.significant:
        return words("The difference of the two could be chance (p = {p:.2g}).", p=p)
    if found.verdict == "agrees":
        return words(
            "The difference of the two is no chance (p = {p:.2g}), but it is too small to matter.",
            p=p,
        )
    return words("The difference of the two is no chance (p = {p:.2g}).", p=p)


def _certificates(found: Compared) -> Words:
    e_n = found.normalized_error
    if abs(e_n) <= 1.0:
        return words("E_n = {e_n:.2f}: both certificates can be right.", e_n=e_n)
    return words(
        "E_n = {e_n:.2f}: at least one of the two is no longer what its certificate says.", e_n=e_n
    )
