"""The state of a job as the bench page needs it: what is now, what comes, what was said last."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from clampwright.drawer.tools import Drawer
from clampwright.locale import say
from clampwright.report.fasteners import State
from clampwright.report.jointmap import joint_map
from clampwright.report.phrases import verdict_words
from clampwright.report.view import Turning, View, place_seen
from clampwright.web.after_view import after_view
from clampwright.web.happened_view import open_view
from clampwright.web.step_view import LOOSENING, step_view
from clampwright.words import words
from clampwright.work.adjusting import for_fastener
from clampwright.work.come_back import open_pulls
from clampwright.work.fold import JobState, Pull, PullKey
from clampwright.work.hold import HoldKey, every_hold, limits_text, unanswered
from clampwright.work.job import Hold, Job
from clampwright.work.plan import JointPlan, Plan
from clampwright.work.preparation import must_be_settled, open_before


def bench_view(
    plan: Plan,
    state: JobState,
    *,
    size: int,
    view: View,
    in_hand: str | None = None,
    names: Mapping[str, str] = MappingProxyType({}),
) -> dict[str, Any]:
    """Return everything the bench page shows.

    Parameters
    ----------
    plan : Plan
    state : JobState
    size : int
        Number of entries of the log it was folded from: the later answer has the larger one.
    view : View
        Where the person stands.
    in_hand : str or None
        Id of the tool the person chose.
    names : mapping of str to str
        Names of people by id, for who hands over to whom.

    Returns
    -------
    dict
    """
    sequence = list(plan.sequence())
    ahead = open_pulls(plan, state)
    now = ahead[0] if ahead else None
    left = sum(key.fastener != 0 for key in ahead)
    return {
        "size": size,
        "job": _job(plan.job, state),
        "pulls": {"all": plan.pulls, "done": plan.pulls - left, "left": left},
        "view": {"turn": view.turn, "mirror": view.mirror},
        "ahead": [[key.joint, key.stage, key.fastener] for key in ahead],
        # All of them: a device alone may have to begin a fastener anew.
        "sequence": [[key.joint, key.stage, key.fastener] for key in sequence],
        "steps": {
            **_steps(plan, sequence, view, in_hand),
            **_with_running(plan, state, ahead, view, in_hand),
            **_rest(plan, state, now, view, in_hand),
        },
        "places": {joint.joint.id: _places(joint, view) for joint in plan.joints},
        "map": map_of(plan, state, now, view) if now else "",
        "last": _last(state, now),
        "preparation": _preparation(plan, state, now),
        "holds": _holds(plan, state),
        **open_view(plan, state, names),
        "after": {**after_view(plan, state), "holds": _holds_done(plan, state)},
    }


def _job(job: Job, state: JobState) -> dict[str, Any]:
    return {
        "id": job.id,
        "title": job.title,
        "machine": job.machine,
        "invented": job.invented,
        "closed": state.closed,
        "harm": min(joint.harm_level for joint in job.joints),
        "counts": state.count(),
    }


def _steps(
    plan: Plan, ahead: list[PullKey], view: View, in_hand: str | None
) -> dict[str, dict[str, Any]]:
    drawer: Drawer = plan.drawer
    wanted = dict.fromkeys((key.joint, key.stage) for key in ahead)
    steps = {}
    for joint_id, number in wanted:
        whole = plan.joint(joint_id)
        planned = whole.stages[number - 1]
        steps[f"{joint_id}/{number}"] = step_view(planned, whole, drawer, view, in_hand)
    return steps


def _with_running(
    plan: Plan, state: JobState, ahead: list[PullKey], view: View, in_hand: str | None
) -> dict[str, dict[str, Any]]:
    """Return stages with a nut's own running torque added, under each pull's own key."""
    steps = {}
    for key in ahead:
        planned = for_fastener(plan, state, key)
        if planned is not plan.stage(key):
            whole = plan.joint(key.joint)
            name = f"{key.joint}/{key.stage}/{key.fastener}"
            step = step_view(planned, whole, plan.drawer, view, in_hand)
            steps[name] = {**step, "adds_running": False}
    return steps


def _rest(
    plan: Plan, state: JobState, now: PullKey | None, view: View, in_hand: str | None
) -> dict[str, dict[str, Any]]:
    """Return what is left of the present angle after a short pull, under the pull's own key."""
    already = state.turned_already(now) if now else 0.0
    if now is None or not already:
        return {}
    whole = plan.joint(now.joint)
    planned = whole.stages[now.stage - 1]
    limits = planned.limits
    rest = replace(
        planned,
        stage=replace(planned.stage, value=(planned.stage.angle_deg or 0.0) - already, unit="deg"),
        limits=replace(
            limits,
            target=(limits.target or 0.0) - already,
            low=None if limits.low is None else limits.low - already,
            high=None if limits.high is None else limits.high - already,
        ),
    )
    key = f"{now.joint}/{now.stage}/{now.fastener}"
    return {key: step_view(rest, whole, plan.drawer, view, in_hand)}


