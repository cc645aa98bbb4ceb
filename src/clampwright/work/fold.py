"""The state of a job is a fold of its entries: nothing else is remembered.

Entries are the plain objects of the log (``kind``, ``id``, ``body`` ...). A correction is a new
entry; an entry is never changed. Unknown kinds are skipped, so that an older program can read a
newer log.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from clampwright.words import Words, from_data

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
        The fastener was loosened and started again after it.
    confirmed : bool or None
        Whether a second person read the same; None where nobody read it again.
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
            counts[pull.verdict] = counts.get(pull.verdict, 0) + 1
        return counts


def fold(entries: Iterable[Entry], start: JobState | None = None) -> JobState:
    """Fold entries into the state of a job.

    Parameters
    ----------
    entries : iterable of mapping
        In the order of the log.
    start : JobState, optional
        State to go on from.

    Returns
    -------
    JobState
    """
    state = start or JobState()
    for entry in entries:
        rule = _RULES.get(entry["kind"])
        state = rule(state, entry) if rule else state
    return state


def _opened(state: JobState, entry: Entry) -> JobState:
    return replace(state, opened=entry["body"])


def _pulled(state: JobState, entry: Entry) -> JobState:
    body = entry["body"]
    pull = Pull(
        entry["id"],
        PullKey(body["joint"], body["stage"], body["fastener"]),
        body["verdict"],
        tuple(from_data(reason) for reason in body["reasons"]),
        from_data(body["next"]) if body.get("next") else None,
        body,
    )
    return replace(state, pulls=(*state.pulls, pull), latest={**state.latest, pull.key: pull})


def _accepted(state: JobState, entry: Entry) -> JobState:
    accepted = entry["body"]["entry"]
    return _with_pulls(
        state, (replace(p, accepted=True) if p.entry == accepted else p for p in state.pulls)
    )


def _confirmed(state: JobState, entry: Entry) -> JobState:
    body = entry["body"]
    return _with_pulls(
        replace(state, read_again=(*state.read_again, body)),
        (
            replace(p, confirmed=body["agrees"]) if p.entry == body["entry"] else p
            for p in state.pulls
        ),
    )


def _restarted(state: JobState, entry: Entry) -> JobState:
    body = entry["body"]
    again = (body["joint"], body["fastener"])
    # What was found true between the stages has to be found again.
    holds = {
        key: answer
        for key, answer in state.holds.items()
        if key[0] != body["joint"] or answer["after"] == 0
    }
    return _with_pulls(
        replace(state, restarts=(*state.restarts, body), holds=holds),
        (
            replace(p, voided=True) if (p.key.joint, p.key.fastener) == again else p
            for p in state.pulls
        ),
    )


def _overruled(state: JobState, entry: Entry) -> JobState:
    return replace(state, overrules=(*state.overrules, entry["body"]))


def _read_back(state: JobState, entry: Entry) -> JobState:
    return replace(state, read_backs=(*state.read_backs, entry["body"]))


def _closed(state: JobState, _entry: Entry) -> JobState:
    return replace(state, closed=True)


def _point_settled(state: JobState, entry: Entry) -> JobState:
    body = entry["body"]
    settled = Settled(entry["id"], body["how"], body["answer"], body["reason"], body)
    key = (body["joint"], body["point"])
    return replace(state, settled_points={**state.settled_points, key: settled})


def _passed_over(state: JobState, entry: Entry) -> JobState:
    body = entry["body"]
    names = {(body["joint"], name): body["reason"] for name in body["open"]}
    return replace(state, passed_over={**state.passed_over, **names})


def _hold_answered(state: JobState, entry: Entry) -> JobState:
    body = entry["body"]
    holds = {**state.holds, (body["joint"], body["hold"]): body}
    return replace(state, holds=holds, hold_answers=(*state.hold_answers, body))


def _loosened(state: JobState, entry: Entry) -> JobState:
    body = entry["body"]
    key = (body["joint"], body["round"], body["fastener"])
    return replace(state, apart={**state.apart, key: body})


def _with_pulls(state: JobState, pulls: Iterable[Pull]) -> JobState:
    kept = tuple(pulls)
    return replace(state, pulls=kept, latest={p.key: p for p in kept if not p.voided})


_RULES = {
    "job_opened": _opened,
    "pull": _pulled,
    "pull_accepted": _accepted,
    "reading_confirmed": _confirmed,
    "fastener_restarted": _restarted,
    "tool_overruled": _overruled,
    "setting_read_back": _read_back,
    "job_closed": _closed,
    "hold_answered": _hold_answered,
    "fastener_loosened": _loosened,
    "preparation_settled": _point_settled,
    "preparation_passed_over": _passed_over,
}
