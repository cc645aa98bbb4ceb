"""Audit of a tightened joint: what a torque tried afterwards tells, as a band and not as a figure.

Three ways are in use, and none gives back the torque the fastener was tightened to. Each is turned
here into a band for the torque that would turn the fastener on now, held against the procedure's
limits and, where known, against what it was tightened to: with the same friction the share of the
torque that is left is the share of the clamp load that is left.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, Literal, get_args

from clampwright.errors import OutOfRange, Refused
from clampwright.joint.band import clamp_bands
from clampwright.joint.loosening import HEALTHY
from clampwright.joint.model import Fastening
from clampwright.joint.torque_angle import Step
from clampwright.procedure.stage import Stage
from clampwright.words import Words, from_data, words
from clampwright.work.follow_up import why_not_again

AUDITED = "joint_audited"
"""Kind of the entry that holds an audit."""

Way = Literal["first_movement", "to_mark", "breakaway"]
ReadAs = Literal["moving", "peak", "stood", "moved"]
"""What was read: a torque while it moves; the highest one; a click with the fastener standing
still; a click after it had moved."""
Verdict = Literal["holds", "at least", "less", "more", "not known"]
WAYS: tuple[Way, ...] = get_args(Way)
READ_AS: tuple[ReadAs, ...] = get_args(ReadAs)
TURNS_ON = frozenset({"first_movement", "to_mark"})

REACH = 1.645
"""Half the 5 to 95 % band in standard deviations of the normal distribution."""
RESTART_U = 0.05
"""Relative standard deviation of friction between tightening and turning on again (ours)."""
SECOND_TIME_U = 0.10
"""The same for a fastener that was loosened and tightened again (ours)."""
JERK = 1.3
"""Torque to start it moving over torque while it moves, at most (ours)."""
MARK_U_DEG = 2.0
"""Standard deviation with which a mark is met again, degrees (ours)."""
MOST_U = 0.2


@dataclass(frozen=True, slots=True)
class Range:
    """A band; None where an end is open.

    Parameters
    ----------
    low, high : float or None
    """

    low: float | None
    high: float | None

    def times(self, factor: float) -> Range:
        """Return the band in another unit.

        Parameters
        ----------
        factor : float

        Returns
        -------
        Range
        """
        return Range(
            None if self.low is None else self.low * factor,
            None if self.high is None else self.high * factor,
        )


@dataclass(frozen=True, slots=True)
class AuditWay:
    """One way to try a tightened fastener.

    Parameters
    ----------
    way : str
    title, how, tells, cannot, changes : Words
        Its name, how it is done, what it tells and cannot tell, and what it does to the joint.
    source : str
    """

    way: Way
    title: Words
    how: Words
    tells: Words
    cannot: Words
    changes: Words
    source: str


@dataclass(frozen=True, slots=True)
class Tightened:
    """What a fastener was tightened to.

    Parameters
    ----------
    torque : float
        N·m.
    u_rel : float
        Its relative standard uncertainty.
    """

    torque: float
    u_rel: float


@dataclass(frozen=True, slots=True)
class Audit:
    """What an audit of one fastener tells.

    Parameters
    ----------
    way : AuditWay
    verdict : str
        ``holds`` (within the procedure's limits), ``at least``, ``less``, ``more`` or
        ``not known``.
    torque : Range
        Torque that would turn it on now, N·m, 5 to 95 %.
    share : Range or None
        Of the torque, and with the same friction of the clamp load, that is left; 5 to 95 %.
    clamp : Range or None
        Clamp load, N, over the whole range of the stated friction.
    reasons : tuple of Words
    """

    way: AuditWay
    verdict: Verdict
    torque: Range
    share: Range | None
    clamp: Range | None
    reasons: tuple[Words, ...]


@lru_cache(maxsize=1)
def audit_ways() -> Mapping[str, AuditWay]:
    """Return the three ways by name, each with what it tells and its source.

    Returns
    -------
    mapping of str to AuditWay

    Examples
    --------
    >>> print(audit_ways()["breakaway"].changes)
    it is loose: tighten it anew in full
    """
    text = resources.files(__package__).joinpath("audit_ways.csv").read_text("utf-8")
    return {
        row["way"]: AuditWay(
            way=_known(row["way"]),
            title=Words(row["title"]),
            how=Words(row["how"]),
            tells=Words(row["tells"]),
            cannot=Words(row["cannot"]),
            changes=Words(row["changes"]),
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def _known(way: str) -> Way:
    for known in WAYS:
        if way == known:
            return known
    raise Refused(words("{way!r} is none of {known}", way=way, known=", ".join(WAYS)))


def check_way(way: str, read_as: str, stages: Iterable[Stage]) -> Way:
    """Refuse a way that would spoil the joint, or that a reading does not fit.

    Parameters
    ----------
    way, read_as : str
    stages : iterable of Stage
        Of the joint's procedure.

    Returns
    -------
    str

    Raises
    ------
    Refused
    """
    known = _known(way)
    if read_as not in READ_AS:
        raise Refused(words("{way!r} is none of {known}", way=read_as, known=", ".join(READ_AS)))
    if known == "to_mark" and read_as != "moving":
        raise Refused(words("at the mark the torque is read while it turns"))
    if known == "breakaway" and read_as != "peak":
        raise Refused(words("in loosening the highest reading counts, when it breaks loose"))
    problem = why_not_again(stages)
    if known in TURNS_ON and problem is not None:
        raise Refused(words("not by turning on: {why}", why=problem))
    return known


def audit(
    way: Way,
    torque: float,
    *,
    u_rel: float,
    read_as: ReadAs,
    low: float | None,
    high: float | None,
    tightened: Tightened | None = None,
    fastening: Fastening | None = None,
    friction: tuple[float, float] | None = None,
    earlier: int = 0,
) -> Audit:
    """Say what a torque tried on a tightened fastener tells.

    Parameters
    ----------
    way : str
    torque : float
        What was read or set, at the fastener, N·m.
    u_rel : float
        Its relative standard uncertainty, 0 to 0.2.
    read_as : str
        ``moving``, ``peak``, ``stood`` or ``moved``.
    low, high : float or None
        Limits of the last torque stage, N·m; None where it has none.
    tightened : Tightened, optional
    fastening : Fastening, optional
    friction : (float, float), optional
        Range of the stated condition; with the fastening it gives the clamp load.

    earlier : int
        How often it was turned on for an audit before.

    Returns
    -------
    Audit

    Raises
    ------
    OutOfRange
        When the torque is not above 0, or the uncertainty is not between 0 and 0.2.

    References
    ----------
    What each way tells: see `audit_ways`. The widths of the bands are ours and say so; there is no
    published figure for them.

    Examples
    --------
    >>> found = audit("first_movement", 60.0, u_rel=0.03, read_as="moving", low=85.5, high=94.5,
    ...               tightened=Tightened(90.0, 0.03))
    >>> found.verdict, f"{found.share.low:.2f} to {found.share.high:.2f} left"
    ('less', '0.57 to 0.77 left')
    """
    if not (math.isfinite(torque) and torque > 0):
        raise OutOfRange(
            words("the torque must be above 0 N·m, not {torque}", torque=torque),
            value=torque,
            low=0,
        )
    if not 0 <= u_rel <= MOST_U:
        raise OutOfRange(
            words("an uncertainty of {u} is not between 0 and {most}", u=u_rel, most=MOST_U),
            value=u_rel, low=0, high=MOST_U,
        )  # fmt: skip
    spread = _spread(way, torque, u_rel, fastening, friction)
    now = _torque_now(way, torque, read_as, spread)
    share = None if tightened is None else _share(now, tightened)
    clamp = None
    if fastening is not None and friction is not None:
        clamp = _clamp(now, fastening, friction)
    about = audit_ways()[way]
    reasons = _reasons(about, read_as, spread)
    if earlier and way in TURNS_ON:
        reasons += (
            words(
                "It was turned on for an audit {count} times before: each steps the tension "
                "upward (a bolted joints text, trade practice 7.6).",
                count=earlier,
            ),
        )
    return Audit(about, _verdict(now, low, high), now, share, clamp, reasons)


def _spread(
    way: Way,
    torque: float,
    u_rel: float,
    fastening: Fastening | None,
    friction: tuple[float, float] | None,
) -> float:
    """Return the relative standard deviation of a reading as a torque that turns it on now."""
    if way != "to_mark":
        return math.hypot(u_rel, RESTART_U)
    mark = 0.0
    if fastening is not None and fastening.clamp_rate is not None and friction is not None:
        (band,) = clamp_bands(fastening, [Step("torque", torque)], friction=friction,
                              torque_u_rel=u_rel)  # fmt: skip
        mark = MARK_U_DEG * fastening.clamp_rate / band.nominal
    return math.hypot(u_rel, SECOND_TIME_U, mark)


def _torque_now(way: Way, torque: float, read_as: ReadAs, spread: float) -> Range:
    """Return the torque that would turn it on now, N·m."""
    below, above = max(0.0, 1 - REACH * spread), 1 + REACH * spread
    if way == "breakaway":
        least, most = HEALTHY
        return Range(torque * below / most, torque * above / least)
    if read_as == "stood":
        return Range(torque * below / JERK, None)
    if read_as == "moved":
        return Range(None, torque * above)
    return Range(torque * below / (JERK if read_as == "peak" else 1.0), torque * above)


def _share(now: Range, tightened: Tightened) -> Range:
    reach = REACH * tightened.u_rel
    return Range(
        None if now.low is None else now.low / (tightened.torque * (1 + reach)),
        None if now.high is None else now.high / (tightened.torque * (1 - reach)),
    )


def _clamp(now: Range, fastening: Fastening, friction: tuple[float, float]) -> Range:
    """Return the clamp load, N; the torque's band is in `now`, so none is added here."""

    def at(torque: float | None, end: str) -> float | None:
        if torque is None:
            return None
        if torque == 0:
            return 0.0
        step = [Step("torque", torque)]
        (band,) = clamp_bands(fastening, step, friction=friction, torque_u_rel=0.0)
        return float(getattr(band, end))

    return Range(at(now.low, "p05"), at(now.high, "p95"))


def _verdict(now: Range, low: float | None, high: float | None) -> Verdict:
    """Hold a band against the procedure's limits: only what all of it says is said."""
    if low is not None and now.high is not None and now.high < low:
        return "less"
    if high is not None and now.low is not None and now.low > high:
        return "more"
    if low is None or now.low is None or now.low < low:
        return "not known"
    if high is not None and now.high is not None and now.high <= high:
        return "holds"
    return "at least"


def _reasons(about: AuditWay, read_as: ReadAs, spread: float) -> tuple[Words, ...]:
    found = [
        words("It tells {tells}.", tells=about.tells),
        words("What it cannot tell: {cannot}.", cannot=about.cannot),
        words("What it does: {changes}.", changes=about.changes),
        words(
            "The band takes in {percent:.0f} % of standard deviation from wrench and friction "
            "(friction's part: ours, no source).",
            percent=100 * spread,
        ),
    ]
    if read_as == "peak" and about.way == "first_movement":
        found.append(
            words(
                "The highest reading is the jerk of coming loose: the torque while it moves may be "
                "up to {percent:.0f} % less (ours, no source).",
                percent=100 * (1 - 1 / JERK),
            )
        )
    if read_as in {"stood", "moved"}:
        found.append(
            words(
                "A click wrench only says at least, or less than: it cannot show that a torque is "
                "too high (common practice, no source)."
            )
        )
    return tuple(found)


VERDICTS: Mapping[Verdict, Words] = {
    "holds": words("what it takes to turn it on now lies within the procedure's limits"),
    "at least": words("it takes at least what the procedure asks; more cannot be told"),
    "less": words("it takes less than the procedure asks: clamp load was lost, or never there"),
    "more": words("it takes more than the procedure allows: over-tightened, or friction grew"),
    "not known": words("the band reaches past a limit: whether it holds cannot be told this way"),
}


def audited_words(body: Mapping[str, Any]) -> Words:
    """Say in one sentence what an audit of the log found.

    Parameters
    ----------
    body : mapping
        Of its entry.

    Returns
    -------
    Words
    """
    said = {
        "fastener": body["fastener"],
        "title": from_data(body["title"]),
        "date": body["date"],
        "reading": f"{body['reading']['value']} {body['reading']['unit']}",
        "verdict": body["verdict"],
        "found": from_data(body["found"]),
        "low": body["torque"]["low"] or "?",
        "high": body["torque"]["high"] or "?",
    }
    return words(
        "Fastener {fastener}, {date}, {title}, {reading}: {verdict}. Turns on now at {low} to "
        "{high} N·m; {found}.",
        **said,
    )
