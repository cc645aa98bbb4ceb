"""Open questions of a job that was not begun, for the page that asks them."""

from __future__ import annotations

from typing import Any

from clampwright.locale import say
from clampwright.procedure.reading import Reading
from clampwright.web.reading_view import reading_view
from clampwright.web.shared import House
from clampwright.words import words
from clampwright.work.choices import open_joints
from clampwright.work.fold import JobState
from clampwright.work.job import Joint
from clampwright.work.settling import reckoning_of


def settle_facts(place: House, job: str) -> dict[str, Any] | None:
    """Return what the page asks before a job can be begun; None when nothing is open.

    Parameters
    ----------
    place : House
    job : str

    Returns
    -------
    dict or None
    """
    state = place.desk.look().jobs.get(job) or JobState()
    if state.opened is not None:
        return None
    known = place.files.of(job).job
    joints = open_joints(known) if known is not None else ()
    if known is None or not joints:
        return None
    return {
        "title": say(words("Settle it before you begin: {title}", title=known.title)),
        "job": {"id": job, "title": known.title, "machine": known.machine},
        "joints": [{"id": joint.id, "title": joint.title} for joint in joints],
        "readings": [_reading(joint, joint.procedure.reading) for joint in joints],
    }


def _reading(joint: Joint, reading: Reading | None) -> dict[str, Any]:
    found = reading or Reading("refused")
    reckoning = reckoning_of(joint.fastening, joint.friction, found.lubrication)
    view = reading_view(joint.procedure.text, found, reckoning)
    return {"joint": joint.id, "reading": {**view, "fastener_problem": ""}}
