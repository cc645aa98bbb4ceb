"""The page of a job's preparation list."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import Response

from clampwright.locale import say
from clampwright.web.api import Job
from clampwright.web.before_pull import plan_and_state, point_view
from clampwright.web.shared import house
from clampwright.words import words
from clampwright.work.preparation import must_be_settled, open_before, standing


def preparation_page(request: Request, job: Job) -> Response:
    """Show the preparation list, point by point."""
    place = house(request)
    plan, state = plan_and_state(place, job)
    ahead = [key for key in plan.sequence() if not state.settled(key)]
    now = ahead[0] if ahead else None
    here = bool(now and open_before(plan, state, now))
    joints = [
        {
            "id": planned.joint.id,
            "title": planned.joint.title,
            "must": must_be_settled(planned.joint),
            "points": [point_view(one) for one in standing(planned, state)],
        }
        for planned in plan.joints
    ]
    count = sum(one.open for planned in plan.joints for one in standing(planned, state))
    return place.pages.answer(
        "preparation.html",
        {
            "title": say(words("Before the first pull: {title}", title=plan.job.title)),
            "job": {"id": job, "title": plan.job.title, "invented": plan.job.invented},
            "opened": state.opened is not None,
            "closed": state.closed,
            "joints": joints,
            "open": count,
            "now": now if here and now else None,
            "text": {name: say(sentence) for name, sentence in TEXT.items()},
        },
    )


TEXT = {
    "heading": words("Before the first pull"),
    "about": words(
        "What must be true of threads, parts and place. Tick what is so, answer what is asked, or "
        "skip a point with the reason. All of it stands in the record."
    ),
    "open": words("open:"),
    "none_open": words("Nothing is open."),
    "begin_first": words("Begin the job to answer; until then this is a list to read."),
    "tick": words("It is so"),
    "answer": words("Answer"),
    "take_answer": words("Take this answer"),
    "choose": words("Published sources differ here. Which holds for this job?"),
    "take_choice": words("Take this choice"),
    "skip": words("Skip it, with a reason"),
    "skip_it": words("Skip it"),
    "reason": words("Reason"),
    "source": words("Source:"),
    "due_angle": words("Due before the first angle stage."),
    "ticked": words("It is so."),
    "skipped": words("Skipped:"),
    "passed": words("Gone on without it:"),
    "change": words("Answer again"),
    "pass": words("Go on without the open points"),
    "pass_about": words(
        "The reason stands in the record. Where life or limb depends on the joint nothing goes on "
        "without one."
    ),
    "pass_it": words("Go on with this reason"),
    "kept": words("Kept on this device; it is sent when the server answers again."),
    "to_bench": words("To the bench"),
    "plan": words("Plan"),
}
