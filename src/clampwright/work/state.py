"""How far a job has come, as plain frozen data: what `clampwright.work.fold` makes of entries."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from clampwright.words import Words
from clampwright.work.aside import Aside
from clampwright.work.unsigned import Unsigned

Entry = Mapping[str, Any]


@dataclass(frozen=True, slots=True, order=True)
class PullKey:
    """Which pull: a stage of a joint on one fastener.

    Parameters
    ----------
    joint : str
    stage : int
        Counted from 1.
    fastener : int
        Counted from 1; 0 for a stage that concerns the joint as a whole, such as a wait.
    """

    joint: str
    stage: int
    fastener: int


@dataclass(frozen=True, slots=True)
class Pull:
    """One pull as the log holds it.

    Parameters
    ----------
    entry : str
        Id of its entry.
    key : PullKey
    verdict : str
    reasons : tuple of Words
    next : Words or None
        What was advised.
    body : mapping
        The whole body, for reports.
    accepted : bool
        A person went on in spite of the verdict, with a reason.
    voided : bool
        It counts no more: the fastener was started again after it, or something happened.
    confirmed : bool or None
        Whether a second person read the same; None where nobody read it again.
    doubted : bool
        The wrench it was made with is in doubt.
    taken_back : str
        Why it was taken back, where it was entered by mistake.
    """

    entry: str
    key: PullKey
    verdict: str
    reasons: tuple[Words, ...]
    next: Words | None
    body: Mapping[str, Any]
    accepted: bool = False
    voided: bool = False
    confirmed: bool | None = None
    doubted: bool = False
    taken_back: str = ""

    @property
    def turned(self) -> float:
        """Angle turned in this pull, degrees; 0 where none was measured."""
        measured = self.body.get("turned")
        return float(measured["value"]) if measured else 0.0

    @property
    def turned_u(self) -> float:
        """Standard uncertainty of that angle, degrees; 0 where none is told."""
        measured = self.body.get("measured")
        return float(measured["standard_uncertainty"]["value"]) if measured else 0.0

    @property
    def blocks(self) -> bool:
        """Whether this fastener must be started again (or the verdict accepted) before going on."""
        if self.voided or self.accepted or self.verdict == "within":
            return False
        return self.verdict in {"over", "void"} or self._yielded_early

    @property
    def _yielded_early(self) -> bool:
        """Whether it stretched for good in a stage that ends at a torque."""
        found = self.body.get("found") or {}
        limits = self.body.get("limits") or {}
        reached = (found.get("yield") or {}).get("reached") is True
        return reached and limits.get("quantity") == "torque"

    @property
    def settled(self) -> bool:
        """Whether the work may go on to the next pull."""
        held = self.verdict == "within" and self.confirmed is not False
        return not self.voided and (held or self.accepted)


@dataclass(frozen=True, slots=True)
class Settled:
    """What became of a point of the preparation list.

    Parameters
    ----------
    entry : str
        Id of its entry.
    how : str
        ``ticked``, ``chosen``, ``answered`` or ``skipped``.
    answer : str
        The option chosen, or the person's own words.
    reason : str
        Why it was skipped.
    body : mapping
        The whole body, for reports.
    """

    entry: str
    how: str
    answer: str
    reason: str
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Noted:
    """Something that happened, or that was settled of it, as the log holds it.

    Parameters
    ----------
    entry, kind : str
        Id and kind of its entry.
    body : mapping
    taken_back : str
        Why it was taken back; empty where it stands.
    """

    entry: str
    kind: str
    body: Mapping[str, Any]
    taken_back: str = ""


@dataclass(frozen=True, slots=True)
class Due:
    """What something that happened leaves open.

    Parameters
    ----------
    entry : str
        Id of the entry that left it open.
    joint : str
    name : str
        One of `clampwright.work.happening_tables.due_kinds`.
    fasteners : tuple of int
        To be loosened, in this order.
    renew : bool
        Whether new ones are to be fitted.
    from_stage : int
        The stage from which they are done again.
    tool : str
        Id of a tool in doubt.
    pulls : tuple of str
        Ids of the entries of its pulls.
    """

    entry: str
    joint: str
    name: str
    fasteners: tuple[int, ...] = ()
    renew: bool = False
    from_stage: int = 1
    tool: str = ""
    pulls: tuple[str, ...] = ()

    @property
    def holds_up(self) -> bool:
        """Whether nothing is pulled on its joint before it is settled."""
        return self.name != "suspect"


@dataclass(frozen=True, slots=True)
class JobState:
    """How far a job has come.

    Parameters
    ----------
    opened : mapping or None
        Body of the entry that opened the job: its file, the drawer's file, the findings.
    pulls : tuple of Pull
        In the order of the log, voided ones included.
    restarts : tuple of mapping
        Bodies of the entries by which fasteners were started again.
    closed : bool
    overrules : tuple of mapping
        Bodies of the entries by which a person took another tool than the plan said.
    read_backs : tuple of mapping
        Bodies of the entries in which a second person told what stands on a scale.
    read_again : tuple of mapping
        Bodies of the entries in which a second person told what they read of a pull.
    settled_points : mapping of (str, str) to Settled
        Of the preparation lists, by joint and point; the last answer counts.
    passed_over : mapping of (str, str) to str
        Points that were open when a person went on, with the reason.
    holds : mapping of (str, int) to mapping
        The last answer that stands to each hold point, by joint and number.
    hold_answers : tuple of mapping
        Every answer to a hold point, in the order of the log.
    apart : mapping of (str, int, int) to mapping
        What was loosened in taking apart, by joint, round and fastener.
    papers : tuple of mapping
        Bodies of the entries by which files were attached, in the order of the log.
    audits : tuple of mapping
        Bodies of the entries by which fasteners were tried afterwards, in the order of the log.
    second_looks : tuple of mapping
        Bodies of the entries of second looks at whole joints.
    happenings : tuple of Noted
        What happened and what was settled of it, in the order of the log, taken back or not.
    dues : tuple of Due
        What of it is still open.
    suspects : frozenset of str
        Ids of the tools that are laid aside because they are in doubt.
    taken_back : mapping of str to str
        Entries that were taken back, with the reason.
    aside : tuple of Aside
        What devices sent and the log could not take as what it was, in the order of the log.
    unsigned : tuple of Unsigned
        What was held open until somebody signs it, in the order of the log.
    log : tuple of mapping
        The entries it was folded from, to fold them anew when one is taken back.
    """

    opened: Mapping[str, Any] | None = None
    pulls: tuple[Pull, ...] = ()
    restarts: tuple[Mapping[str, Any], ...] = ()
    closed: bool = False
    latest: Mapping[PullKey, Pull] = field(default_factory=dict)
    overrules: tuple[Mapping[str, Any], ...] = ()
    read_backs: tuple[Mapping[str, Any], ...] = ()
    read_again: tuple[Mapping[str, Any], ...] = ()
    settled_points: Mapping[tuple[str, str], Settled] = field(default_factory=dict)
    passed_over: Mapping[tuple[str, str], str] = field(default_factory=dict)
    holds: Mapping[tuple[str, int], Mapping[str, Any]] = field(default_factory=dict)
    hold_answers: tuple[Mapping[str, Any], ...] = ()
    apart: Mapping[tuple[str, int, int], Mapping[str, Any]] = field(default_factory=dict)
    papers: tuple[Mapping[str, Any], ...] = ()
    audits: tuple[Mapping[str, Any], ...] = ()
    second_looks: tuple[Mapping[str, Any], ...] = ()
    happenings: tuple[Noted, ...] = ()
    dues: tuple[Due, ...] = ()
    suspects: frozenset[str] = frozenset()
    taken_back: Mapping[str, str] = field(default_factory=dict)
    aside: tuple[Aside, ...] = ()
    unsigned: tuple[Unsigned, ...] = ()
    log: tuple[Entry, ...] = ()

    def settled(self, key: PullKey) -> bool:
        """Return whether a pull is done, so that the work may go on."""
        pull = self.latest.get(key)
        return pull is not None and pull.settled

    def turned_already(self, key: PullKey) -> float:
        """Return what earlier, short pulls have turned of an angle, degrees."""
        return sum(
            pull.turned
            for pull in self.pulls
            if pull.key == key and not pull.voided and pull.verdict == "short"
        )

    def turned_already_u(self, key: PullKey) -> float:
        """Return the standard uncertainty of what earlier, short pulls have turned, degrees."""
        return math.hypot(
            *(
                pull.turned_u
                for pull in self.pulls
                if pull.key == key and not pull.voided and pull.verdict == "short"
            )
        )

    def reached(self, joint: str, stage: int) -> bool:
        """Return whether any pull of a stage stands."""
        return any((key.joint, key.stage) == (joint, stage) for key in self.latest)

    def count(self) -> dict[str, int]:
        """Count the standing pulls by verdict (the last one of each stage and fastener)."""
        counts: dict[str, int] = {}
        for pull in self.latest.values():
            verdict = "doubtful" if pull.doubted else pull.verdict
            counts[verdict] = counts.get(verdict, 0) + 1
        return counts

    def standing(self, joint: str, fasteners: Collection[int] | None = None) -> list[Pull]:
        """Return the pulls of a joint that stand, of some fasteners or of all."""
        return [
            pull
            for key, pull in self.latest.items()
            if key.joint == joint and (fasteners is None or key.fastener in fasteners)
        ]
