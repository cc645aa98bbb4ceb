"""The due list as a calendar file (iCalendar, RFC 5545), with reminders."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from icalendar import Alarm, Calendar, Event

from clampwright.drawer.due import Due
from clampwright.locale import say
from clampwright.words import words

REMINDERS = (dt.timedelta(days=-14), dt.timedelta(days=-3))
"""Before the day it is due."""


def calendar_file(due: Sequence[Due], *, today: dt.date, origin: str) -> bytes:
    """Return a calendar file with one day for every wrench.

    Parameters
    ----------
    due : sequence of Due
    today : datetime.date
        What is overdue stands on this day.
    origin : str
        Name of the workshop's log: it makes the identifiers of the events its own, so that a
        calendar that takes the file again moves the days instead of doubling them.

    Returns
    -------
    bytes
        UTF-8, lines ended as RFC 5545 asks; the same bytes on the same day.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Clampwright//drawer//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for one in due:
        calendar.add_component(_event(one, today, origin))
    data: bytes = calendar.to_ical()
    return data


def _event(one: Due, today: dt.date, origin: str) -> Event:
    day = max(one.on, today)
    event = Event()
    event.add("uid", f"{one.tool.id}@{origin}")
    event.add("dtstamp", dt.datetime.combine(today, dt.time(), dt.UTC))
    event.add("dtstart", day)
    event.add("dtend", day + dt.timedelta(days=1))
    event.add("transp", "TRANSPARENT")
    event.add("summary", say(words("Calibrate: {tool}", tool=one.tool.title)))
    event.add("description", "\n".join(say(reason.say) for reason in one.reasons))
    for before in REMINDERS:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("trigger", before)
        alarm.add("description", say(words("Calibrate: {tool}", tool=one.tool.title)))
        event.add_component(alarm)
    return event
