"""What happened to the invented wrenches: checks, a drop, one found off by the laboratory."""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Iterator
from importlib.resources import files

from clampwright.bench.days import today
from clampwright.bench.drawers import drawer_of
from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.look_back import LookedBack, look_back
from clampwright.bench.tool_events import keep_calibration, keep_check, note_event
from clampwright.drawer.calibration_entry import record_of
from clampwright.drawer.cross_check import compare, trusted_tool
from clampwright.drawer.happened import Happened
from clampwright.store.log import Store

TRUSTED = "electronic-200"
FOUND_OFF = "click-60"
UNCERTAINTY, K = 1.2, 2.0
"""Of the invented laboratory."""

Row = dict[str, str]


def look_after(place: Workshop) -> LookedBack:
    """Put what happened to the invented wrenches on the log, and look back for the one found off.

    Parameters
    ----------
    place : Workshop
        After its jobs.

    Returns
    -------
    LookedBack
    """
    with open_store(place, create=True) as store:
        for row in _rows():
            _put(place, store, row)
    with open_store(place, write=False) as store:
        return look_back(store, drawer_of(place), FOUND_OFF)


def _rows() -> Iterator[Row]:
    text = files(__package__).joinpath("drawer_day.csv").read_text("utf-8")
    yield from csv.DictReader(text.splitlines())


def _put(place: Workshop, store: Store, row: Row) -> None:
    drawer = drawer_of(place).now
    tool = drawer.tool(row["tool"])
    day = today() - dt.timedelta(days=int(row["days_ago"]))
    shown, trusted = (_figures(row[name]) for name in ("shown", "trusted"))
    if row["event"] == "check":
        other = trusted_tool(drawer.tool(TRUSTED), shown[0], "N·m", "cw", today=today())
        pairs = list(zip(shown, trusted, strict=True))
        found = compare(tool, other, pairs, unit="N·m")
        check = found.record(
            date=day, trusted=TRUSTED, unit="N·m", pairs=pairs, direction="cw", note=row["note"]
        )
        keep_check(store, tool, check, today=today())
    elif row["event"] == "found":
        points = [{"set": s, "reference": r} for s, r in zip(shown, trusted, strict=True)]
        record = record_of(
            tool,
            date=day,
            today=today(),
            found=points,
            uncertainty_percent=UNCERTAINTY,
            k=K,
            note=row["note"],
        )
        keep_calibration(store, tool, record, today=today())
    else:
        note_event(store, tool, Happened(row["event"], day, row["note"]), today=today())


def _figures(text: str) -> list[float]:
    return [float(part) for part in text.split()]
