"""What a record says of the preparation of a joint, the same in text and on paper."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, from_data, words
from clampwright.work.apart import loosened_words
from clampwright.work.audit import audited_words
from clampwright.work.fold import JobState, Settled
from clampwright.work.happened_words import happened_lines
from clampwright.work.hold import answered_words
from clampwright.work.job_papers import attached_words
from clampwright.work.second_look_words import second_look_words


def prepared_words(joint: str, state: JobState) -> tuple[Words, ...]:
    """Return what the log says of a joint's preparation, its silence too once work began.

    Parameters
    ----------
    joint : str
    state : JobState

    Returns
    -------
    tuple of Words
        Empty while nothing was pulled and nothing was settled.
    """
    settled = {name: one for (where, name), one in state.settled_points.items() if where == joint}
    passed = {
        name: reason
        for (where, name), reason in state.passed_over.items()
        if where == joint and name not in settled
    }
    if not settled and not passed:
        began = any(pull.key.joint == joint for pull in state.pulls)
        return (words("Nobody went through the preparation list."),) if began else ()
    lines = [_settled(one) for one in settled.values()]
    for reason in dict.fromkeys(passed.values()):
        names = [name.replace("_", " ") for name, why in passed.items() if why == reason]
        lines.append(
            words(
                "Gone on without: {points}. Reason: {reason}",
                points=", ".join(names),
                reason=reason,
            )
        )
    return tuple(lines)


def held_words(joint: str, state: JobState) -> tuple[Words, ...]:
    """Return every answer to a hold point of a joint, in the order of the log."""
    return tuple(answered_words(body) for body in state.hold_answers if body["joint"] == joint)


def apart_words(joint: str, state: JobState) -> tuple[Words, ...]:
    """Return what was noted when a joint was taken apart."""
    return tuple(
        loosened_words(body) for (where, _, _), body in state.apart.items() if where == joint
    )


def audited(joint: str, state: JobState) -> tuple[Words, ...]:
    """Return what trying the fasteners of a joint afterwards told, in the order of the log."""
    return tuple(audited_words(body) for body in state.audits if body["joint"] == joint)


def papers_words(joint: str, state: JobState) -> tuple[Words, ...]:
    """Return what is attached to a joint, each file with its hash."""
    return tuple(attached_words(body) for body in state.papers if body["joint"] == joint)


TITLES = (
    words("Preparation"),
    words("Hold points"),
    words("Taken apart"),
    words("Second looks"),
    words("Tried afterwards"),
    words("Photographs and papers"),
)


NOBODY: Mapping[str, str] = MappingProxyType({})
"""Where no names are at hand, people are called by their ids."""


def told_of(
    joint: str, state: JobState, names: Mapping[str, str] = NOBODY
) -> tuple[tuple[Words, tuple[Words, ...]], ...]:
    """Return what the log says of a joint besides its pulls, each under its title.

    Parameters
    ----------
    joint : str
    state : JobState
    names : mapping of str to str, optional
        Names of people by id.

    Returns
    -------
    tuple of (Words, tuple of Words)
        Parts that hold nothing are left out.
    """
    parts = (prepared_words, held_words, apart_words, second_look_words, audited, papers_words)
    found = ((title, lines(joint, state)) for title, lines in zip(TITLES, parts, strict=True))
    told = tuple((title, lines) for title, lines in found if lines)
    happened = happened_words(joint, state, names)
    return (*told, (words("What happened"), happened)) if happened else told


def happened_words(
    joint: str, state: JobState, names: Mapping[str, str] = NOBODY
) -> tuple[Words, ...]:
    """Return what happened at a joint and what became of it, in the order of the log."""
    lines: list[Words] = []
    for noted in state.happenings:
        if noted.body["joint"] == joint:
            first, *more = happened_lines(noted, names)
            lines += [first, *(words("– {line}", line=line) for line in more)]
    return tuple(lines)


def _settled(one: Settled) -> Words:
    point = from_data(one.body["say"])
    if one.how == "skipped":
        return words("Skipped: {point} Reason: {reason}", point=point, reason=one.reason)
    if one.how == "ticked":
        return words("Done: {point}", point=point)
    chosen = one.body.get("chosen")
    if chosen is None:
        return words("{point} {answer}", point=point, answer=one.answer)
    return words(
        "{point} {answer} ({source})",
        point=point,
        answer=from_data(chosen["say"]),
        source=chosen["source"],
    )
