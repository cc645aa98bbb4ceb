"""What waits to be signed, and whose hand is not known, as pages and the API show it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from clampwright.locale import say
from clampwright.web.rendering import as_sentence
from clampwright.work.fold import JobState
from clampwright.work.hands import nobodys, nobodys_words
from clampwright.work.unsigned import told, waiting, waits_words, what_words


def unsigned_view(state: JobState, names: Mapping[str, str]) -> list[dict[str, Any]]:
    """Return what waits to be signed, with all that signing it needs.

    Parameters
    ----------
    state : JobState
    names : mapping of str to str
        Names of people by id.

    Returns
    -------
    list of dict
        ``content`` and ``device`` are sent again as they are, with the signature.
    """
    return [
        {
            "entry": one.entry,
            "id": one.sent_as,
            "way": one.way,
            "act": one.act,
            "content": dict(one.content),
            "device": {name: one.device[name] for name in ("id", "time", "counter")},
            "what": say(what_words(one)),
            "waits": say(waits_words(one, names)),
            "told": as_sentence(say(told(one, names))),
        }
        for one in waiting(state.unsigned)
    ]


def nobodys_view(state: JobState) -> list[dict[str, Any]]:
    """Return the entries of a job of which nobody knows whose hand made them."""
    return [
        {
            "entry": one["id"],
            "what": as_sentence(say(nobodys_words(one))),
        }
        for one in nobodys(state.log)
    ]


def waits_view(state: JobState, names: Mapping[str, str]) -> list[dict[str, Any]]:
    """Return what waits to be signed, as little of it as the bench page needs.

    Parameters
    ----------
    state : JobState
    names : mapping of str to str

    Returns
    -------
    list of dict
        ``told``, and ``key`` of the pull it is of (None where of none).
    """
    keys = {pull.entry: pull.key for pull in state.pulls}
    found = []
    for one in waiting(state.unsigned):
        key = keys.get(str(one.content.get("entry", "")))
        at = [key.joint, key.stage, key.fastener] if key else None
        found.append({"told": as_sentence(say(told(one, names))), "key": at})
    return found
