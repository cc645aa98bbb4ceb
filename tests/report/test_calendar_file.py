"""The due list as a calendar that another program can read."""

from __future__ import annotations

import datetime as dt

from icalendar import Calendar

from clampwright.drawer import Calibration, Scale, Tool
from clampwright.drawer.due import due_of
from clampwright.drawer.history import ToolHistory
from clampwright.report.calendar_file import calendar_file

DAY = dt.date(2026, 10, 5)
WRENCH = Tool(
    "c", 'Click, 20 to 100; "old"', "click", "1/2 in", (Scale("N·m", 20, 100, 10, 0.5),),
    calibration=Calibration(dt.date(2026, 6, 27)),
)  # fmt: skip


def test_every_wrench_has_its_day_with_two_reminders() -> None:
    due = due_of(WRENCH, ToolHistory(), DAY)
    data = calendar_file([due], today=DAY, origin="yard")
    assert data == calendar_file([due], today=DAY, origin="yard")
    event = Calendar.from_ical(data).walk("VEVENT")[0]
    assert event.decoded("dtstart") == dt.date(2027, 6, 27)
    assert str(event["uid"]) == "c@yard"
    assert WRENCH.title in str(event["summary"])
    assert [alarm.decoded("trigger").days for alarm in event.walk("VALARM")] == [-14, -3]


def test_what_is_overdue_stands_on_today() -> None:
    due = due_of(WRENCH, ToolHistory(), dt.date(2028, 1, 1))
    data = calendar_file([due], today=dt.date(2028, 1, 1), origin="yard")
    event = Calendar.from_ical(data).walk("VEVENT")[0]
    assert event.decoded("dtstart") == dt.date(2028, 1, 1)
