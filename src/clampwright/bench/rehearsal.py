"""A whole job done by the simulated mechanic, through the same door as a real one."""

from __future__ import annotations

from collections.abc import Callable

from clampwright.bench.holding import answer_hold, standing_at
from clampwright.bench.mechanic import Answer, SimulatedMechanic
from clampwright.bench.preparing import open_points, pass_over
from clampwright.bench.session import Outcome, Session
from clampwright.errors import Refused
from clampwright.words import words
from clampwright.work.guide import Guidance
from clampwright.work.preparation import must_be_settled

Told = Callable[[Guidance, Answer, Outcome], None]

MOST_TRIES = 8
"""Pulls at one place before the rehearsal gives up; a person would have asked long before."""


def rehearse(session: Session, mechanic: SimulatedMechanic, told: Told) -> None:
    """Work through a job until it is done or has to wait.

    Parameters
    ----------
    session : Session
    mechanic : SimulatedMechanic
    told : callable
        Called after every pull with what was asked, handed in and judged.

    Raises
    ------
    Refused
        When one pull does not come right after several tries.
    """
    tries: dict[object, int] = {}
    while True:
        if (stands := standing_at(session)) is not None:
            answer_hold(session, stands.key, mechanic.answer_hold(stands.hold))
            continue
        guidance = session.next()
        if guidance is None or guidance.planned.stage.kind == "wait":
            return
        tries[guidance.key] = tries.get(guidance.key, 0) + 1
        if tries[guidance.key] > MOST_TRIES:
            raise Refused(
                words(
                    "fastener {fastener} does not come right at stage {stage}",
                    fastener=guidance.key.fastener,
                    stage=guidance.key.stage,
                )
            )
        _prepared(session, guidance)
        answer = mechanic.pull(guidance)
        outcome = _hand_in(session, guidance, answer)
        told(guidance, answer, outcome)
        _recover(session, mechanic, guidance, outcome)


def _prepared(session: Session, guidance: Guidance) -> None:
    """Go on without the preparation list where it is a must: a rehearsal has nothing to look at."""
    if must_be_settled(guidance.joint) and open_points(session, guidance.key):
        pass_over(session, guidance.key, "a rehearsal: nobody looked at parts and place")


def _hand_in(session: Session, guidance: Guidance, answer: Answer) -> Outcome:
    reading = answer.reading
    if reading is None:
        name = f"pull {guidance.key.stage}-{guidance.key.fastener}"
        reading = session.trace_reading(guidance.key, answer.trace or b"", name, answer.tool or "")
    return session.take(guidance.key, reading, tool_id=answer.tool)


def _recover(
    session: Session, mechanic: SimulatedMechanic, guidance: Guidance, outcome: Outcome
) -> None:
    """Do what the advice says: pull on when short, else loosen, renew and start again."""
    if outcome.judgement.verdict in {"within", "short"}:
        return
    key = guidance.key
    reason = f"a pull was judged {outcome.judgement.verdict}"
    session.restart(key.joint, key.fastener, reason, renewed=True)
    mechanic.renew(key.joint, key.fastener)
