"""Something happened, as the bench page needs it: tables, what is open, what can be undone."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from clampwright.locale import say
from clampwright.words import from_data
from clampwright.work.aftermath import HAPPENED, last_of, why_not
from clampwright.work.happened_words import entry_words, hand_over_words, happened_lines
from clampwright.work.happening import NEEDS_PLACE, READ_BACK, TOLD_IN_WORDS, due_words
from clampwright.work.happening_tables import (
    Answer,
    Condition,
    due_kinds,
    happenings,
    questions,
    rules,
)
from clampwright.work.plan import Plan
from clampwright.work.state import Due, JobState


def tables_view() -> dict[str, Any]:
    """Return what can happen, the questions and what is offered, for a device that may be alone.

    Returns
    -------
    dict
    """
    return {
        "happenings": [
            {"name": one.name, "title": say(one.title), "say": say(one.say)}
            for one in happenings().values()
        ],
        "questions": [
            {
                "happening": one.happening,
                "name": one.name,
                "kind": one.kind,
                "stages": sorted(one.stages),
                "when": _condition(one.when),
                "question": say(one.question),
                "answers": _answers(one.answers),
            }
            for one in questions()
        ],
        "rules": [
            {
                "happening": one.happening,
                "stages": sorted(one.stages),
                "when": _condition(one.when),
                "say": say(one.say),
                "does": list(one.does),
                "source": one.source,
            }
            for one in rules()
        ],
        "dues": [
            {
                "name": one.name,
                "question": say(one.question),
                "say": say(one.say),
                "source": one.source,
                "told": _told(one.name),
                "answers": [
                    {"name": answer.name, "say": say(answer.say), "does": list(answer.does)}
                    for answer in one.answers
                ],
            }
            for one in due_kinds().values()
        ],
    }


def _condition(condition: Condition) -> dict[str, list[str]]:
    return {name: sorted(wanted) for name, wanted in condition.items()}


def _answers(answers: tuple[Answer, ...]) -> list[dict[str, str]]:
    return [{"name": one.name, "say": say(one.say)} for one in answers]


def open_view(
    plan: Plan, state: JobState, names: Mapping[str, str] = MappingProxyType({})
) -> dict[str, Any]:
    """Return what is open of what happened, and what can be taken back now.

    Parameters
    ----------
    plan : Plan
    state : JobState
    names : mapping of str to str
        Names of people by id, for who hands over to whom.

    Returns
    -------
    dict
        ``dues``, ``aside`` (names of tools in doubt) and ``back``.
    """
    last = last_of(state)
    may = last is not None and why_not(state, last["id"]) is None
    return {
        "dues": [_due(plan, state, due, names) for due in state.dues],
        "aside": [plan.drawer.tool(tool).title for tool in sorted(state.suspects)],
        "back": {"entry": last["id"], "what": say(entry_words(last))} if may and last else None,
    }


def _due(plan: Plan, state: JobState, due: Due, names: Mapping[str, str]) -> dict[str, Any]:
    kind = due_kinds()[due.name]
    told = next((one.body for one in state.happenings if one.entry == due.entry), {})
    blind = due.name in READ_BACK  # what is read back from the joint is not shown before
    return {
        "happening": due.entry,
        "joint": due.joint,
        "joint_title": plan.joint(due.joint).joint.title,
        "due": due.name,
        "holds_up": due.holds_up,
        "ask": say(due_words(plan, due)),
        "say": say(kind.say),
        "source": kind.source,
        "answers": _answers(kind.answers),
        "told": _told(due.name),
        "offered": say(from_data(told["offered"])) if "offered" in told and not blind else "",
        "lines": [
            *([say(hand_over_words(told, names))] if "to" in told else []),
            *(say(from_data(line)) for line in told.get("summary", ()) if not blind),
        ],
    }


def _told(name: str) -> str:
    if name in NEEDS_PLACE:
        return "place"
    if name in READ_BACK:
        return "next"
    return "found" if name in TOLD_IN_WORDS else ""


def listed(plan: Plan, state: JobState, names: Mapping[str, str]) -> dict[str, Any]:
    """Return what happened at a job, what became of it, and what is open.

    Parameters
    ----------
    plan : Plan
    state : JobState
    names : mapping of str to str
        Names of people by id.

    Returns
    -------
    dict
    """
    return {
        "happenings": [
            {
                "entry": one.entry,
                "what": one.body["what"] if one.kind == HAPPENED else one.body["due"],
                "told": [say(line) for line in happened_lines(one, names)],
                "taken_back": one.taken_back,
            }
            for one in state.happenings
        ],
        **open_view(plan, state, names),
    }
