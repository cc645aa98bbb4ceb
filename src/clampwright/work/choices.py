"""Open questions of a job, settled by a person when the job is begun."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from clampwright.errors import Refused
from clampwright.words import words
from clampwright.work.job import Job, Joint
from clampwright.work.settling import settled

Choices = Mapping[str, int]
"""Number (from 1) of the reading a person chose, by id of the joint."""

NONE: Choices = MappingProxyType({})


def open_joints(job: Job) -> tuple[Joint, ...]:
    """Return the joints whose procedure leaves a question open.

    Parameters
    ----------
    job : Job

    Returns
    -------
    tuple of Joint
    """
    return tuple(joint for joint in job.joints if joint.procedure.questions)


def with_choices(job: Job, choices: Choices) -> Job:
    """Return a job with its open questions settled.

    Parameters
    ----------
    job : Job
    choices : mapping of str to int

    Returns
    -------
    Job

    Raises
    ------
    Refused
        When a joint is named that leaves no question open.
    Missing
        When there is no such reading, or it names fasteners the joint does not have.
    """
    strange = set(choices) - {joint.id for joint in open_joints(job)}
    if strange:
        raise Refused(
            words("joint {joint!r} of this job leaves no question open", joint=min(strange))
        )
    return replace(job, joints=tuple(_settled(joint, choices) for joint in job.joints))


def _settled(joint: Joint, choices: Choices) -> Joint:
    reading = joint.procedure.reading
    if joint.id not in choices or reading is None:
        return joint
    stages = settled(reading, choices[joint.id])
    for stage in stages:
        joint.fasteners_of(stage)
    return replace(
        joint, procedure=replace(joint.procedure, stages=stages, choice=choices[joint.id])
    )


def choices_in(opened: Mapping[str, Any]) -> dict[str, int]:
    """Return the choices that were made when a job was begun.

    Parameters
    ----------
    opened : mapping
        Body of the entry that opened it.

    Returns
    -------
    dict of str to int
    """
    return {one["joint"]: one["chosen"] for one in opened.get("settled", ()) if one.get("by")}
