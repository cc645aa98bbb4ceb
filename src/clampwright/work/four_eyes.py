"""Second looks at joints that life or limb depends on: which are still to be taken, and by whom."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from clampwright.errors import Refused
from clampwright.words import Words, words
from clampwright.work.fold import JobState
from clampwright.work.hands import NOT_KNOWN, named_in
from clampwright.work.people_rules import figure
from clampwright.work.plan import Plan

TAKEN = "second_look_taken"
"""Kind of the entry."""

How = Literal["another person", "alone after a pause"]


@dataclass(frozen=True, slots=True)
class Look:
    """A second look that is about to be taken.

    Parameters
    ----------
    joint : str
    in_order : bool
        Whether everything was found as it should be.
    note : str
        What was seen.
    photograph : str
        SHA-256 of the kept picture, hexadecimal; empty where there is none.
    alone : bool
        Whether the same person looks who did the work; where the log knows hands, it says so.
    """

    joint: str
    in_order: bool
    note: str = ""
    photograph: str = ""
    alone: bool = False


def hands_on(joint: str, state: JobState) -> frozenset[str | None]:
    """Return who pulled on a joint, None among them where the log does not know.

    Parameters
    ----------
    joint : str
    state : JobState

    Returns
    -------
    frozenset of str or None
    """
    named = named_in(state.log)
    pulls = [pull for pull in state.pulls if pull.key.joint == joint]
    found = {pull.entry: (pull.body.get("made_by") or {}).get("person") for pull in pulls}
    return frozenset(
        named[entry][0] if person == NOT_KNOWN and entry in named else person
        for entry, person in found.items()
    )


def pulls_on(joint: str, state: JobState) -> int:
    """Return how many pulls a joint has had; after one more, an earlier look counts no more."""
    return sum(pull.key.joint == joint for pull in state.pulls)


def standing_look(joint: str, state: JobState) -> Mapping[str, Any] | None:
    """Return the last second look at a joint, if nothing was pulled since and all was in order."""
    looks = [one for one in state.second_looks if one["joint"] == joint]
    if not looks or looks[-1]["pulls"] != pulls_on(joint, state) or not looks[-1]["in_order"]:
        return None
    return looks[-1]


def looks_wanted(plan: Plan, state: JobState) -> tuple[str, ...]:
    """Return the joints life or limb depends on whose second look is still to be taken.

    Parameters
    ----------
    plan : Plan
    state : JobState

    Returns
    -------
    tuple of str
        Ids, in the order of the plan.
    """
    return tuple(
        one.joint.id
        for one in plan.joints
        if one.joint.harm_level == 1 and standing_look(one.joint.id, state) is None
    )


def how_taken(look: Look, person: str | None, state: JobState, waited_s: float) -> How:
    """Say how a second look is taken, or refuse it.

    Parameters
    ----------
    look : Look
    person : str or None
        Who looks, where that is known.
    state : JobState
    waited_s : float
        Since the last pull on the joint, s.

    Returns
    -------
    str

    Raises
    ------
    Refused
        When nothing was pulled yet, or a person alone has not waited, or shows no photograph.
    """
    if not pulls_on(look.joint, state):
        raise Refused(words("nothing was pulled on this joint yet: there is nothing to look at"))
    hands = hands_on(look.joint, state)
    known = person is not None and None not in hands
    # A hand nobody knew may be this one's: until it is named, it counts as the same.
    same = known and not hands.isdisjoint({person, NOT_KNOWN})
    if not (same or look.alone):
        return "another person"
    pause = figure("second_look", "pause_s")
    if waited_s < pause:
        raise Refused(
            words(
                "the same person looks again after a pause: {minutes} minutes are left; another "
                "person may look at once",
                minutes=-(-(pause - int(waited_s)) // 60),
            )
        )
    if not look.photograph:
        raise Refused(words("the same person shows with a photograph what was looked at"))
    return "alone after a pause"


def look_words(joint: str, state: JobState) -> Iterator[Words]:
    """Say every second look at a joint, in the order of the log.

    Parameters
    ----------
    joint : str
    state : JobState

    Yields
    ------
    Words
    """
    for one in state.second_looks:
        if one["joint"] != joint:
            continue
        who = (
            words("Second look by another person")
            if one["how"] == "another person"
            else words(
                "Second look by the same person, alone, {minutes} minutes after the last pull, "
                "with a photograph ({photograph})",
                minutes=int(one["waited_s"]) // 60,
                photograph=one["photograph"][:12],
            )
        )
        found = words("all in order") if one["in_order"] else words("NOT in order")
        later = one["pulls"] != pulls_on(joint, state)
        yield words(
            "{who}: {found}{note}{later}",
            who=who,
            found=found,
            note=f". {one['note']}" if one["note"] else "",
            later=words(" (pulled again since: counts no more)") if later else "",
        )
