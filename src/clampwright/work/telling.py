"""What another program can be told of, and what a message says. Rules only: nothing is sent here.

A message follows from one entry of the log, so that it can be made again: its name, too, is the
same each time. It holds ids and verdicts, no names of people, no papers and no figures of a pull.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, StringConstraints
from pydantic import Field as Limit

from clampwright.errors import Missing
from clampwright.words import words

TELLING_BEGUN, TELLING_ENDED = "telling_begun", "telling_ended"
FORMAT, VERSION = "clampwright-message", 1
FOLLOW_UP_DUE, TRIAL = "follow_up_due", "trial"
KEPT = ("joint", "stage", "fastener", "verdict", "tool", "what")
"""Members of an entry's body that a message repeats."""

Id = Annotated[str, StringConstraints(min_length=1, max_length=200)]


class Message(BaseModel):
    """The body of a message, as its published schema has it."""

    model_config = ConfigDict(extra="forbid")

    format: Literal["clampwright-message"]
    version: Literal[1]
    id: Annotated[str, StringConstraints(pattern="^[0-9a-f]{32}$")]
    about: Literal[
        "job_opened", "job_closed", "verdict_over", "verdict_void", "verdict_short",
        "verdict_doubtful", "tool_off", "tool_calibrated", "something_happened", "follow_up_due",
        "trial",
    ]  # fmt: skip
    time: str
    workshop: Id
    entry: Id | None
    index: Annotated[int, Limit(ge=0)] | None
    job: Id | None
    of: dict[str, str | int]


@dataclass(frozen=True, slots=True)
class Subject:
    """Something that can be told.

    Parameters
    ----------
    about : str
    kind : str
        Of the entry; empty where it comes of no entry.
    where : tuple of str
        Member of the body and what it must be; empty where every entry of the kind counts.
    meaning : str
    """

    about: str
    kind: str
    where: tuple[str, ...]
    meaning: str


@cache
def subjects() -> Mapping[str, Subject]:
    """Return everything that can be told, by its name.

    Returns
    -------
    mapping of str to Subject
    """
    text = files("clampwright.work").joinpath("tellable.csv").read_text("utf-8")
    return {
        row["about"]: Subject(
            row["about"],
            row["kind"],
            tuple(row["where"].split("=")) if row["where"] else (),
            row["meaning"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def chosen(about: tuple[str, ...]) -> tuple[str, ...]:
    """Return what is to be told, each once, in the order of the table.

    Parameters
    ----------
    about : tuple of str

    Returns
    -------
    tuple of str

    Raises
    ------
    Missing
        Nothing is named, or something that cannot be told.
    """
    known = [name for name in subjects() if name != TRIAL]
    if not about or any(name not in known for name in about):
        raise Missing(
            words("say what is to be told: one or more of {known}", known=", ".join(known)),
            needed="about",
        )
    return tuple(name for name in known if name in about)


def subjects_of(entry: Mapping[str, Any]) -> Iterator[str]:
    """Yield what an entry of the log is to be told as.

    Parameters
    ----------
    entry : mapping

    Yields
    ------
    str
    """
    for one in subjects().values():
        if one.kind and one.kind == entry["kind"]:
            if one.where and entry["body"].get(one.where[0]) != one.where[1]:
                continue
            yield one.about


def message_of(
    receiver: str, about: str, workshop: str, entry: Mapping[str, Any]
) -> dict[str, Any]:
    """Return the body of the message that an entry of the log is told by.

    Parameters
    ----------
    receiver : str
        Id of who is told.
    about : str
    workshop : str
        Name of the log.
    entry : mapping
        With ``id``, ``index``, ``job``, ``recorded`` and ``body``.

    Returns
    -------
    dict
    """
    body = entry["body"]
    job = entry["job"] or body.get("job")
    return _content(
        receiver, about, workshop,
        key=str(entry["id"]),
        time=str(entry["recorded"]),
        entry=str(entry["id"]),
        index=int(entry["index"]),
        job=None if job is None else str(job),
        of={name: body[name] for name in KEPT if isinstance(body.get(name), str | int)},
    )  # fmt: skip


def message_of_due(
    receiver: str, workshop: str, *, follow_up: str, job: str, joint: str, what: str, day: str,
    time: str,
) -> dict[str, Any]:  # fmt: skip
    """Return the body of the message that a follow-up is due.

    Parameters
    ----------
    receiver, workshop : str
        As of `message_of`.
    follow_up : str
        Id of the entry that planned it.
    job, joint, what : str
    day : str
        When it is due.
    time : str
        Now, RFC 3339.

    Returns
    -------
    dict
    """
    return _content(
        receiver, FOLLOW_UP_DUE, workshop, key=follow_up, time=time, entry=follow_up, index=None,
        job=job, of={"joint": joint, "what": what, "day": day},
    )  # fmt: skip


def message_of_trial(receiver: str, workshop: str, *, key: str, time: str) -> dict[str, Any]:
    """Return the body of a trial message.

    Parameters
    ----------
    receiver, workshop : str
        As of `message_of`.
    key : str
        Another one for each trial.
    time : str
        Now, RFC 3339.

    Returns
    -------
    dict
    """
    return _content(
        receiver, TRIAL, workshop, key=key, time=time, entry=None, index=None, job=None, of={}
    )


def _content(
    receiver: str, about: str, workshop: str, *, key: str, time: str, **rest: Any
) -> dict[str, Any]:
    name = hashlib.sha256(f"{receiver}\n{about}\n{key}".encode()).hexdigest()[:32]
    return {
        "format": FORMAT,
        "version": VERSION,
        "id": name,
        "about": about,
        "time": time,
        "workshop": workshop,
        **rest,
    }
