"""What still has to be done after the last click: planned, done, overdue or refused, with reasons.

A follow-up belongs to a joint of a job and is due after a distance, running hours, days or heat
cycles. How a joint is tightened again is asked where practice is in conflict; a joint that was
tightened by angle or past yield is never tightened again by turning on.
"""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from typing import Any, Literal, get_args

from clampwright.errors import Missing, Refused
from clampwright.procedure.stage import Stage
from clampwright.words import Words, words
from clampwright.work.job import Joint

FOLLOW_UP_PLANNED = "follow_up_planned"
FOLLOW_UP_SETTLED = "follow_up_settled"
"""Kinds of entries."""

What = Literal["retorque", "check", "audit"]
Outcome = Literal["done", "refused"]
WHATS: tuple[What, ...] = get_args(What)
OUTCOMES: tuple[Outcome, ...] = get_args(Outcome)
AFTER = ("distance_km", "hours", "days", "heat_cycles")
"""What it may be due after; whichever comes first."""
TURNED_FOR_GOOD = frozenset({"angle", "stretch"})
"""Kinds of stages after which turning on would spoil the clamp load."""


@dataclass(frozen=True, slots=True)
class Option:
    """A line of advice from the tables.

    Parameters
    ----------
    name : str
    say : Words
    source : str
    row : mapping
        The whole row.
    """

    name: str
    say: Words
    source: str
    row: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class FollowUp:
    """One thing to be done later.

    Parameters
    ----------
    id : str
    job, joint : str
    what : str
        ``retorque``, ``check`` or ``audit``.
    how : str
        Name of the way a joint is tightened again; empty for a check.
    after : mapping of str to float
        By `AFTER`: km, h, d, count.
    told : str
        Who was told.
    planned : datetime.date
    source : str
        Where the figure comes from.
    outcome : str
        ``done`` or ``refused``; empty while it is open.
    settled : datetime.date or None
    reason : str
    """

    id: str
    job: str
    joint: str
    what: What
    how: str
    after: Mapping[str, float]
    told: str
    planned: dt.date
    source: str
    outcome: str = ""
    settled: dt.date | None = None
    reason: str = ""

    @property
    def day(self) -> dt.date | None:
        """The day it is due, where days or hours say so."""
        days = [self.after["days"]] if "days" in self.after else []
        if "hours" in self.after:
            days.append(self.after["hours"] / 24)
        return self.planned + dt.timedelta(days=min(days)) if days else None

    def state(self, today: dt.date) -> str:
        """Return how it stands.

        Parameters
        ----------
        today : datetime.date

        Returns
        -------
        str
            ``done``, ``refused``, ``overdue`` or ``open``.
        """
        if self.outcome:
            return self.outcome
        return "overdue" if self.day is not None and self.day < today else "open"


@lru_cache(maxsize=1)
def advice() -> tuple[Option, ...]:
    """Return what practice says about when, each line with its source.

    Returns
    -------
    tuple of Option
    """
    return _table("follow_up.csv")


@lru_cache(maxsize=1)
def ways() -> tuple[Option, ...]:
    """Return the two ways of tightening a joint again, which practice does not agree on.

    Returns
    -------
    tuple of Option
    """
    return _table("follow_up_how.csv")


def _table(name: str) -> tuple[Option, ...]:
    text = resources.files(__package__).joinpath(name).read_text("utf-8")
    return tuple(
        Option(row["name"], Words(row["say"]), row["source"], row)
        for row in csv.DictReader(text.splitlines())
    )


def advice_for(joint: Joint) -> tuple[Option, ...]:
    """Return the lines of advice that concern a joint.

    Parameters
    ----------
    joint : Joint

    Returns
    -------
    tuple of Option
    """
    return tuple(one for one in advice() if one.row["for"] in (joint.has or ()))


def why_not_again(stages: Iterable[Stage]) -> Words | None:
    """Say why a joint must not be tightened again by turning on.

    Parameters
    ----------
    stages : iterable of Stage

    Returns
    -------
    Words or None
    """
    kinds = {stage.kind for stage in stages} & TURNED_FOR_GOOD
    if not kinds:
        return None
    return words(
        "it was tightened by angle or stretch: turning on would stretch it further, and its "
        "torque says nothing about its clamp load (common practice, no source). Look at the marks, "
        "or ask the maker"
    )


