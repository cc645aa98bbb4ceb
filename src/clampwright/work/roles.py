"""Roles, and what each of them may do: a table of this project's own, beside this file."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING

from clampwright.errors import Refused
from clampwright.words import Words, words

if TYPE_CHECKING:
    from collections.abc import Mapping

ROLES: Mapping[str, Words] = MappingProxyType(
    {
        "apprentice": words("apprentice"),
        "mechanic": words("mechanic"),
        "responsible": words("responsible person"),
        "administrator": words("administrator"),
    }
)
"""Every role with its word, the one that may least first."""

ACTS: Mapping[str, Words] = MappingProxyType(
    {
        "look": words("look at jobs, drawer, procedures and records"),
        "pull": words("do the work of a job: pulls, preparation, hold points"),
        "begin_job": words("begin a job"),
        "accept_doubtful": words("go on in spite of a verdict"),
        "overrule_tool": words("take another tool than planned"),
        "second_look": words("take a second look"),
        "close_job": words("close a job"),
        "write_record": words("write a record"),
        "write_procedure": words("put a procedure on the shelf"),
        "confirm_procedure": words("confirm a procedure"),
        "care_for_tools": words("check and look over tools"),
        "calibrate_tools": words("enter calibrations and decide on tools"),
        "change_drawer": words("change the drawer"),
        "name_hand": words("say whose hand made an entry"),
        "enrol_device": words("enrol a device"),
        "back_up": words("take backups"),
        "look_after_keys": words("look after the signing key"),
        "look_after_people": words("look after people and roles"),
        "tell_outside": words("let another program be told what happens"),
    }
)
"""Every act that is allowed or not, in words."""


class NotAllowed(Refused):
    """What is asked is not for this person's role."""


@dataclass(frozen=True, slots=True)
class Act:
    """Something that a role may do or not.

    Parameters
    ----------
    name : str
    roles : frozenset of str
        Who may.
    signs : bool
        Whether it is signed with a PIN in the moment it is done.
    source : str
        Why it is so.
    """

    name: str
    roles: frozenset[str]
    signs: bool
    source: str


@cache
def acts() -> Mapping[str, Act]:
    """Return every act by its name.

    Returns
    -------
    mapping of str to Act

    Examples
    --------
    >>> sorted(acts()["confirm_procedure"].roles)
    ['administrator', 'responsible']
    """
    text = files("clampwright.work").joinpath("roles.csv").read_text("utf-8")
    found = {
        row["act"]: Act(
            row["act"],
            frozenset(role for role in ROLES if row[role] == "yes"),
            row["signs"] == "yes",
            row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }
    return MappingProxyType(found)


@cache
def entry_acts() -> Mapping[str, str]:
    """Return which act puts an entry of a kind on the log.

    Returns
    -------
    mapping of str to str
    """
    text = files("clampwright.work").joinpath("entry_acts.csv").read_text("utf-8")
    return MappingProxyType({row["kind"]: row["act"] for row in csv.DictReader(text.splitlines())})


def act_of(kind: str) -> str:
    """Return the act that puts an entry on the log; a kind in no table is for administrators.

    Parameters
    ----------
    kind : str

    Returns
    -------
    str

    Examples
    --------
    >>> act_of("job_closed")
    'close_job'
    """
    return entry_acts().get(kind, "look_after_people")


def may(role: str, act: str) -> bool:
    """Say whether a role may do something; what is in no table nobody may.

    Parameters
    ----------
    role : str
    act : str

    Returns
    -------
    bool

    Examples
    --------
    >>> may("apprentice", "pull"), may("apprentice", "close_job"), may("mechanic", "fly")
    (True, False, False)
    """
    known = acts().get(act)
    return known is not None and role in known.roles


def refuse_unless(role: str, act: str) -> None:
    """Refuse what a role may not do.

    Parameters
    ----------
    role : str
    act : str

    Raises
    ------
    NotAllowed
        Says who may.
    """
    if not may(role, act):
        raise NotAllowed(not_allowed(role, act))


def not_allowed(role: str, act: str) -> Words:
    """Return the sentence that refuses.

    Parameters
    ----------
    role : str
    act : str

    Returns
    -------
    Words
    """
    who = [str(ROLES[one]) for one in ROLES if may(one, act)]
    return words(
        "the role {role} may not do this ({act}); these may: {who}",
        role=ROLES.get(role, words("nobody")),
        act=ACTS[act],
        who=", ".join(who),
    )
