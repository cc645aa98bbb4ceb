"""The page of second looks at the joints of a job that life or limb depends on."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import Response

from clampwright.locale import say
from clampwright.web import entries
from clampwright.web.api import Entry, Job, put
from clampwright.web.lookup import opened
from clampwright.web.models import LookIn
from clampwright.web.shared import house
from clampwright.words import words
from clampwright.work.four_eyes import look_words, looks_wanted, pulls_on
from clampwright.work.people_rules import figure


def second_look(request: Request, job: Job) -> Response:
    """Show what a second person looks at, and take what was found."""
    place = house(request)
    state, plan = opened(place.desk.look().jobs.get(job), job)
    wanted = looks_wanted(plan, state)
    facts = {
        "title": say(words("Second look: {title}", title=plan.job.title)),
        "job": {"id": job, "title": plan.job.title, "closed": state.closed},
        "minutes": figure("second_look", "pause_s") // 60,
        "joints": [
            {
                "id": one.joint.id,
                "title": one.joint.title,
                "wanted": one.joint.id in wanted,
                "begun": pulls_on(one.joint.id, state) > 0,
                "looks": [say(line) for line in look_words(one.joint.id, state)],
            }
            for one in plan.joints
            if one.joint.harm_level == 1
        ],
    }
    return place.pages.answer("look_again.html", facts)


def put_look(request: Request, job: Job, entry: Entry, sent: LookIn) -> Response:
    """Take a second look at a joint."""
    return put(request, job, entry, entries.second_look(sent))
