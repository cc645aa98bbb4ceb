"""The page that leads through taking a job apart."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import Response

from clampwright.locale import say
from clampwright.report.fasteners import State
from clampwright.report.jointmap import joint_map
from clampwright.report.view import Turning
from clampwright.web.api import Job
from clampwright.web.before_pull import plan_and_state
from clampwright.web.lookup import opened
from clampwright.web.shared import house
from clampwright.words import words
from clampwright.work.apart import (
    SOURCE,
    ApartStep,
    apart_remarks,
    apart_steps,
    loosened_words,
    next_apart,
)
from clampwright.work.fold import JobState


def apart_page(request: Request, job: Job) -> Response:
    """Show which fastener is loosened next, and what the others took."""
    place = house(request)
    opened(place.desk.look().jobs.get(job), job)
    plan, state = plan_and_state(place, job)
    step = next_apart(plan.job, state)
    return place.pages.answer(
        "apart.html",
        {
            "title": say(words("Taking apart: {title}", title=plan.job.title)),
            "job": {"id": job, "title": plan.job.title, "invented": plan.job.invented},
            "harm": min(joint.harm_level for joint in plan.job.joints) == 1,
            "step": _step(step, state) if step else None,
            "done": [say(loosened_words(body)) for body in list(state.apart.values())[::-1]],
            "remarks": [
                say(one) for joint in plan.job.joints for one in apart_remarks(joint, state)
            ],
            "source": SOURCE,
            "text": {name: say(sentence) for name, sentence in TEXT.items()},
        },
    )


def _step(step: ApartStep, state: JobState) -> dict[str, object]:
    joint = step.joint
    states: dict[int, State] = dict.fromkeys(joint.layout.numbers, "todo")
    for where, turn, fastener in state.apart:
        if (where, turn) == (joint.id, step.turn):
            states[fastener] = "done"
    states[step.fastener] = "now"
    order = tuple(one.fastener for one in apart_steps(joint) if one.turn == step.turn)
    turning = Turning(joint.left_hand, loosen=True)
    way = words("clockwise") if joint.left_hand else words("counter-clockwise")
    return {
        "joint": joint.id,
        "joint_title": joint.title,
        "round": step.turn,
        "round_of": say(words("Round {turn} of {turns}", turn=step.turn, turns=step.turns)),
        "fastener": step.fastener,
        "place": say(joint.layout.place(step.fastener)),
        "way": say(way),
        "words": say(step.words()),
        "left": say(words("{count} steps left", count=step.left)),
        "map": joint_map(joint.layout, states=states, order=order, turning=turning),
    }


TEXT = {
    "heading": words("Taking apart"),
    "caution": words(
        "Let it cool; release springs, pressure and weight first; hold what can drop. The maker's "
        "own order of removal comes first where it differs."
    ),
    "bar": words(
        "Loosen with a bar, not with a torque wrench, unless it is rated and calibrated that way "
        "round."
    ),
    "fastener": words("Fastener"),
    "broke": words("Broke loose at, with its unit (empty where nobody read it)"),
    "note": words("Anything odd"),
    "done": words("Done: next fastener"),
    "out": words("All fasteners are out"),
    "noted": words("What was noted"),
    "kept": words("Kept on this device; it is sent when the server answers again."),
    "plan": words("Plan"),
}