def plan_follow_up(
    joint: Joint,
    stages: Iterable[Stage],
    *,
    what: str,
    how: str,
    after: Mapping[str, float],
    told: str,
    source: str,
) -> dict[str, Any]:
    """Return the body of the entry that plans a follow-up.

    Parameters
    ----------
    joint : Joint
    stages : iterable of Stage
        Of its procedure.
    what : str
    how : str
    after : mapping of str to float
    told : str
        Who was told.
    source : str
        Where the figure comes from.

    Returns
    -------
    dict

    Raises
    ------
    Refused
        When the joint must not be tightened again, or nothing says when.
    Missing
        When it is to be tightened again and nobody said how.
    """
    if what not in WHATS:
        raise Refused(words("{what!r} is none of {known}", what=what, known=", ".join(WHATS)))
    odd = sorted(name for name, value in after.items() if name not in AFTER or not value > 0)
    if odd or not after:
        raise Refused(
            words("say after what it is due, with a number above 0: km, hours, days, heat cycles")
        )
    if not told.strip():
        raise Missing(words("say who was told"), "who was told")
    if what == "retorque":
        problem = why_not_again(stages)
        if problem is not None:
            raise Refused(words("{joint}: {why}", joint=joint.title, why=problem))
        _check_way(how)
    return {
        "joint": joint.id,
        "what": what,
        "how": how if what == "retorque" else "",
        "after": {name: f"{value:g}" for name, value in after.items()},
        "told": told.strip(),
        "source": source.strip() or "common practice, no source",
    }


def _check_way(how: str) -> None:
    known = {one.name: one for one in ways()}
    if how not in known:
        told = "; ".join(f"{one.name} ({one.source})" for one in known.values())
        raise Missing(
            words("practice is in conflict about how: choose one of {ways}", ways=told), "how"
        )


def follow_ups(entries: Iterable[Mapping[str, Any]]) -> tuple[FollowUp, ...]:
    """Fold the log's entries into the follow-ups as they stand.

    Parameters
    ----------
    entries : iterable of mapping
        Entries of the log, in its order; other kinds are passed over.

    Returns
    -------
    tuple of FollowUp
    """
    found: dict[str, FollowUp] = {}
    for entry in entries:
        body = entry["body"]
        if entry["kind"] == FOLLOW_UP_PLANNED:
            found[entry["id"]] = _planned(entry)
        elif entry["kind"] == FOLLOW_UP_SETTLED and body["follow_up"] in found:
            found[body["follow_up"]] = replace(
                found[body["follow_up"]],
                outcome=body["outcome"],
                settled=dt.date.fromisoformat(body["date"]),
                reason=body["reason"],
            )
    return tuple(found.values())


def _planned(entry: Mapping[str, Any]) -> FollowUp:
    body = entry["body"]
    return FollowUp(
        id=entry["id"],
        job=body["job"],
        joint=body["joint"],
        what=body["what"],
        how=body["how"],
        after={name: float(value) for name, value in body["after"].items()},
        told=body["told"],
        planned=dt.date.fromisoformat(body["date"]),
        source=body["source"],
    )


def when(after: Mapping[str, float]) -> Words:
    """Say after what a follow-up is due.

    Parameters
    ----------
    after : mapping of str to float

    Returns
    -------
    Words
    """
    said = {
        "distance_km": lambda n: words("after {n} km", n=f"{n:g}"),
        "hours": lambda n: words("after {n} hours", n=f"{n:g}"),
        "days": lambda n: words("after {n} days", n=f"{n:g}"),
        "heat_cycles": lambda n: words("after {n} times hot and cold", n=f"{n:g}"),
    }
    parts = [said[name](after[name]) for name in AFTER if name in after]
    told = parts[0]
    for part in parts[1:]:
        told = words("{one} or {other}", one=told, other=part)
    if len(parts) > 1:
        return words("{when}, whichever comes first", when=told)
    return told
