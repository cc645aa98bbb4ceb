"""The state of a job is a fold of its entries: nothing else is remembered.

Entries are the plain objects of the log (``kind``, ``id``, ``body`` ...). A correction is a new
entry; an entry is never changed. Unknown kinds are skipped, so that an older program can read a
newer log.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from clampwright.words import from_data
from clampwright.work import aftermath, unsigned
from clampwright.work.aside import aside_settled, kept_aside
from clampwright.work.hands import NAMED
from clampwright.work.state import Entry, JobState, Pull, PullKey, Settled

__all__ = ["Entry", "JobState", "Pull", "PullKey", "Settled", "fold"]


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
        kind = entry["kind"]
        if kind == aftermath.TAKEN_BACK:
            state = _taken_back(state, entry)
        elif rule := _RULES.get(kind):
            after = rule(state, entry)
            if after.unsigned:
                after = replace(after, unsigned=unsigned.signed(after.unsigned, entry["id"]))
            if entry["id"] in state.taken_back:
                after = aftermath.without(state, after, entry)
            state = replace(after, log=(*after.log, entry))
    return state


def _taken_back(state: JobState, entry: Entry) -> JobState:
    """Fold everything anew, as if the entry that is taken back had only been shown.

    What cannot be taken back stays; nothing of the attempt is remembered, so that it does not come
    to mean something later.
    """
    body = entry["body"]
    if aftermath.why_not(state, body["entry"]) is not None:
        return state
    taken_back = {**state.taken_back, body["entry"]: body["reason"]}
    again = fold(
        (one for one in state.log if one["kind"] != aftermath.TAKEN_BACK),
        JobState(taken_back=taken_back),
    )
    return replace(again, log=(*state.log, entry))


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
    return aftermath.with_pulls(
        state, (replace(p, accepted=True) if p.entry == accepted else p for p in state.pulls)
    )


def _confirmed(state: JobState, entry: Entry) -> JobState:
    body = entry["body"]
    return aftermath.with_pulls(
        replace(state, read_again=(*state.read_again, body)),
        (
            replace(p, confirmed=body["agrees"]) if p.entry == body["entry"] else p
            for p in state.pulls
        ),
    )


def _restarted(state: JobState, entry: Entry) -> JobState:
    body = entry["body"]
    state = aftermath.holds_again(state, body["joint"], from_stage=1)
    state = aftermath.loosened(state, body["joint"], body["fastener"], renewed=body["renewed"])
    pulls = [p.entry for p in state.pulls if _of_fastener(p, body["joint"], body["fastener"])]
    return replace(aftermath.with_voided(state, pulls), restarts=(*state.restarts, body))


def _of_fastener(pull: Pull, joint: str, fastener: int) -> bool:
    return (pull.key.joint, pull.key.fastener) == (joint, fastener)


def _overruled(state: JobState, entry: Entry) -> JobState:
    return replace(state, overrules=(*state.overrules, entry["body"]))


def _read_back(state: JobState, entry: Entry) -> JobState:
    return replace(state, read_backs=(*state.read_backs, entry["body"]))


def _second_look(state: JobState, entry: Entry) -> JobState:
    return replace(state, second_looks=(*state.second_looks, entry["body"]))


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


def _attached(state: JobState, entry: Entry) -> JobState:
    return replace(state, papers=(*state.papers, entry["body"]))


def _audited(state: JobState, entry: Entry) -> JobState:
    return replace(state, audits=(*state.audits, entry["body"]))


def _loosened(state: JobState, entry: Entry) -> JobState:
    body = entry["body"]
    key = (body["joint"], body["round"], body["fastener"])
    return replace(state, apart={**state.apart, key: body})


def _kept_aside(state: JobState, entry: Entry) -> JobState:
    return replace(state, aside=kept_aside(state.aside, entry))


def _aside_settled(state: JobState, entry: Entry) -> JobState:
    return replace(state, aside=aside_settled(state.aside, entry))


def _held_open(state: JobState, entry: Entry) -> JobState:
    return replace(state, unsigned=unsigned.held_open(state.unsigned, entry))


def _not_signed(state: JobState, entry: Entry) -> JobState:
    return replace(state, unsigned=unsigned.refused(state.unsigned, entry))


def _hand_named(state: JobState, _entry: Entry) -> JobState:
    return state  # it changes no work; whose hand it was is read from the entries themselves


_RULES = {
    "job_opened": _opened,
    "pull": _pulled,
    "pull_accepted": _accepted,
    "reading_confirmed": _confirmed,
    "fastener_restarted": _restarted,
    "tool_overruled": _overruled,
    "setting_read_back": _read_back,
    "second_look_taken": _second_look,
    "job_closed": _closed,
    "hold_answered": _hold_answered,
    "fastener_loosened": _loosened,
    "joint_audited": _audited,
    "paper_attached": _attached,
    "preparation_settled": _point_settled,
    "preparation_passed_over": _passed_over,
    aftermath.HAPPENED: aftermath.happened,
    aftermath.SETTLED: aftermath.settled,
    "kept_aside": _kept_aside,
    "aside_settled": _aside_settled,
    unsigned.AWAITED: _held_open,
    unsigned.REFUSED: _not_signed,
    NAMED: _hand_named,
}
