"""A tool was found off: which pulls of which jobs it may have spoilt, and what to do about each.

Two stories stand side by side, since nobody knows when it went: it drifted evenly over the window,
or it shifted all at once (at a known drop, or at a moment nobody knows).
"""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Literal, NamedTuple

import numpy as np

from clampwright.drawer.calibration import Direction
from clampwright.drawer.metrology.likely_torque import likely_torques
from clampwright.drawer.window import Window
from clampwright.errors import ClampwrightError
from clampwright.words import words

Advice = Literal["fine", "recheck", "redo"]
ADVICE: tuple[Advice, ...] = ("fine", "recheck", "redo")
ADVICE_WORDS = {
    "fine": words("leave it"),
    "recheck": words("check it again"),
    "redo": words("do it again"),
}
"""Decisions in words."""


class PastPull(NamedTuple):
    """One pull made with the tool, as the log holds it; light, for there can be very many.

    Parameters
    ----------
    entry : str
    job, machine, joint, title : str
        Ids of job and joint, the machine, and what the joint is called.
    harm_level : int
    stage, fastener : int
    time : datetime.datetime
        When it was made.
    shown : float
        What the tool showed or was set to, N·m at its square.
    ratio : float
        Torque at the fastener over torque at the square (an adapter).
    low, high : float
        The joint's own limits, N·m at the fastener; 0 and infinite where open.
    direction : str
    clamp : float or None
        Clamp load at the target torque, N, where it was computed.
    target : float or None
        That torque, N·m.
    """

    entry: str
    job: str
    machine: str
    joint: str
    title: str
    harm_level: int
    stage: int
    fastener: int
    time: dt.datetime
    shown: float
    ratio: float
    low: float
    high: float
    direction: Direction = "cw"
    clamp: float | None = None
    target: float | None = None


class LikelyPull(NamedTuple):
    """One pull, and what it probably received.

    Parameters
    ----------
    pull : PastPull
    drift_torque, shift_torque : float
        At the fastener, N·m, by each story.
    drift_chance, shift_chance : float
        Chance that it lay outside the joint's own limits.
    """

    pull: PastPull
    drift_torque: float
    shift_torque: float
    drift_chance: float
    shift_chance: float

    @property
    def chance(self) -> float:
        """The worse of the two chances."""
        return max(self.drift_chance, self.shift_chance)

    @property
    def worse_torque(self) -> float:
        """Torque by the story with the worse chance, N·m."""
        by_drift = self.drift_chance > self.shift_chance
        return self.drift_torque if by_drift else self.shift_torque

    def clamp(self, torque: float) -> float | None:
        """Return the clamp load at a torque, N; it goes with the torque."""
        pull = self.pull
        if pull.clamp is None or not pull.target:
            return None
        return pull.clamp * torque / pull.target


@dataclass(frozen=True, slots=True)
class JointInQuestion:
    """One joint with every pull that the tool made on it in the window.

    Parameters
    ----------
    pulls : tuple of LikelyPull
        The worst first.
    advice : str
        What the table advises: ``fine``, ``recheck`` or ``redo``. A person decides.
    """

    pulls: tuple[LikelyPull, ...]
    advice: Advice

    @property
    def worst(self) -> LikelyPull:
        """The pull most likely outside its limits."""
        return self.pulls[0]

    @property
    def harm_level(self) -> int:
        """What happens if the joint fails."""
        return self.worst.pull.harm_level


@dataclass(frozen=True, slots=True)
class Review:
    """What a finding may have spoilt.

    Parameters
    ----------
    window : Window
    joints : tuple of JointInQuestion
        By harm level, the likeliest first.
    outside : int
        Pulls with the tool that lie outside the window.
    by : str
        ``days`` or ``uses``: how time in the window was measured.
    """

    window: Window
    joints: tuple[JointInQuestion, ...]
    outside: int
    by: str

    @property
    def count(self) -> int:
        """Number of pulls looked at."""
        return sum(len(joint.pulls) for joint in self.joints)


