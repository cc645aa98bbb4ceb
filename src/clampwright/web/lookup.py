"""Finding what an address names: a job, a pull of its plan."""

from __future__ import annotations

from clampwright.errors import Missing
from clampwright.words import words
from clampwright.work.fold import JobState, PullKey
from clampwright.work.pinned import pinned
from clampwright.work.plan import Plan


def opened(state: JobState | None, job: str) -> tuple[JobState, Plan]:
    """Return a job's state and plan.

    Raises
    ------
    Missing
        When it was not opened here.
    """
    if state is None or state.opened is None:
        raise Missing(
            words("job {job} was not opened in this workshop yet", job=repr(job)), needed="job"
        )
    return state, pinned(state.opened, state.overrules, state.suspects)[2]


def key_of(plan: Plan, joint: str, stage: int, fastener: int) -> PullKey:
    """Return the key of a pull of a plan.

    Raises
    ------
    Missing
        When the plan has no such pull.
    """
    key = PullKey(joint, stage, fastener)
    if key not in set(plan.sequence()):
        raise Missing(
            words(
                "this job has no pull at joint {joint}, stage {stage}, fastener {fastener}",
                joint=joint,
                stage=stage,
                fastener=fastener,
            ),
            needed="pull",
        )
    return key
