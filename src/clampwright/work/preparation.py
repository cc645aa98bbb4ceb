"""The preparation list of a joint in a job: what belongs to it, what is settled, what is open.

The points and their sources stand in `clampwright.procedure.preparation`; here is what needs the
joint, its plan and its log.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from clampwright.errors import Missing, Refused
from clampwright.procedure.check_tables import lubricants
from clampwright.procedure.preparation import Due, Option, Point, facts_of, preparation_list
from clampwright.standards import FrictionCondition
from clampwright.words import words
from clampwright.work.fold import JobState, PullKey, Settled
from clampwright.work.job import Joint
from clampwright.work.plan import JointPlan, Plan

MUST = 1
"""Harm level at which nobody is guided to a pull while the list is open and no reason was given.

The log itself refuses nothing: a pull that was done is a fact, and the record then says that the
list was open.
"""


@dataclass(frozen=True, slots=True)
class Standing:
    """One point of a joint's list and what became of it.

    Parameters
    ----------
    point : Point
    settled : Settled or None
        None while it is open.
    passed_over : str
        Why a person went on without it; empty where nobody did.
    """

    point: Point
    settled: Settled | None = None
    passed_over: str = ""

    @property
    def open(self) -> bool:
        """Whether it still waits for an answer."""
        return self.settled is None


def points_of(planned: JointPlan) -> tuple[Point, ...]:
    """Return the points that belong to a planned joint.

    Parameters
    ----------
    planned : JointPlan

    Returns
    -------
    tuple of Point
    """
    joint, reading = planned.joint, planned.joint.procedure.reading
    stated = (*(reading.lubrication if reading else ()), *_codes(joint.friction))
    tools = {
        one.choice.tool.kind
        for one in planned.stages
        if one.choice is not None and one.choice.tool.is_wrench
    }
    return preparation_list(
        facts_of(
            joint.procedure.stages,
            kind=joint.kind,
            harm_level=joint.harm_level,
            count=joint.layout.count,
            features=joint.has,
            lubrication=stated,
            surface_stated=joint.friction is not None or _says_surface(stated),
            reuse=reading.reuse if reading else None,
            reuse_limited=bool(reading and reading.reuse_limit),
            fitted=joint.fitted,
            left_hand=joint.left_hand,
            tapped=joint.parts.tapped,
            tools=tools,
        )
    )


def _codes(friction: FrictionCondition | None) -> tuple[str, ...]:
    """Return a job's friction condition in the codes of a reading, as far as it has one."""
    if friction is None:
        return ()
    fitting = [row for row in lubricants() if row.condition == friction.name]
    return tuple(sorted(fitting[0].stated)) if fitting else ()


def _says_surface(stated: tuple[str, ...]) -> bool:
    return any(row.stated <= set(stated) for row in lubricants())


def standing(planned: JointPlan, state: JobState) -> tuple[Standing, ...]:
    """Return every point of a joint with what became of it.

    Parameters
    ----------
    planned : JointPlan
    state : JobState

    Returns
    -------
    tuple of Standing
    """
    joint = planned.joint.id
    return tuple(
        Standing(
            point,
            state.settled_points.get((joint, point.name)),
            state.passed_over.get((joint, point.name), ""),
        )
        for point in points_of(planned)
    )


def open_before(plan: Plan, state: JobState, key: PullKey) -> tuple[Point, ...]:
    """Return the points that are open before a pull which is the first they are due for.

    Parameters
    ----------
    plan : Plan
    state : JobState
    key : PullKey

    Returns
    -------
    tuple of Point
        Empty when nothing is due here: once the first pull was taken, the list is history.
    """
    planned = plan.joint(key.joint)
    dues = set(_due_at(planned, state, key))
    return tuple(
        one.point
        for one in standing(planned, state)
        if one.open and not one.passed_over and one.point.due in dues
    )


def must_be_settled(joint: Joint) -> bool:
    """Return whether the guide leads to no pull while the list is open without a reason."""
    return joint.harm_level <= MUST


def _due_at(planned: JointPlan, state: JobState, key: PullKey) -> Iterator[Due]:
    done = {pull.key.stage for pull in state.pulls if pull.key.joint == key.joint}
    if not done:
        yield "start"
    angles = [one.number for one in planned.stages if one.stage.kind == "angle"]
    if angles and key.stage >= angles[0] and not any(stage >= angles[0] for stage in done):
        yield "angle"


def point_named(planned: JointPlan, name: str) -> Point:
    """Return a point of a joint's list by its name.

    Raises
    ------
    Missing
        When the list has no such point.
    """
    known = points_of(planned)
    for point in known:
        if point.name == name:
            return point
    raise Missing(
        words(
            "the preparation list of {joint} has no point {name!r}; it has {known}",
            joint=planned.joint.id,
            name=name,
            known=", ".join(point.name for point in known),
        ),
        needed="point",
    )


def option_of(point: Point, answer: str) -> Option:
    """Return the option a person chose.

    Raises
    ------
    Refused
        When the point has no such option.
    """
    option = point.option(answer)
    if option is None:
        raise Refused(
            words(
                "{point} is a choice between {known}, not {answer!r}",
                point=point.name,
                known=", ".join(one.name for one in point.options),
                answer=answer,
            )
        )
    return option


def checked_answer(point: Point, how: str, answer: str, reason: str) -> None:
    """Refuse what does not settle a point.

    Parameters
    ----------
    point : Point
    how : str
        ``ticked``, ``chosen``, ``answered`` or ``skipped``.
    answer, reason : str

    Raises
    ------
    Refused
        When the way does not fit the point, or an answer or reason is missing.
    """
    fitting = {"tick": "ticked", "choose": "chosen", "answer": "answered"}[point.ask]
    if how not in {fitting, "skipped"}:
        raise Refused(
            words(
                "{point} is to be {fitting} or skipped with a reason",
                point=point.name,
                fitting=fitting,
            )
        )
    if how == "skipped" and not reason:
        raise Refused(words("give the reason for skipping it: it stands in the record"))
    if how == "answered" and not answer:
        raise Refused(words("write the answer: it stands in the record"))
    if how == "chosen":
        option_of(point, answer)
