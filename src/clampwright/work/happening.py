"""Something happened: what is asked, what trade practice offers, and what it does to a job.

The rules are tables (`clampwright.work.happening_tables`); here they are looked up and turned into
what one happening does on one job. Nothing is decided for the maker: where the maker's information
has to say it, that stays open until a person has looked.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from clampwright.errors import Refused
from clampwright.procedure.adjusting import NEVER_SLACKENED
from clampwright.words import Words, as_data, words
from clampwright.work.come_back import open_pulls
from clampwright.work.happening_tables import (
    Answer,
    Question,
    Rule,
    Sort,
    due_kinds,
    fits,
    happenings,
    questions,
    rules,
    sort_of,
)
from clampwright.work.job import Joint
from clampwright.work.plan import JointPlan, Plan
from clampwright.work.state import Due, JobState, PullKey

TOLD_IN_WORDS = frozenset({"look"})
"""What is settled by saying what was found."""
HAND_OVER = frozenset({"handover_given", "handover"})
"""What both people say at a change of shift."""
READ_BACK = frozenset({"handover"})
"""What is settled by reading back which fastener is next."""
NEEDS_PLACE = frozenset({"maker_whole", "maker_gasket", "maker_thread"})
"""What is settled by the maker's information, with the place where it says so."""


DUE_WORDS: Mapping[str, Words] = MappingProxyType(
    {
        "due_suspect": words("{tool} is laid aside: what came of its check?"),
        "due_loosen_back": words(
            "Loosen back to where stage {stage} left them, in this order: {numbers}"
        ),
        "due_loosen_one": words("Loosen fastener {number} fully"),
        "due_loosen_one_new": words("Loosen fastener {number} fully, and fit a new one"),
        "due_loosen": words("Loosen fully, in this order: {numbers}"),
        "due_loosen_new": words("Loosen fully, in this order, and fit new: {numbers}"),
    }
)
"""What is to be loosened or asked of a tool; the same sentences are filled on the device."""


@dataclass(frozen=True, slots=True)
class Told:
    """What a person tells of something that happened.

    Parameters
    ----------
    what : str
        Its name.
    key : PullKey
        Where the work stood.
    answers : mapping of str to str
        By the name of the question.
    tool : str
        Id of the tool in hand; empty where none.
    note : str
        Anything else, in the person's own words.
    """

    what: str
    key: PullKey
    answers: Mapping[str, str]
    tool: str = ""
    note: str = ""


def ask_next(plan: Plan, told: Told) -> Question | None:
    """Return the next question that is not answered yet; None when all are.

    Parameters
    ----------
    plan : Plan
    told : Told

    Returns
    -------
    Question or None

    Raises
    ------
    Refused
        When nothing of that name can happen, or an answer is none.
    """
    for question in asked(plan, told):
        if question.name not in told.answers:
            return question
        _check_answer(plan, told, question)
    return None


def asked(plan: Plan, told: Told) -> list[Question]:
    """Return the questions that belong to what was told so far, answered or not.

    Parameters
    ----------
    plan : Plan
    told : Told

    Returns
    -------
    list of Question
    """
    if told.what not in happenings():
        raise Refused(
            words(
                "{what!r} is nothing that is noted; it must be one of: {known}",
                what=told.what,
                known=", ".join(happenings()),
            )
        )
    sort = _sort(plan, told.key)
    return [
        one
        for one in questions()
        if one.happening == told.what
        and sort in one.stages
        and fits(one.when, told.answers)
        and (one.kind != "stage" or told.key.stage > 1)
    ]


def offered(plan: Plan, told: Told) -> Rule:
    """Return what trade practice offers, when every question is answered.

    Parameters
    ----------
    plan : Plan
    told : Told

    Returns
    -------
    Rule

    Raises
    ------
    Refused
        When a question is not answered.
    """
    if (question := ask_next(plan, told)) is not None:
        raise Refused(words("this is not answered yet: {ask}", ask=question.question))
    sort = _sort(plan, told.key)
    return next(
        one
        for one in rules()
        if one.happening == told.what and sort in one.stages and fits(one.when, told.answers)
    )