@lru_cache(maxsize=1)
def _limits() -> dict[int, tuple[float, float]]:
    text = files(__package__).joinpath("look_back_advice.csv").read_text(encoding="utf-8")
    return {
        int(row["harm_level"]): (
            float(row["recheck_from_percent"]) / 100,
            float(row["redo_from_percent"]) / 100,
        )
        for row in csv.DictReader(text.splitlines())
    }


def advice_for(chance: float, harm_level: int) -> Advice:
    """Return what a chance of lying outside the limits calls for.

    Parameters
    ----------
    chance : float
    harm_level : int

    Returns
    -------
    str

    Examples
    --------
    >>> advice_for(0.05, 1), advice_for(0.05, 3)
    ('recheck', 'fine')
    """
    recheck, redo = _limits()[harm_level]
    if chance >= redo:
        return "redo"
    return "recheck" if chance >= recheck else "fine"


def review(window: Window, pulls: Sequence[PastPull], *, by: str = "days") -> Review:
    """Judge every pull of the window and gather them by joint.

    Parameters
    ----------
    window : Window
    pulls : sequence of PastPull
        All pulls with the tool, in the order of the log.
    by : {"days", "uses"}
        What the drift goes with: the calendar, or how often the tool was used.

    Returns
    -------
    Review

    Raises
    ------
    ClampwrightError
        An unknown `by`.
    """
    if by not in {"days", "uses"}:
        raise ClampwrightError(words("by is {by!r}; it must be days or uses", by=by))
    inside = [one for one in pulls if window.start <= one.time.date() <= window.found.date]
    joints: dict[tuple[str, str], list[LikelyPull]] = {}
    for one in _judged(window, inside, by):
        joints.setdefault((one.pull.job, one.pull.joint), []).append(one)
    found = [_joint(some) for some in joints.values()]
    found.sort(key=lambda joint: (joint.harm_level, -joint.worst.chance, joint.worst.pull.job))
    return Review(window, tuple(found), len(pulls) - len(inside), by)


def _judged(window: Window, pulls: Sequence[PastPull], by: str) -> list[LikelyPull]:
    if not pulls:
        return []
    shown = np.array([one.shown for one in pulls])
    ratio = np.array([one.ratio for one in pulls])
    e0, u0, e1, u1 = (np.empty(len(pulls)) for _ in range(4))
    turned = np.array([one.direction == "ccw" for one in pulls])
    ways: tuple[tuple[Direction, bool], ...] = (("cw", False), ("ccw", True))
    for direction, is_ccw in ways:
        some = turned == is_ccw
        e0[some], u0[some] = window.before_at(shown[some], direction)
        e1[some], u1[some] = window.found_at(shown[some], direction)
    shares = _shares(window, pulls, by)
    shift_at = None
    if window.sudden is not None:
        after = [s for s, one in zip(shares, pulls, strict=True)
                 if one.time.date() >= window.sudden]  # fmt: skip
        shift_at = min(after, default=1.1)
    found = likely_torques(
        share=shares,
        indicated=shown * ratio,
        low=[one.low for one in pulls],
        high=[one.high for one in pulls],
        before=e0,
        found=e1,
        u_before=u0,
        u_found=u1,
        shift_at=shift_at,
    )
    rows = zip(
        pulls,
        found.drift_torque.tolist(),
        found.shift_torque.tolist(),
        found.drift_chance.tolist(),
        found.shift_chance.tolist(),
        strict=True,
    )
    return [LikelyPull(*row) for row in rows]


def _shares(window: Window, pulls: Sequence[PastPull], by: str) -> list[float]:
    if by == "uses":
        order = sorted(range(len(pulls)), key=lambda place: pulls[place].time)
        shares = [0.0] * len(pulls)
        for number, place in enumerate(order):
            shares[place] = (number + 0.5) / len(pulls)
        return shares
    days = [one.time.date() for one in pulls]
    known = {day: window.share_of(day) for day in set(days)}
    return [known[day] for day in days]


def _joint(pulls: list[LikelyPull]) -> JointInQuestion:
    pulls.sort(key=lambda one: -one.chance)
    return JointInQuestion(tuple(pulls), advice_for(pulls[0].chance, pulls[0].pull.harm_level))
