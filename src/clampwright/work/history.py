"""The joints of a machine over the years: what each job left, what changes, what is spent.

A joint is known again by its id and by the machine's name (small and capital letters and blanks do
not count). A fastener is taken for the same one until a job says that new ones were fitted.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from clampwright.errors import ClampwrightError
from clampwright.joint.line_fit import Line, fit_line
from clampwright.procedure.check_angle import steps_of
from clampwright.procedure.check_physics import Reckoning, surface_of
from clampwright.procedure.check_tables import Limit, limit
from clampwright.words import Words, words
from clampwright.work.bygone import Visit
from clampwright.work.job import Joint
from clampwright.work.pinned import pinned

Quantity = Literal["angle", "torque"]
_DRIFTING: tuple[Quantity, ...] = ("angle", "torque")
UNITS: Mapping[Quantity, str] = {"angle": "°", "torque": "N·m"}
COVERAGE = 0.95
LEAST_VISITS = 3
"""A trend needs as many points, to tell it from scatter."""
YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Spent:
    """How far a fastener's stretch is spent.

    Parameters
    ----------
    fastener : int
    since : datetime.date
        From when on it is taken for the same one.
    known_new : bool
        Whether it was new then.
    times : int
        How often it was tightened by angle or stretch, or seen to stretch for good, since.
    seen : int
        In how many of these a trace showed that it stretched for good.
    stretch : tuple of float or None
        Lasting stretch reckoned for all of these, mm: least and most over the friction range; None
        where the joint's mechanics are not known.
    allowed : float or None
        Stretch beyond which it is unusual, mm; the maker's figure goes first.
    """

    fastener: int
    since: dt.date
    known_new: bool
    times: int
    seen: int
    stretch: tuple[float, float] | None
    allowed: float | None


@dataclass(frozen=True, slots=True)
class Drift:
    """How what the fasteners ended at changes from job to job.

    Parameters
    ----------
    quantity : str
        ``angle``, from snug to the end, degrees; or ``torque``, at the end, N·m. The one that the
        procedure does not prescribe is the one that tells of a change.
    dates : tuple of datetime.date
    means : tuple of float
        Mean over the fasteners.
    spreads : tuple of float
        Standard deviation over the fasteners; 0 for one.
    stages : tuple of int
        Stages in which it was measured, the same each time.
    line : Line or None
        Through the means, by years; None with fewer than three.
    says : Words
    """

    quantity: Quantity
    dates: tuple[dt.date, ...]
    means: tuple[float, ...]
    spreads: tuple[float, ...]
    stages: tuple[int, ...]
    line: Line | None
    says: Words


@dataclass(frozen=True, slots=True)
class JointHistory:
    """A joint of a machine over the years.

    Parameters
    ----------
    joint, title : str
    visits : tuple of Visit
        Oldest first.
    drifts : tuple of Drift
        Of the angle, of the torque, or of both, where they were measured.
    spent : tuple of Spent
        Of the fasteners that were tightened by angle or stretch, or seen to stretch.
    """

    joint: str
    title: str
    visits: tuple[Visit, ...]
    drifts: tuple[Drift, ...]
    spent: tuple[Spent, ...]

    @property
    def fasteners(self) -> tuple[int, ...]:
        """Every fastener there ever was."""
        return tuple(sorted({one.fastener for visit in self.visits for one in visit.outcomes}))


def same_name(name: str) -> str:
    """Return what two writings of a machine's name have in common.

    Examples
    --------
    >>> same_name("Launch  Engine") == same_name("launch engine")
    True
    """
    return " ".join(name.split()).casefold()


def histories(visits: Iterable[Visit]) -> tuple[JointHistory, ...]:
    """Put the visits to one machine in order, joint by joint.

    Parameters
    ----------
    visits : iterable of Visit

    Returns
    -------
    tuple of JointHistory
        By the joint's title.
    """
    by_joint: dict[str, list[Visit]] = {}
    for visit in visits:
        by_joint.setdefault(visit.joint, []).append(visit)
    found = [_history(one) for one in by_joint.values()]
    return tuple(sorted(found, key=lambda one: (one.title, one.joint)))


def _history(visits: Sequence[Visit]) -> JointHistory:
    ordered = tuple(sorted(visits, key=lambda one: (one.date, one.job)))
    last = ordered[-1]
    drifts = (drift_of(ordered, quantity) for quantity in _DRIFTING)
    found = tuple(one for one in drifts if one is not None)
    return JointHistory(last.joint, last.joint_title, ordered, found, _spent(ordered))


def drift_of(visits: Sequence[Visit], quantity: Quantity) -> Drift | None:
    """Compare angle from snug, or final torque, across jobs with the same procedure.

    Parameters
    ----------
    visits : sequence of Visit
        Of one joint, oldest first. Those whose stages, or whose measured stages, differ from the
        newest one's are left out.
    quantity : {"angle", "torque"}

    Returns
    -------
    Drift or None
        None where the newest visit did not measure it, and for the torque of a joint that was
        tightened to a torque.
    """
    newest = next((one for one in reversed(visits) if _measured(one, quantity)[1]), None)
    if newest is None or (quantity == "torque" and not newest.turned_on):
        return None
    stages = _measured(newest, quantity)[0]
    alike = [
        one
        for one in visits
        if one.stages == newest.stages
        and _measured(one, quantity)[1]
        and _measured(one, quantity)[0] == stages
    ]
    rows = [np.asarray(_measured(one, quantity)[1]) for one in alike]
    means = tuple(float(row.mean()) for row in rows)
    spreads = tuple(float(row.std(ddof=1)) if len(row) > 1 else 0.0 for row in rows)
    dates = tuple(one.date for one in alike)
    line = _line(dates, means)
    said = _drift_words(line, len(dates), quantity)
    return Drift(quantity, dates, means, spreads, stages, line, said)


def _measured(visit: Visit, quantity: Quantity) -> tuple[tuple[int, ...], list[float]]:
    """Return the stages measured on most fasteners, and the figures of those fasteners."""
    if quantity == "torque":
        return (), [one.torque for one in visit.outcomes if one.torque is not None]
    kinds: dict[tuple[int, ...], list[float]] = {}
    for one in visit.outcomes:
        if one.turned is not None:
            kinds.setdefault(one.turned_in, []).append(one.turned)
    if not kinds:
        return (), []
    most = max(kinds, key=lambda key: (len(kinds[key]), key))
    return most, kinds[most]


def _line(dates: Sequence[dt.date], means: Sequence[float]) -> Line | None:
    if len(dates) < LEAST_VISITS or len(set(dates)) < LEAST_VISITS:
        return None
    years = [(day - dates[0]).days / YEAR for day in dates]
    return fit_line(years, means)


def _drift_words(line: Line | None, count: int, quantity: Quantity) -> Words:
    if line is None:
        return words(
            "jobs that measured it alike: {count}; a trend needs {least} on different days",
            count=count,
            least=LEAST_VISITS,
        )
    low, high = line.interval(COVERAGE)
    rate = words(
        "{slope:+.1f} {unit} a year ({low:+.1f} to {high:+.1f}, 95 %)",
        slope=line.slope,
        unit=UNITS[quantity],
        low=low,
        high=high,
    )
    if low > 0 or high < 0:
        return words(
            "it changes by {rate}: threads, faces, parts, the wrench or the way of pulling have "
            "changed; find out before relying on it",
            rate=rate,
        )
    return words("no trend can be told: {rate}", rate=rate)


def _spent(visits: Sequence[Visit]) -> tuple[Spent, ...]:
    numbers = sorted({one.fastener for visit in visits for one in visit.outcomes})
    found = (_spent_of(number, visits) for number in numbers)
    return tuple(one for one in found if one is not None)


def _spent_of(number: int, visits: Sequence[Visit]) -> Spent | None:
    since, new, times, seen = visits[0].date, False, 0, 0
    stretch: tuple[float, float] | None = (0.0, 0.0)
    allowed: float | None = None
    for visit in visits:
        outcome = next((one for one in visit.outcomes if one.fastener == number), None)
        if outcome is None or not outcome.pulls:
            continue
        joint = _joint(visit)
        fitted_new = visit.new_fitted or (joint is not None and joint.fitted == "new")
        if outcome.renewed or fitted_new:
            since, new, times, seen, stretch = visit.date, True, 0, 0, (0.0, 0.0)
        if not (visit.turned_on or outcome.stretched):
            continue
        times += 1
        seen += outcome.stretched
        reckoned = None if joint is None else lasting_stretch(joint, number)
        stretch = _added(stretch, reckoned)
        allowed = None if joint is None else _allowed(joint)
    if not times:
        return None
    return Spent(number, since, new, times, seen, stretch, allowed)


def _added(
    stretch: tuple[float, float] | None, more: tuple[float, float] | None
) -> tuple[float, float] | None:
    if stretch is None or more is None:
        return None
    return stretch[0] + more[0], stretch[1] + more[1]


def _joint(visit: Visit) -> Joint | None:
    """Return the joint as its job described it, or None where it cannot be read any more."""
    try:
        job = pinned(visit.opened)[0]
    except (ClampwrightError, KeyError, ValueError):
        return None
    return next((one for one in job.joints if one.id == visit.joint), None)


def lasting_stretch(joint: Joint, fastener: int) -> tuple[float, float] | None:
    """Reckon by how much one tightening stretches a fastener for good.

    Parameters
    ----------
    joint : Joint
        With its fastening, friction and stages.
    fastener : int

    Returns
    -------
    tuple of float or None
        Least and most over the friction range, mm; None where the mechanics are not known.

    References
    ----------
    Derived; see `clampwright.joint.torque_angle`.
    """
    if joint.fastening is None or joint.friction is None:
        return None
    reckoning = Reckoning(joint.fastening, surface_of(joint.friction))
    try:
        stages = [
            (number, stage)
            for number, stage in enumerate(joint.procedure.stages, 1)
            if fastener in joint.fasteners_of(stage)
        ]
        states = reckoning.follow(steps_of(stages, reckoning)[1])
    except ClampwrightError:
        return None
    known = [
        np.atleast_1d(one.plastic_stretch) for one in states if one.plastic_stretch is not None
    ]
    if not known:
        return (0.0, 0.0) if states else None
    return float(np.min(known[-1])), float(np.max(known[-1]))


def _allowed(joint: Joint) -> float | None:
    length = None if joint.fastening is None else joint.fastening.plastic_length
    budget: Limit = limit("plastic_strain")
    return None if length is None else budget.part * length
