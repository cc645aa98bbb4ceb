"""Follow-ups put on the log and read back from it, and what is handed out with them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Unpack

from clampwright.bench.folder import Workshop, load_plan
from clampwright.bench.session import Origin
from clampwright.errors import Missing, Refused
from clampwright.locale import say
from clampwright.report.sheet import Sheet
from clampwright.store.log import Store
from clampwright.store.reading import LogReader
from clampwright.words import Words, words
from clampwright.work.follow_up import (
    FOLLOW_UP_PLANNED,
    FOLLOW_UP_SETTLED,
    OUTCOMES,
    FollowUp,
    follow_ups,
    plan_follow_up,
    ways,
    when,
)


def known_follow_ups(store: LogReader) -> tuple[FollowUp, ...]:
    """Return all follow-ups of a workshop as they stand.

    Parameters
    ----------
    store : LogReader

    Returns
    -------
    tuple of FollowUp
        In the order in which they were planned.
    """
    lines = [*store.of_kind(FOLLOW_UP_PLANNED), *store.of_kind(FOLLOW_UP_SETTLED)]
    ordered = sorted(lines, key=lambda line: line.index)
    return follow_ups({"id": line.id, "kind": line.kind, "body": line.body} for line in ordered)


def add_follow_up(
    store: Store,
    place: Workshop,
    job_file: Path,
    joint: str,
    *,
    what: str,
    how: str,
    after: Mapping[str, float],
    told: str,
    source: str,
    today: dt.date,
    **made: Unpack[Origin],
) -> FollowUp:
    """Plan a follow-up of a joint.

    Parameters
    ----------
    store : Store
    place : Workshop
    job_file : pathlib.Path
    joint : str
        Id of the joint in the job.
    what, how, after, told, source
        See `clampwright.work.follow_up.plan_follow_up`.
    today : datetime.date
        From when it counts.
    **made
        Id, clock and device of the entry, where another device made it.

    Returns
    -------
    FollowUp

    Raises
    ------
    Missing, Refused
        As `plan_follow_up`; also when the job has no such joint. Nothing is stored.
    """
    plan = load_plan(job_file, place.drawer, today=today)
    planned = plan.job.joint(joint)
    body = plan_follow_up(
        planned, planned.procedure.stages, what=what, how=how, after=after, told=told,
        source=source,
    )  # fmt: skip
    body |= {"job": plan.job.id, "date": today.isoformat()}
    entry = store.append(FOLLOW_UP_PLANNED, body, **made).id
    return next(one for one in known_follow_ups(store) if one.id == entry)


def settle_follow_up(
    store: Store,
    follow_up: str,
    *,
    outcome: str,
    reason: str,
    today: dt.date,
    **made: Unpack[Origin],
) -> FollowUp:
    """Say what became of a follow-up.

    Parameters
    ----------
    store : Store
    follow_up : str
        Its id, or the beginning of it.
    outcome : str
        ``done`` or ``refused``.
    reason : str
        Needed when it was refused.
    today : datetime.date
    **made
        Id, clock and device of the entry, where another device made it.

    Returns
    -------
    FollowUp

    Raises
    ------
    Missing
        When there is none, or a reason is needed.
    Refused
        When it is settled, or the beginning fits several.
    """
    one = found(store, follow_up)
    if outcome not in OUTCOMES:
        raise Refused(words("say done or refused"))
    if one.outcome:
        raise Refused(words("{id} was settled on {day}", id=one.id, day=str(one.settled)))
    if outcome == "refused" and not reason.strip():
        raise Missing(words("say why it was refused"), "reason")
    store.append(
        FOLLOW_UP_SETTLED,
        {
            "follow_up": one.id,
            "outcome": outcome,
            "reason": reason.strip(),
            "date": today.isoformat(),
        },
        **made,
    )
    return found(store, one.id)


def found(store: LogReader, beginning: str) -> FollowUp:
    """Return the follow-up with an id, or with the only one that begins so.

    Parameters
    ----------
    store : LogReader
    beginning : str

    Returns
    -------
    FollowUp

    Raises
    ------
    Missing
        When there is none.
    Refused
        When several begin so.
    """
    fitting = [one for one in known_follow_ups(store) if one.id.startswith(beginning)]
    if not fitting:
        raise Missing(words("there is no follow-up {id}", id=beginning), "follow-up")
    if len(fitting) > 1:
        raise Refused(words("{count} follow-ups begin with {id}", count=len(fitting), id=beginning))
    return fitting[0]


def title_of(one: FollowUp) -> Words:
    """Say in a few words what is to be done where.

    Parameters
    ----------
    one : FollowUp

    Returns
    -------
    Words
    """
    given = {"joint": one.joint, "job": one.job}
    if one.what == "retorque":
        return words("Tighten again: {joint} of {job}", **given)
    if one.what == "audit":
        return words("Try the torque: {joint} of {job}", **given)
    return words("Look at: {joint} of {job}", **given)


def calendar_of(known: tuple[FollowUp, ...], origin: str, today: dt.date) -> bytes:
    """Return the open follow-ups that have a day as a calendar file (iCalendar, RFC 5545).

    Parameters
    ----------
    known : tuple of FollowUp
    origin : str
        Name of the log; makes the identifiers of the events its own.
    today : datetime.date
        What is overdue stands on this day.

    Returns
    -------
    bytes
    """
    from icalendar import Calendar, Event  # noqa: PLC0415 - slow to load, and seldom asked for

    calendar = Calendar()
    calendar.add("prodid", "-//Clampwright//follow-ups//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for one in known:
        if one.day is None or one.outcome:
            continue
        event = Event()
        day = max(one.day, today)
        event.add("uid", f"{one.id}@{origin}")
        event.add("dtstamp", dt.datetime.combine(today, dt.time(), dt.UTC))
        event.add("dtstart", day)
        event.add("dtend", day + dt.timedelta(days=1))
        event.add("transp", "TRANSPARENT")
        event.add("summary", say(title_of(one)))
        event.add("description", say(when(one.after)))
        calendar.add_component(event)
    data: bytes = calendar.to_ical()
    return data


def slip(one: FollowUp, workshop: str) -> Sheet:
    """Return the slip that the owner of the machine takes along.

    Parameters
    ----------
    one : FollowUp
    workshop : str

    Returns
    -------
    Sheet
    """
    how = next((way.say for way in ways() if way.name == one.how), None)
    told = [words("Due {when} from {day} on.", when=when(one.after), day=one.planned.isoformat())]
    if how is not None:
        told.append(words("How: {how}.", how=how))
    return Sheet(
        title=title_of(one),
        time=f"{one.planned.isoformat()}T00:00:00+00:00",
        warning=words(
            "Please come back for this. Fasteners settle in the first hours of use; until then the "
            "joint may lose clamp load. The manufacturer's information comes first."
        ),
        paragraphs=told,
        facts=((words("Workshop"), workshop), (words("Told"), one.told)),
        code=f"{one.job} {one.joint} {one.id}",
        sign=(words("Done on"), words("By"), words("Signature")),
        footer=one.id,
    )


ORDER = {"overdue": 0, "open": 1, "done": 2, "refused": 3}
"""How follow-ups are listed: what presses first."""


def in_order(known: Iterable[FollowUp], today: dt.date) -> list[FollowUp]:
    """Return follow-ups, the overdue first; within one state the earliest day first."""
    last = dt.date.max
    return sorted(known, key=lambda one: (ORDER[one.state(today)], one.day or last, one.planned))
