"""What one person hands over to the next: what is done, what is open, what is in doubt."""

from __future__ import annotations

from collections.abc import Iterator

from clampwright.words import Words, words
from clampwright.work.come_back import open_pulls
from clampwright.work.describe import describe
from clampwright.work.happening import due_words
from clampwright.work.plan import JointPlan, Plan, StagePlan
from clampwright.work.state import JobState, PullKey


def handed_over(plan: Plan, state: JobState) -> list[Words]:
    """Return a summary of a job as it stands, for whoever takes over.

    Parameters
    ----------
    plan : Plan
    state : JobState

    Returns
    -------
    list of Words
        Joints that are done in one line; of the others what is done of the present stage, what is
        not settled, and what is open.
    """
    lines = [line for whole in plan.joints for line in _joint(whole, state)]
    ahead = next(iter(open_pulls(plan, state)), None)
    if ahead is None:
        lines.append(words("Next: nothing, every pull is done"))
    elif ahead.fastener:
        lines.append(
            words(
                "Next: fastener {number}, stage {stage}", number=ahead.fastener, stage=ahead.stage
            )
        )
    else:
        lines.append(words("Next: the joint as a whole, stage {stage}", stage=ahead.stage))
    lines += _doubtful(plan, state)
    lines += [words("Open: {due}", due=due_words(plan, due)) for due in state.dues]
    return lines


def _joint(whole: JointPlan, state: JobState) -> Iterator[Words]:
    title = whole.joint.title
    ahead = [key for key in whole.sequence() if not state.settled(key)]
    if not ahead:
        yield words("{joint}: every pull is done", joint=title)
        return
    if not state.standing(whole.joint.id):
        yield words("{joint}: not begun", joint=title)
        return
    planned = whole.stages[ahead[0].stage - 1]
    yield words(
        "{joint}: at stage {number} of {count}, {stage}",
        joint=title,
        number=planned.number,
        count=len(whole.stages),
        stage=describe(planned.stage),
    )
    yield words(
        "done in this stage: {done}; still to do: {open}",
        done=_numbers(planned, whole, state, done=True),
        open=_numbers(planned, whole, state, done=False),
    )
    for key in ahead:
        pull = state.latest.get(key)
        if pull is not None:
            yield words(
                "fastener {number} is not settled: {verdict}",
                number=key.fastener,
                verdict=pull.verdict,
            )


def _numbers(planned: StagePlan, whole: JointPlan, state: JobState, *, done: bool) -> str:
    found = [
        str(number)
        for number in planned.order.fasteners
        if state.settled(PullKey(whole.joint.id, planned.number, number)) is done
    ]
    return ", ".join(found) or "–"


def _doubtful(plan: Plan, state: JobState) -> Iterator[Words]:
    for whole in plan.joints:
        found = sorted({p.key.fastener for p in state.standing(whole.joint.id) if p.doubted})
        if found:
            yield words(
                "{joint}: pulls in doubt, fasteners {numbers}",
                joint=whole.joint.title,
                numbers=", ".join(str(one) for one in found),
            )