def _places(whole: JointPlan, view: View) -> dict[str, str]:
    layout = whole.joint.layout
    places = {str(n): say(place_seen(layout, n, view)) for n in layout.numbers}
    return {"0": say(words("the whole joint")), **places}


def map_of(plan: Plan, state: JobState, now: PullKey, view: View) -> str:
    """Draw the joint of a pull with what has become of its fasteners in this stage.

    Parameters
    ----------
    plan : Plan
    state : JobState
    now : PullKey
    view : View

    Returns
    -------
    str
        SVG.
    """
    whole = plan.joint(now.joint)
    planned = whole.stages[now.stage - 1]
    stage, joint = planned.stage, whole.joint
    states: dict[int, State] = {}
    for number in planned.order.fasteners:
        pull = state.latest.get(PullKey(now.joint, now.stage, number))
        if number == now.fastener:
            states[number] = "now"
        elif pull is not None:
            states[number] = "done" if pull.settled and not pull.doubted else "doubtful"
    turning = Turning(joint.left_hand or stage.direction == "ccw", stage.kind in LOOSENING)
    return joint_map(
        joint.layout,
        states=states,
        order=planned.order.fasteners,
        turning=turning,
        view=view,
        live=True,
    )


def _holds(plan: Plan, state: JobState) -> list[dict[str, Any]]:
    """Return every hold point that is not settled, for a device that may be alone."""
    return [_hold(plan, state, key, hold) for key, hold in unanswered(plan, state)]


def _holds_done(plan: Plan, state: JobState) -> list[dict[str, Any]]:
    """Return every hold point that is settled: it is asked again where its pulls count no more."""
    still = unanswered(plan, state)
    return [_hold(plan, state, *one) for one in every_hold(plan) if one not in still]


def _hold(plan: Plan, state: JobState, key: HoldKey, hold: Hold) -> dict[str, Any]:
    return {
        "joint": key.joint,
        "joint_title": plan.joint(key.joint).joint.title,
        "hold": key.number,
        "after": hold.after,
        "ask": hold.ask,
        "answer": hold.answer,
        "unit": hold.unit,
        "limits": limits_text(hold),
        "last": state.holds.get((key.joint, key.number), {}).get("answer", ""),
    }


def _preparation(plan: Plan, state: JobState, now: PullKey | None) -> dict[str, Any] | None:
    """Return what is open of the preparation list before the present pull; None where nothing."""
    if now is None or not (found := open_before(plan, state, now)):
        return None
    return {
        "joint": now.joint,
        "stage": now.stage,
        "open": len(found),
        "points": [say(point.say) for point in found],
        "must": must_be_settled(plan.joint(now.joint).joint),
    }


def _last(state: JobState, now: PullKey | None) -> dict[str, Any] | None:
    """Return the verdict that stands open at the present pull, so that a reload shows it again."""
    pull = state.latest.get(now) if now else None
    return verdict_view(pull) if pull is not None and not pull.settled else None


def verdict_view(pull: Pull) -> dict[str, Any]:
    """Return a pull's verdict as plain data.

    Parameters
    ----------
    pull : Pull

    Returns
    -------
    dict
    """
    return {
        "entry": pull.entry,
        "joint": pull.key.joint,
        "stage": pull.key.stage,
        "fastener": pull.key.fastener,
        "verdict": pull.verdict,
        "word": say(verdict_words(pull.verdict)),
        "reasons": [say(reason) for reason in pull.reasons],
        "next": say(pull.next) if pull.next else "",
        "settled": pull.settled,
        "accepted": pull.accepted,
        "voided": pull.voided,
        "doubted": pull.doubted,
        "recorded": pull.body["reading"]["kind"] == "trace",
        "again": _again(pull),
        "confirmed": pull.confirmed,
    }


_READ_AGAIN = {
    "value": "figure",
    "angle": "figure",
    "marks": "marks",
    "gauge": "gauge",
    "stretch": "stretch",
}


def _again(pull: Pull) -> str:
    """Return the way in which a second person may read a pull again; empty where none."""
    return "" if pull.voided else _READ_AGAIN.get(pull.body["reading"]["kind"], "")
