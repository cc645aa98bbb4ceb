"""Whose hands made the entries of a record: by random ids, with names where they are known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from clampwright.words import Words, words
from clampwright.work.roles import ROLES

NOT_KNOWN = "not-known"
"""Stands where the id of a person would, when nobody was signed in as an entry was made."""

NAMED = "hand_named"
"""Kind of the entry that says afterwards whose hand made another."""

SIGNED: Mapping[str, Words] = {
    "pin": words("signed with the PIN"),
    "password": words("signed with the password"),
    "session": words("signed in"),
    "terminal": words("named at the terminal"),
    "not at the time": words("NOT signed at the time"),
    "not known": words("made before its sender signed in"),
    "named": words("named afterwards"),
}

DONE: Mapping[str, Words] = {
    "pull": words("pulls"),
    "pull_accepted": words("gone on in spite of a verdict"),
    "tool_overruled": words("another tool taken"),
    "setting_read_back": words("setting read back"),
    "reading_confirmed": words("reading confirmed"),
    "second_look_taken": words("second look"),
    "job_opened": words("job begun"),
    "job_closed": words("job closed"),
    "signature_awaited": words("held open to be signed"),
    "signature_refused": words("held open, then not to count"),
    "procedure_shelved": words("procedure entered"),
    "procedure_confirmed": words("procedure confirmed"),
}
OTHER = words("other entries")


@dataclass(frozen=True, slots=True)
class Hand:
    """What one person did in one way of signing.

    Parameters
    ----------
    person : str
        Random id.
    role : str
        At that time.
    signed : str
        As in the entries.
    counts : mapping of str to int
        Entries by kind.
    """

    person: str
    role: str
    signed: str
    counts: Mapping[str, int]

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "person": self.person,
            "role": self.role,
            "signed": self.signed,
            "entries": dict(self.counts),
        }


def hands_of(entries: Iterable[Mapping[str, Any]]) -> tuple[Hand, ...]:
    """Return whose hands made entries, in the order in which they first appear.

    Parameters
    ----------
    entries : iterable of mapping
        As the log holds them.

    Returns
    -------
    tuple of Hand
        Nothing for entries that name no hand.
    """
    every = tuple(entries)
    named = named_in(every)
    found: dict[tuple[str, str, str], Counter[str]] = {}
    for entry in every:
        made = entry["body"].get("made_by")
        if isinstance(made, Mapping) and made.keys() == {"person", "role", "signed"}:
            key = (str(made["person"]), str(made["role"]), str(made["signed"]))
            if key[0] == NOT_KNOWN and entry.get("id") in named:
                key = (*named[entry["id"]], "named")
            found.setdefault(key, Counter())[entry["kind"]] += 1
    return tuple(Hand(*key, dict(counts)) for key, counts in found.items())


def named_in(entries: Iterable[Mapping[str, Any]]) -> dict[str, tuple[str, str]]:
    """Return who was named afterwards as the hand of entries: person and role by the entry's id.

    Parameters
    ----------
    entries : iterable of mapping

    Returns
    -------
    dict
        The first name holds; naming a hand again changes nothing.
    """
    found: dict[str, tuple[str, str]] = {}
    for entry in entries:
        if entry["kind"] == NAMED:
            body = entry["body"]
            found.setdefault(str(body["entry"]), (str(body["person"]), str(body["role"])))
    return found


def nobodys(entries: Iterable[Mapping[str, Any]]) -> tuple[Mapping[str, Any], ...]:
    """Return the entries of which nobody knows whose hand made them.

    Parameters
    ----------
    entries : iterable of mapping

    Returns
    -------
    tuple of mapping
    """
    every = tuple(entries)
    named = named_in(every)
    return tuple(
        one
        for one in every
        if (one["body"].get("made_by") or {}).get("person") == NOT_KNOWN and one["id"] not in named
    )


def nobodys_words(entry: Mapping[str, Any]) -> Words:
    """Say what an entry is of which nobody knows whose hand made it.

    Parameters
    ----------
    entry : mapping
    """
    return words(
        "person not known: {what}, made {time} on {device}",
        what=DONE.get(entry["kind"], OTHER),
        time=entry["device"]["time"][:16].replace("T", " "),
        device=entry["device"]["id"],
    )


def who_words(hand: Hand, names: Mapping[str, str]) -> Words:
    """Say who it is and how it was signed.

    Parameters
    ----------
    hand : Hand
    names : mapping of str to str
        Names by id; an id stands for itself where its name is not known.
    """
    if hand.person == NOT_KNOWN:
        return words("person not known, {signed}", signed=SIGNED["not known"])
    return words(
        "{who} ({role}), {signed}",
        who=names.get(hand.person, hand.person),
        role=ROLES.get(hand.role, hand.role),
        signed=SIGNED.get(hand.signed, hand.signed),
    )


def done_words(hand: Hand) -> tuple[Words, ...]:
    """Say what was done, each with its number."""
    counts: dict[Words, int] = {}
    for kind, number in hand.counts.items():
        done = DONE.get(kind, OTHER)
        counts[done] = counts.get(done, 0) + number
    return tuple(
        words("{count} × {done}", count=number, done=done) for done, number in counts.items()
    )