def body_of(plan: Plan, state: JobState, told: Told) -> dict[str, Any]:
    """Return the body of the entry: what was told, what was offered, what it does.

    Parameters
    ----------
    plan : Plan
    state : JobState
    told : Told

    Returns
    -------
    dict
    """
    rule = offered(plan, told)
    happening = happenings()[told.what]
    if "suspect" in rule.does and not told.tool:
        raise Refused(words("no wrench is in hand here: say which one it is"))
    questions_asked = asked(plan, told)
    people = {one.name: told.answers[one.name] for one in questions_asked if one.kind == "person"}
    return {
        **people,
        "joint": told.key.joint,
        "stage": told.key.stage,
        "fastener": told.key.fastener,
        "what": told.what,
        "title": as_data(happening.title),
        "answers": [
            {
                "ask": question.name,
                "question": as_data(question.question),
                "answer": told.answers[question.name],
                "say": as_data(_answer_words(question, told.answers[question.name])),
            }
            for question in questions_asked
            if question.kind != "person"
        ],
        "offered": as_data(rule.say),
        "source": rule.source,
        "note": told.note.strip(),
        "effects": effects(plan, state, told, rule.does),
    }


def effects(plan: Plan, state: JobState, told: Told, does: Iterable[str]) -> dict[str, Any]:
    """Return what a happening does to a job.

    Parameters
    ----------
    plan : Plan
    state : JobState
    told : Told
    does : iterable of str
        See `clampwright.work.happening_tables.DOES`.

    Returns
    -------
    dict
        ``void``, ``doubt`` and ``clear`` (ids of pulls); ``loosen`` (by joint: ``fasteners`` in
        this order, ``renew``, ``from_stage``); ``suspect`` (id of a tool or None); ``dues`` (what
        else stays open).
    """
    does = frozenset(does)
    whole, renew = plan.joint(told.key.joint), "renew" in does
    found = _nothing(does)
    if "back" in does:
        stage = int(told.answers.get("stage", told.key.stage))
        _loosen(found, whole, state, _since(state, whole, stage), renew=renew, from_stage=stage)
    elif does & {"loosen", "renew"}:
        _loosen(found, whole, state, _targets(state, told), renew=renew)
    elif "again" in does:
        found["void"] = _void(state, whole, _targets(state, told), from_stage=told.key.stage)
    if "suspect" in does:
        found["suspect"] = told.tool
        found["doubt"] = [p.entry for p in state.latest.values() if p.body["tool"] == told.tool]
    return found


def settle_effects(plan: Plan, state: JobState, due: Due, does: Iterable[str]) -> dict[str, Any]:
    """Return what the answer to something that stood open does to a job.

    Parameters
    ----------
    plan : Plan
    state : JobState
    due : Due
    does : iterable of str
        Of the answer.

    Returns
    -------
    dict
        As `effects`.
    """
    does = frozenset(does)
    found = _nothing(does)
    if "whole" in does:
        whole = plan.joint(due.joint)
        _loosen(found, whole, state, _since(state, whole, 1), renew=False)
    if "clear" in does:
        found["clear"] = list(due.pulls)
    if "redo" in does:
        # Only pulls that still stand: what was started again since does not rest on this tool.
        for whole in plan.joints:
            standing = state.standing(whole.joint.id)
            mine = {p.key.fastener for p in standing if p.entry in due.pulls}
            _loosen(found, whole, state, mine, renew=False)
    return found


def settled_body(plan: Plan, state: JobState, due: Due, answer: str, told: str) -> dict[str, Any]:
    """Return the body of the entry that settles what stood open.

    Parameters
    ----------
    plan : Plan
    state : JobState
    due : Due
    answer : str
        Name of an answer; empty where it is only done or told.
    told : str
        Where the maker says so, or what was found.

    Returns
    -------
    dict

    Raises
    ------
    Refused
        When the answer is none, or nothing is told where it has to be.
    """
    kind = due_kinds()[due.name]
    chosen = _answer_of(kind.answers, answer, kind.question)
    if due.name in NEEDS_PLACE and not told.strip():
        raise Refused(words("say where the maker's information says so: it stands in the record"))
    if due.name in TOLD_IN_WORDS and not told.strip():
        raise Refused(words("say what was found: it stands in the record"))
    if due.name in READ_BACK:
        _check_read_back(plan, state, told.strip())
    return {
        "joint": due.joint,
        "happening": due.entry,
        "due": due.name,
        "question": as_data(kind.question),
        "answer": answer,
        "say": as_data(chosen.say if chosen else words("Done")),
        "told": told.strip(),
        "source": kind.source,
        "effects": settle_effects(plan, state, due, chosen.does if chosen else ()),
    }


