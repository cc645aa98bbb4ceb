"""Invented workshops by the dozen, made from one day of one: other names, months, friction, drift.

Every entry is a whole entry of a log, with an id and a place of its own; the traces are those of
that day. Nothing is signed: these logs are given to an archive, not to a verifier.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from clampwright.archive.sources import Source
from clampwright.bench.mechanic import PlannedFault
from clampwright.bench.papers import Papers
from clampwright.proof.strictjson import canonical
from clampwright.work.fold import PullKey

if TYPE_CHECKING:
    from clampwright.bench.folder import Workshop

DAY = ("trailer-wheel",)
_DATE = re.compile(r"^date = \d{4}-\d{2}-\d{2}$", re.MULTILINE)
SLIP = PlannedFault(PullKey("wheel", 2, 3), "slip")
FIRST_MONTH = 2026 * 12 + 6  # July 2026: this month and the next two are 31 days apart
DAY_OF_MONTH = 28
"""On which the day's work is done, whatever day it is when the tests run."""
ODD = (3, 1)
"""Workshop and month whose joint turned 25° further than all others."""


@dataclass(frozen=True, slots=True)
class Day:
    """A day of one workshop.

    Parameters
    ----------
    place : Workshop
    entries : tuple of mapping
    drawer : str
    """

    place: Workshop
    entries: tuple[Mapping[str, Any], ...]
    drawer: str


def day_of(folder: Path, jobs: Sequence[str] = DAY) -> Day:
    """Have the invented workshop work for a day: a socket slips, a wrench comes back off."""
    from clampwright.bench.folder import open_store  # noqa: PLC0415 - heavy, and few tests need it
    from clampwright.demo.drawer_day import look_after  # noqa: PLC0415 - same
    from clampwright.demo.run import build_workshop, run_job  # noqa: PLC0415 - same

    place = build_workshop(folder, replace=False)
    for job in jobs:
        run_job(place, job, seed=4, faults=[SLIP], paper=False)
    look_after(place)
    with open_store(place, write=False) as store:
        entries = tuple(json.loads(data) for data in store.raw_entries())
    return Day(place, entries, place.drawer.read_text("utf-8"))


def fleet(day: Day, count: int, months: int = 3, *, seed: int = 1) -> Iterator[Source]:
    """Yield workshops that did that day's work once a month."""
    for number in range(count):
        yield workshop_like(day, number, months, seed=seed)


def workshop_like(day: Day, number: int, months: int, *, seed: int = 1) -> Source:
    """One workshop of the fleet."""
    rng = np.random.default_rng([seed, number])
    rows = list(_entries(day, number, months, rng))
    return Source(
        f"invented {number}",
        f"invented-{number}.log",
        f"Invented workshop {number}",
        lambda: rows,
        Papers(day.place.folder / "papers"),
        _DATE.sub("date = 2025-07-05", day.drawer),
    )


def _entries(
    day: Day, number: int, months: int, rng: np.random.Generator
) -> Iterator[tuple[int, bytes]]:
    own = float(rng.normal(0.0, 0.10))  # this workshop's friction, as a logarithm
    wander = float(rng.normal(-0.1, 0.03))  # percent a month
    place = 0
    for month in range(months):
        lot = own + float(rng.normal(0.0, 0.05))
        for step, entry in enumerate(day.entries):
            if entry["kind"] == "log_opened" and month:
                continue
            turned = float(rng.normal(0.0, 0.4)) + 25.0 * ((number, month) == ODD)
            changed = _changed(entry, month, lot, (wander, turned))
            changed["id"] = _id(number, month, step)
            if entry["kind"] == "log_opened":
                changed["body"] = {
                    **entry["body"],
                    "origin": f"invented-{number}.log",
                    "workshop": f"Invented workshop {number}",
                }
            yield place, canonical(changed)
            place += 1


def _id(number: int, month: int, step: int) -> str:
    return f"0192f000-{month:04x}-7{step:03x}-8000-{number:012x}"


def _changed(
    entry: Mapping[str, Any], month: int, lot: float, by: tuple[float, float]
) -> dict[str, Any]:
    off, turned = by
    body = json.loads(json.dumps(entry["body"]))
    found = body.get("found")
    if isinstance(found, dict) and found.get("slope_nm_per_deg") is not None:
        found["slope_nm_per_deg"] = f"{float(found['slope_nm_per_deg']) * np.exp(lot):.6g}"
        found["turned_after_snug_deg"] = f"{float(found['turned_after_snug_deg']) + turned:.6g}"
    if entry["kind"] == "tool_calibrated":
        body["date"] = _in_month(body["date"], month)
        for point in body["found"]:
            point["deviation_percent"] = f"{0.05 * float(point['deviation_percent']) + off:.6g}"
        body["left"] = [{**point, "deviation_percent": "0"} for point in body["found"]]
    device = {**entry["device"], "time": _in_month(entry["device"]["time"], month)}
    return {
        **entry,
        "body": body,
        "device": device,
        "job": None if entry["job"] is None else f"{entry['job']}-{month}",
        "recorded": _in_month(entry["recorded"], month),
    }


def _in_month(time: str, month: int) -> str:
    year, at = divmod(FIRST_MONTH + month, 12)
    return f"{year:04d}-{at + 1:02d}-{DAY_OF_MONTH}{time[10:]}"
