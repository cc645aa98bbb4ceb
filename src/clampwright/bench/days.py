"""The workshop's own calendar."""

from __future__ import annotations

import datetime as dt


def today() -> dt.date:
    """Return the day it is at the bench, by the machine's own clock and time zone."""
    return dt.datetime.now().astimezone().date()
