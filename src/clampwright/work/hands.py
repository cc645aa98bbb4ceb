"""Whose hands made the entries of a record: by random ids, with names where they are known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from clampwright.words import Words, words
from clampwright.work.roles import ROLES

SIGNED: Mapping[str, Words] = {
    "pin": words("signed with the PIN"),
    "password": words("signed with the password"),
    "session": words("signed in"),
    "terminal": words("named at the terminal"),
    "not at the time": words("NOT signed at the time"),
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
    found: dict[tuple[str, str, str], Counter[str]] = {}
    for entry in entries:
        made = entry["body"].get("made_by")
        if isinstance(made, Mapping) and made.keys() == {"person", "role", "signed"}:
            key = (str(made["person"]), str(made["role"]), str(made["signed"]))
            found.setdefault(key, Counter())[entry["kind"]] += 1
    return tuple(Hand(*key, dict(counts)) for key, counts in found.items())


def who_words(hand: Hand, names: Mapping[str, str]) -> Words:
    """Say who it is and how it was signed.

    Parameters
    ----------
    hand : Hand
    names : mapping of str to str
        Names by id; an id stands for itself where its name is not known.
    """
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
