"""Finding pulls of the past: by machine, part, tool, person, day and verdict."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from clampwright.errors import Refused
from clampwright.words import words
from clampwright.work.bygone import VERDICTS
from clampwright.work.history import same_name

KINDS = ("job_opened", "pull", "pull_accepted", "fastener_restarted")
"""Kinds of entries that are needed."""
SINGLE = (
    "body.joint",
    "body.fastener",
    "body.stage",
    "body.tool",
    "body.verdict",
    "body.made_by.person",
    "body.entry",
)
"""Members of them that are needed by themselves."""
TOGETHER = (
    "body.plan.title",
    "body.plan.machine",
    "body.plan.joints",
    "body.received",
    "body.turned",
    "body.found.final_torque_nm",
)
"""Members that are needed as JSON text."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is looked for; what is empty does not matter.

    Parameters
    ----------
    machine, part, tool : str
        Pieces of a machine's name, of a joint's title or id, of a tool's id.
    person : str
        Id of a person, whole.
    since, until : datetime.date or None
        Both included.
    verdicts : tuple of str
    text : str
        Words that all stand somewhere in job, machine, part or tool.
    standing : bool
        Leave out pulls that were voided or repeated.

    Raises
    ------
    Refused
        When the days are in the wrong order, or a verdict is not known.
    """

    machine: str = ""
    part: str = ""
    tool: str = ""
    person: str = ""
    since: dt.date | None = None
    until: dt.date | None = None
    verdicts: tuple[str, ...] = ()
    text: str = ""
    standing: bool = False

    def __post_init__(self) -> None:
        if self.since and self.until and self.since > self.until:
            raise Refused(
                words(
                    "the first day, {since}, is after the last, {until}",
                    since=self.since.isoformat(),
                    until=self.until.isoformat(),
                )
            )
        for verdict in self.verdicts:
            if verdict not in VERDICTS:
                raise Refused(
                    words(
                        "there is no verdict {verdict!r}; there are {known}",
                        verdict=verdict,
                        known=", ".join(VERDICTS),
                    )
                )

    def fits(self, one: FoundPull) -> bool:
        """Whether a pull is one of those looked for."""
        return (
            _in(self.machine, one.machine)
            and (_in(self.part, one.joint_title) or _in(self.part, one.joint))
            and _in(self.tool, one.tool)
            and self.person in {"", one.person}
            and (self.since is None or one.time.date() >= self.since)
            and (self.until is None or one.time.date() <= self.until)
            and (not self.verdicts or one.verdict in self.verdicts)
            and not (self.standing and one.undone)
            and all(_in(word, one.all_words) for word in self.text.split())
        )


@dataclass(frozen=True, slots=True)
class FoundPull:
    """One pull of the past.

    Parameters
    ----------
    entry, job, title, machine, joint, joint_title : str
    fastener, stage : int
    time : datetime.datetime
        By the clock of the device.
    tool, person, verdict : str
        Empty where there was none.
    torque_nm, turned_deg : float or None
        What the fastener received.
    accepted, undone : bool
        A person went on in spite of the verdict; it was voided, or pulled again.
    """

    entry: str
    job: str
    title: str
    machine: str
    joint: str
    joint_title: str
    fastener: int
    stage: int
    time: dt.datetime
    tool: str
    person: str
    verdict: str
    torque_nm: float | None
    turned_deg: float | None
    accepted: bool = False
    undone: bool = False

    @property
    def all_words(self) -> str:
        """Everything a word may stand in."""
        job = f"{self.job} {self.title} {self.machine}"
        return f"{job} {self.joint} {self.joint_title} {self.tool}"


def _in(part: str, whole: str) -> bool:
    return same_name(part) in same_name(whole)


@dataclass(slots=True)
class _Job:
    title: str
    machine: str
    joints: Mapping[str, str]


@dataclass(slots=True)
class _Gathered:
    """Pulls by their entry, with what came to pass with them later."""

    jobs: dict[str, _Job] = field(default_factory=dict)
    pulls: dict[str, FoundPull] = field(default_factory=dict)
    standing: dict[tuple[str, str, int], dict[int, str]] = field(default_factory=dict)

    def take(self, glimpse: Sequence[Any]) -> None:
        """Take in one entry."""
        entry, kind, job, time, joint, fastener, stage, tool, verdict, by, of, told = glimpse
        if kind == "job_opened":
            title, machine, joints, *_rest = json.loads(told)
            names = {one["id"]: str(one["title"]) for one in joints or ()}
            self.jobs[job] = _Job(str(title), str(machine), names)
        elif kind == "pull_accepted":
            if of in self.pulls:
                self.pulls[of] = replace(self.pulls[of], accepted=True)
        elif kind == "fastener_restarted":
            for undone in self.standing.pop((job, joint, fastener), {}).values():
                self._undo(undone)
        elif job in self.jobs:
            stages = self.standing.setdefault((job, joint, fastener), {})
            if stage in stages:
                self._undo(stages[stage])
            stages[stage] = entry
            known = self.jobs[job]
            _title, _machine, _joints, received, turned, final, *_rest = json.loads(told)
            self.pulls[entry] = FoundPull(
                entry,
                job,
                known.title,
                known.machine,
                joint,
                known.joints.get(joint, joint),
                int(fastener),
                int(stage),
                dt.datetime.fromisoformat(time),
                tool or "",
                by or "",
                verdict or "",
                _figure((received or {}).get("torque")) or (float(final) if final else None),
                _figure(turned),
            )

    def _undo(self, entry: str) -> None:
        self.pulls[entry] = replace(self.pulls[entry], undone=True)


def _figure(given: Mapping[str, str] | None) -> float | None:
    """Return a value of the log in its own unit: N·m for received torque, degrees for angles."""
    return float(given["value"]) if given else None


def find(glimpses: Iterable[Sequence[Any]], wanted: Wanted) -> Iterator[FoundPull]:
    """Find pulls, the newest first.

    Parameters
    ----------
    glimpses : iterable of sequence
        Of the entries `KINDS`, with the members `SINGLE` and `TOGETHER`, in the order of the log.
    wanted : Wanted

    Yields
    ------
    FoundPull
    """
    gathered = _Gathered()
    for glimpse in glimpses:
        gathered.take(glimpse)
    for one in reversed(gathered.pulls.values()):
        if wanted.fits(one):
            yield one
