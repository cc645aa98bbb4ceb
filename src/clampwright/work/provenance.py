"""Where the procedure of a joint comes from, and which of its questions a person settled."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from clampwright.words import Words, words

Body = Mapping[str, Any]


def shelved_for(opened: Body, joint: str) -> Body | None:
    """Return the shelved version a joint of a job is worked by, as the job's entry holds it.

    Parameters
    ----------
    opened : mapping
        Body of the entry that opened the job.
    joint : str

    Returns
    -------
    mapping or None
    """
    return next((one for one in opened.get("shelf", ()) if joint in one["joints"]), None)


def provenance(opened: Body, joint: str, names: Mapping[str, str]) -> Iterator[Words]:
    """Say who entered and who compared a procedure, what was asked and which answer was chosen.

    Parameters
    ----------
    opened : mapping
        Body of the entry that opened the job.
    joint : str
    names : mapping of str to str
        Names of people by id; an id stands for itself where its name is not known.

    Yields
    ------
    Words
    """
    version = shelved_for(opened, joint)
    if version is not None:
        who = names.get(version["by"], version["by"])
        yield words(
            "Procedure {id}, version {number}, entered by {who} on {day}",
            id=version["procedure"],
            number=version["version"],
            who=who,
            day=version["at"][:10],
        )
        yield from _compared(version, names)
        if version["content"]["choice"] is not None:
            yield from _settled(version["content"]["choice"], words("chosen by {who}", who=who))
        return
    for settled in opened.get("settled", ()):
        if settled["joint"] == joint:
            person = settled.get("by")
            by_file = words("chosen in the job file")
            chosen = words("chosen by {who}", who=names.get(person, person)) if person else by_file
            yield from _settled(settled, chosen)


def _compared(version: Body, names: Mapping[str, str]) -> Iterator[Words]:
    for one in version["confirmed"]:
        yield words(
            "Compared with its source by {who} on {day}",
            who=names.get(one["by"], one["by"]),
            day=one["at"][:10],
        )
    if not version["confirmed"]:
        yield words("Not compared with its source by a second person when the job began")


def _settled(choice: Body, chosen: Words) -> Iterator[Words]:
    for question in choice["question"]:
        yield words("Question: {question}", question=question)
    for number, stages in enumerate(choice["readings"], 1):
        yield _reading(number, stages, chosen if number == choice["chosen"] else None)


def _reading(number: int, stages: Sequence[str], chosen: Words | None) -> Words:
    listed = "; ".join(stages)
    if chosen is None:
        return words("Reading {number}: {stages}", number=number, stages=listed)
    return words(
        "Reading {number} ({chosen}): {stages}", number=number, chosen=chosen, stages=listed
    )
