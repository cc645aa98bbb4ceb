"""What consequences rest on, as little of it as a device needs to work them out alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from clampwright.work.happening import backwards, never_slackened
from clampwright.work.plan import Plan
from clampwright.work.state import Due, JobState


def after_view(plan: Plan, state: JobState) -> dict[str, Any]:
    """Return what something that happens next would act on.

    Parameters
    ----------
    plan : Plan
    state : JobState

    Returns
    -------
    dict
        Pulls that count are lists (joint, stage, fastener, tool, settled, doubted) in the order in
        which they were made; elsewhere they are told by their number in that list.
    """
    counting = [pull for pull in state.pulls if not pull.voided]
    numbers = {pull.entry: str(at) for at, pull in enumerate(counting)}
    return {
        "pulls": [
            [
                *(pull.key.joint, pull.key.stage, pull.key.fastener, pull.body["tool"] or ""),
                *(pull.settled, pull.doubted),
            ]
            for pull in counting
        ],
        "dues": [_due(due, numbers) for due in state.dues],
        "suspects": sorted(state.suspects),
        "joints": {
            whole.joint.id: {
                "title": whole.joint.title,
                "backwards": backwards(whole),
                "renews": never_slackened(whole.joint),
            }
            for whole in plan.joints
        },
    }


def _due(due: Due, numbers: Mapping[str, str]) -> dict[str, Any]:
    return {
        "happening": due.entry,
        "joint": due.joint,
        "due": due.name,
        "fasteners": list(due.fasteners),
        "renew": due.renew,
        "from_stage": due.from_stage,
        "tool": due.tool,
        "pulls": [numbers[one] for one in due.pulls if one in numbers],
    }


def effects_view(state: JobState, effects: Mapping[str, Any]) -> dict[str, Any]:
    """Return what an entry did, told by pulls' places: to be held against what a device reckoned.

    Parameters
    ----------
    state : JobState
        With the entry.
    effects : mapping
        As it stands in the entry.

    Returns
    -------
    dict
    """
    keys = {pull.entry: pull.key for pull in state.pulls}
    gone = {f"{k.joint}/{k.stage}/{k.fastener}" for k in map(keys.get, effects["void"]) if k}
    return {
        "void": sorted(gone),
        "loosen": effects["loosen"],
        "suspect": effects["suspect"] or "",
        "dues": effects["dues"],
    }
