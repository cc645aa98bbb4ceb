"""What a record says of second looks: another tool with its reason, a setting read back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from clampwright.words import Words, from_data, words
from clampwright.work.fold import JobState
from clampwright.work.four_eyes import look_words


def second_look_words(joint: str, state: JobState) -> tuple[Words, ...]:
    """Return every second look at a joint, by stage, in the order of the log.

    Parameters
    ----------
    joint : str
    state : JobState

    Returns
    -------
    tuple of Words
    """
    found = [(one["stage"], line) for one in state.overrules for line in _taken(one, joint)]
    found += [(one["stage"], line) for one in state.read_backs for line in _read(one, joint)]
    by_stage = tuple(line for _stage, line in sorted(found, key=lambda pair: pair[0]))
    return (*by_stage, *look_words(joint, state))


def _taken(one: Mapping[str, Any], joint: str) -> Iterator[Words]:
    if one["joint"] != joint:
        return
    yield words(
        "Stage {stage}: a person took {tool} instead: {reason}",
        stage=one["stage"],
        tool=one["tool"],
        reason=one["reason"],
    )
    for reason in one["against"]:
        yield words("Against it stood: {why}", why=from_data(reason))


def _read(one: Mapping[str, Any], joint: str) -> Iterator[Words]:
    if one["joint"] != joint:
        return
    read, wanted = one["read"], one["wanted"]
    yield words(
        "Stage {stage}: {tool} was to stand on {wanted} {wanted_unit}; a second person read {read} "
        "{unit}: {told}",
        stage=one["stage"],
        tool=one["tool"],
        wanted=wanted["value"],
        wanted_unit=wanted["unit"],
        read=read["value"],
        unit=read["unit"],
        told=from_data(one["told"]),
    )
