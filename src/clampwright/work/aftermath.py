"""What follows from something that happened: part of the fold of a job's entries.

What a happening does was worked out by the rules when it was noted, and stands in its entry
(``effects``): which pulls count no more, which fasteners are loosened and from which stage they are
done again, which tool is in doubt, what stays open. So the state follows from the log alone,
whatever becomes of the rules. Whoever notes something by mistake takes it back by another entry;
then everything is folded anew without it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from typing import Any

from clampwright.words import Words, words
from clampwright.work.state import Due, Entry, JobState, Noted, Pull

HAPPENED, SETTLED, TAKEN_BACK = "something_happened", "happening_settled", "taken_back"
"""Kinds of entries."""

_STACKED = frozenset(
    {
        "pull",
        "pull_accepted",
        "reading_confirmed",
        "hold_answered",
        "fastener_restarted",
        HAPPENED,
        SETTLED,
    }
)
"""Kinds that build on one another: only the last of them can be taken back. What was found true
after a stage rests on its pulls: it is taken back before them, and asked again."""


def happened(state: JobState, entry: Entry) -> JobState:
    """Take in that something happened."""
    body = entry["body"]
    noted = Noted(entry["id"], HAPPENED, body)
    state = replace(state, happenings=(*state.happenings, noted))
    return _with_effects(state, entry["id"], body["joint"], body["effects"])


def settled(state: JobState, entry: Entry) -> JobState:
    """Take in what became of something that stood open."""
    body = entry["body"]
    noted = Noted(entry["id"], SETTLED, body)
    state = replace(state, happenings=(*state.happenings, noted))
    wanted = (body["happening"], body["due"], body["joint"])
    found = next((due for due in state.dues if (due.entry, due.name, due.joint) == wanted), None)
    if found is None:
        return state
    state = replace(state, dues=tuple(due for due in state.dues if due is not found))
    if found.name == "loosen" and found.from_stage == 1:
        why = body["told"] or "what happened"
        done = [
            {"joint": found.joint, "fastener": one, "reason": why, "renewed": found.renew}
            for one in found.fasteners
        ]
        state = replace(state, restarts=(*state.restarts, *done))
    if found.name == "suspect":
        others = {due.tool for due in state.dues}
        state = replace(state, suspects=state.suspects & others)
    return _with_effects(state, entry["id"], found.joint, body["effects"])


def _with_effects(state: JobState, entry: str, joint: str, effects: Mapping[str, Any]) -> JobState:
    doubt, clear = set(effects["doubt"]), set(effects["clear"])
    if doubt or clear:
        changed = (
            replace(one, doubted=one.entry in doubt or (one.doubted and one.entry not in clear))
            for one in state.pulls
        )
        state = with_pulls(state, changed)
    if effects["suspect"]:
        state = replace(state, suspects=state.suspects | {effects["suspect"]})
    if effects["void"]:
        state = _counting_no_more(state, frozenset(effects["void"]))
    loosen = (
        Due(
            entry,
            one["joint"],
            "loosen",
            tuple(one["fasteners"]),
            renew=one["renew"],
            from_stage=one["from_stage"],
        )
        for one in effects["loosen"]
    )
    others = (
        Due(entry, joint, name, tool=effects["suspect"] or "", pulls=tuple(effects["doubt"]))
        for name in effects["dues"]
    )
    return replace(state, dues=(*state.dues, *loosen, *others))


def _counting_no_more(state: JobState, entries: frozenset[str]) -> JobState:
    """Return a state without some pulls, and without what was found true after their stages."""
    first: dict[str, int] = {}
    for pull in state.pulls:
        if pull.entry in entries:
            joint, stage = pull.key.joint, pull.key.stage
            first[joint] = min(stage, first.get(joint, stage))
    for joint, stage in first.items():
        state = holds_again(state, joint, from_stage=stage)
    return with_voided(state, entries)


def holds_again(state: JobState, joint: str, *, from_stage: int) -> JobState:
    """Return a state in which what was found true after a stage on has to be found again."""
    holds = {
        key: answer
        for key, answer in state.holds.items()
        if key[0] != joint or answer["after"] < from_stage
    }
    return replace(state, holds=holds)


def loosened(state: JobState, joint: str, fastener: int, *, renewed: bool) -> JobState:
    """Return a state in which nobody waits any more for one fastener to be loosened fully."""
    dues = []
    for due in state.dues:
        mine = due.name == "loosen" and due.joint == joint and fastener in due.fasteners
        if mine and due.from_stage == 1 and (renewed or not due.renew):
            left = tuple(one for one in due.fasteners if one != fastener)
            dues += [replace(due, fasteners=left)] if left else []
        else:
            dues.append(due)
    return replace(state, dues=tuple(dues))


def with_voided(state: JobState, entries: Collection[str]) -> JobState:
    """Return a state in which some pulls count no more."""
    gone = set(entries)
    return with_pulls(
        state, (replace(one, voided=True) if one.entry in gone else one for one in state.pulls)
    )


def with_pulls(state: JobState, pulls: Iterable[Pull]) -> JobState:
    """Return a state with other pulls."""
    kept = tuple(pulls)
    return replace(state, pulls=kept, latest={p.key: p for p in kept if not p.voided})


def without(before: JobState, after: JobState, entry: Entry) -> JobState:
    """Return the state before an entry that was taken back; it is only shown.

    Parameters
    ----------
    before, after : JobState
        Before the entry, and as it would be with it.
    entry : mapping
    """
    reason = before.taken_back[entry["id"]]
    if entry["kind"] == "pull":
        pull = replace(after.pulls[-1], voided=True, taken_back=reason)
        return replace(before, pulls=(*before.pulls, pull))
    if entry["kind"] in {HAPPENED, SETTLED}:
        noted = replace(after.happenings[-1], taken_back=reason)
        return replace(before, happenings=(*before.happenings, noted))
    return before


def last_of(state: JobState) -> Entry | None:
    """Return the last entry of a job that others may build on; None where there is none."""
    return next(
        (
            entry
            for entry in reversed(state.log)
            if entry["kind"] in _STACKED and entry["id"] not in state.taken_back
        ),
        None,
    )


def why_not(state: JobState, entry: str) -> Words | None:
    """Return why an entry cannot be taken back; None where it can.

    Parameters
    ----------
    state : JobState
    entry : str
        Its id.

    Returns
    -------
    Words or None
    """
    if state.closed:
        return words("the job is closed")
    if entry in state.taken_back:
        return words("it was taken back already")
    last = last_of(state)
    if last is None or last["id"] != entry:
        return words(
            "only the last thing that was entered in a job can be taken back: what came after "
            "may rest on it"
        )
    if last["kind"] == "fastener_restarted":
        return words("that a fastener was loosened cannot be taken back: start it again")
    if last["kind"] == "pull" and last["body"]["reading"]["kind"] == "trace":
        return words("what a wrench recorded cannot be taken back: it shows what was done")
    return None