def _check_read_back(plan: Plan, state: JobState, told: str) -> None:
    now = next((key.fastener for key in open_pulls(plan, state)), 0)
    if not told:
        raise Refused(words("read back which fastener is next, 0 for none: both confirm it"))
    if told != str(now):
        raise Refused(
            words(
                "{told} was read back, and here another one is next: go through it again together",
                told=told,
            )
        )


def due_words(plan: Plan, due: Due) -> Words:
    """Say what is to be done or asked.

    Parameters
    ----------
    plan : Plan
    due : Due

    Returns
    -------
    Words
    """
    if due.name == "suspect":
        return _due("due_suspect", tool=plan.drawer.tool(due.tool).title)
    if due.name != "loosen":
        return due_kinds()[due.name].question
    return loosen_words(due)


def loosen_words(due: Due) -> Words:
    """Say what is to be loosened, in which order.

    Parameters
    ----------
    due : Due

    Returns
    -------
    Words
    """
    numbers = ", ".join(str(one) for one in due.fasteners)
    if due.from_stage > 1:
        return _due("due_loosen_back", stage=due.from_stage - 1, numbers=numbers)
    name = "due_loosen_one" if len(due.fasteners) == 1 else "due_loosen"
    name = f"{name}_new" if due.renew else name
    return _due(name, number=numbers) if len(due.fasteners) == 1 else _due(name, numbers=numbers)


def _due(name: str, **values: str | float) -> Words:
    return Words(DUE_WORDS[name].template, MappingProxyType(values))


def open_due(state: JobState, joint: str | None) -> Due | None:
    """Return what is to be settled before anything is pulled on a joint.

    Parameters
    ----------
    state : JobState
    joint : str or None
        None when nothing is left to pull: then whatever is open.

    Returns
    -------
    Due or None
    """
    if joint is None:
        return next(iter(state.dues), None)
    return next((due for due in state.dues if due.joint == joint and due.holds_up), None)


def _sort(plan: Plan, key: PullKey) -> Sort:
    """Return what the stage of a pull is to the rules; `Refused` where there is no such pull."""
    if key not in set(plan.joint(key.joint).sequence()):
        raise Refused(
            words(
                "joint {joint} has no pull at stage {stage}, fastener {fastener}",
                joint=key.joint,
                stage=key.stage,
                fastener=key.fastener,
            )
        )
    return sort_of(plan.stage(key).stage)


def _nothing(does: frozenset[str]) -> dict[str, Any]:
    return {
        "void": [],
        "loosen": [],
        "doubt": [],
        "clear": [],
        "suspect": None,
        "dues": [name for name in due_kinds() if name in does and name != "loosen"],
    }


def _targets(state: JobState, told: Told) -> frozenset[int]:
    """Return the fasteners that are meant."""
    answers, key = told.answers, told.key
    if "which" in answers:
        return frozenset({int(answers["which"])})
    if "pulled" in answers:
        return frozenset(int(one) for one in answers["pulled"].split())
    if "sure" in answers:
        return _after_mark(state, key, int(answers["sure"]))
    return frozenset({key.fastener} - {0})


def _after_mark(state: JobState, key: PullKey, sure: int) -> frozenset[int]:
    """Return the fasteners of a stage that were pulled after the last sure mark."""
    taken: list[int] = []
    for pull in state.pulls:
        if (pull.key.joint, pull.key.stage) == (key.joint, key.stage) and not pull.voided:
            taken = [one for one in taken if one != pull.key.fastener] + [pull.key.fastener]
    later = taken[taken.index(sure) + 1 :] if sure in taken else taken
    return frozenset(later) - {0}


