"""What a second look puts on a job's log: another tool with a reason, a setting read back."""

from __future__ import annotations

from datetime import datetime
from typing import Unpack

from clampwright.bench.session import Made, Session
from clampwright.drawer.read_back import ReadBack, compare_read_back
from clampwright.errors import Refused
from clampwright.store.writing import Receipt
from clampwright.units import parse_number, unit_named
from clampwright.words import as_data, words
from clampwright.work.four_eyes import TAKEN, Look, how_taken, pulls_on
from clampwright.work.overrule import check_overrule
from clampwright.work.plan import StagePlan


def overrule(
    session: Session,
    joint: str,
    stage: int,
    tool_id: str,
    reason: str,
    **made: Unpack[Made],
) -> Receipt:
    """Take another tool for a stage than the plan says; the reason stands in the record.

    Parameters
    ----------
    session : Session
    joint : str
    stage : int
        Counted from 1.
    tool_id : str
    reason : str
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        As `check_overrule`, or when the job is closed.
    """
    if session.state.closed:
        raise Refused(words("the job is closed"))
    choice = check_overrule(planned_stage(session, joint, stage), tool_id, reason)
    body = {
        "joint": joint,
        "stage": stage,
        "tool": tool_id,
        "reason": reason.strip(),
        "against": [as_data(one) for one in choice.blockers],
    }
    return session.put("tool_overruled", body, **made)


def read_back(
    session: Session,
    joint: str,
    stage: int,
    value: str,
    unit: str,
    *,
    tool_id: str | None = None,
    **made: Unpack[Made],
) -> tuple[ReadBack, Receipt]:
    """Compare what a second person reads off the scale with what was to be set, and keep it.

    Parameters
    ----------
    session : Session
    joint : str
    stage : int
    value : str
        As it was typed; decimal point or comma.
    unit : str
        Of the scale that was read, in any usual spelling.
    tool_id : str, optional
        The tool in hand; the planned one if not given.
    **made
        See `Made`.

    Returns
    -------
    ReadBack, Receipt

    Raises
    ------
    Refused
        When the stage has nothing to set.
    Unreadable
        When the value is no number, or the unit none.
    """
    planned = planned_stage(session, joint, stage)
    usable = (one for one in planned.choices if one.usable and one.tool.id == tool_id)
    choice = next(usable, None) if tool_id else planned.choice
    if choice is None or choice.setting is None:
        raise Refused(
            words("stage {stage} of {joint} has nothing to set", stage=stage, joint=joint)
        )
    found = compare_read_back(
        choice.tool, choice.setting, float(parse_number(value)), unit_named(unit, "torque").name
    )
    body = {
        "joint": joint,
        "stage": stage,
        "tool": choice.tool.id,
        "wanted": {"value": f"{found.wanted:.6g}", "unit": found.wanted_unit},
        "read": {"value": f"{found.read:.6g}", "unit": found.unit},
        "agrees": found.agrees,
        "told": as_data(found.words),
    }
    return found, session.put("setting_read_back", body, **made)


def look_again(session: Session, look: Look, **made: Unpack[Made]) -> Receipt:
    """Take a second look at a joint that life or limb depends on, and keep what was found.

    Parameters
    ----------
    session : Session
    look : Look
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        As `how_taken`, or when the job is closed.
    BadFile
        When the photograph is not kept here.
    """
    if session.state.closed:
        raise Refused(words("the job is closed"))
    session.plan.joint(look.joint)
    store = session.store
    person = store.actor.person if store.actor else None
    waited = _since_the_last_pull(session, look.joint)
    how = how_taken(look, person, session.state, waited)
    if look.photograph:
        session.papers.read(look.photograph)
    body = {
        "joint": look.joint,
        "how": how,
        "waited_s": int(waited),
        "photograph": look.photograph,
        "in_order": look.in_order,
        "note": look.note.strip(),
        "pulls": pulls_on(look.joint, session.state),
    }
    return session.put(TAKEN, body, **made)


def _since_the_last_pull(session: Session, joint: str) -> float:
    """Return how long nothing was pulled on a joint, s, by the clock of the log."""
    recorded = [
        str(entry["recorded"])
        for entry in session.store.entries(job=session.job_id, kinds=("pull",))
        if entry["body"]["joint"] == joint
    ]
    if not recorded:
        return 0.0
    return (session.store.now() - datetime.fromisoformat(recorded[-1])).total_seconds()


def planned_stage(session: Session, joint: str, stage: int) -> StagePlan:
    """Return a stage of the job's plan; `Refused` names what there is."""
    stages = session.plan.joint(joint).stages
    if not 1 <= stage <= len(stages):
        raise Refused(
            words(
                "joint {joint} has stages 1 to {count}; there is no stage {stage}",
                joint=joint,
                count=len(stages),
                stage=stage,
            )
        )
    return stages[stage - 1]