def _since(state: JobState, whole: JointPlan, stage: int) -> frozenset[int]:
    """Return the fasteners of a joint that were pulled in a stage or after it."""
    standing = state.standing(whole.joint.id)
    return frozenset(p.key.fastener for p in standing if p.key.stage >= stage)


def _loosen(
    found: dict[str, Any],
    whole: JointPlan,
    state: JobState,
    fasteners: Iterable[int],
    *,
    renew: bool,
    from_stage: int = 1,
) -> None:
    """Let fasteners be loosened, and what they received from a stage on count no more."""
    mine = frozenset(fasteners)
    found["void"] += _void(state, whole, mine, from_stage=from_stage)
    if numbers := mine - {0}:
        renew = renew or never_slackened(whole.joint)
        found["loosen"].append(
            {
                "joint": whole.joint.id,
                "fasteners": [one for one in backwards(whole) if one in numbers],
                "renew": renew,
                # A new one has received nothing yet.
                "from_stage": 1 if renew else from_stage,
            }
        )
        if renew and from_stage > 1:
            found["void"] += _void(state, whole, numbers, from_stage=1, until=from_stage)


def _void(
    state: JobState,
    whole: JointPlan,
    fasteners: Iterable[int],
    *,
    from_stage: int,
    until: float = math.inf,
) -> list[str]:
    mine = frozenset(fasteners)
    return [
        pull.entry
        for pull in state.pulls
        if pull.key.joint == whole.joint.id
        and pull.key.fastener in mine
        and from_stage <= pull.key.stage < until
        and not pull.voided
    ]


def backwards(whole: JointPlan) -> list[int]:
    """Return the fasteners of a joint against the order in which they are tightened.

    Parameters
    ----------
    whole : JointPlan

    Returns
    -------
    list of int
        First those that no order names.
    """
    order = max((one.order.fasteners for one in whole.stages), key=len)
    rest = sorted(set(whole.joint.layout.numbers) - set(order), reverse=True)
    return [*rest, *reversed(order)]


def never_slackened(joint: Joint) -> bool:
    """Return whether what holds a joint is always fitted new once it was loosened.

    Parameters
    ----------
    joint : Joint

    Returns
    -------
    bool
    """
    return joint.adjusting in NEVER_SLACKENED


def _check_answer(plan: Plan, told: Told, question: Question) -> None:
    answer = told.answers[question.name]
    numbers = plan.joint(told.key.joint).joint.layout.numbers
    match question.kind:
        case "choice":
            _answer_of(question.answers, answer, question.question)
        case "person":
            if not answer.strip():
                raise Refused(words("say who: {ask}", ask=question.question))
        case "stage":
            if answer not in {str(one) for one in range(1, told.key.stage + 1)}:
                raise Refused(
                    words(
                        "{answer!r} is no stage that was begun: 1 to {count}",
                        answer=answer,
                        count=told.key.stage,
                    )
                )
        case _:
            given = answer.split()
            known = {str(one) for one in numbers} | (
                {"0"} if question.kind == "last_sure" else set()
            )
            one_only = question.kind != "fasteners"
            if not given or not set(given) <= known or (one_only and len(given) > 1):
                raise Refused(
                    words(
                        "{answer!r} is no fastener of this joint, which has 1 to {count}",
                        answer=answer,
                        count=len(numbers),
                    )
                )


def _answer_of(answers: tuple[Answer, ...], answer: str, question: Words) -> Answer | None:
    if not answers and not answer:
        return None
    found = next((one for one in answers if one.name == answer), None)
    if found is None:
        raise Refused(
            words(
                "{answer!r} is no answer to: {ask} It must be one of: {known}",
                answer=answer,
                ask=question,
                known=", ".join(one.name for one in answers) or "-",
            )
        )
    return found


def _answer_words(question: Question, answer: str) -> Words:
    if question.kind == "choice":
        return next(one.say for one in question.answers if one.name == answer)
    if question.kind == "last_sure" and answer == "0":
        return words("none of this stage")
    return words("{answer}", answer=answer)
