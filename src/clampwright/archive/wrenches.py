"""How each wrench of a fleet wanders, and which wander unlike the others of their kind.

A rate is what a wrench changed by between leaving one calibration and coming to the next, for a
year. Wrenches of a kind are pooled: a wrench with one interval is drawn towards its kind.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from clampwright.archive.discovery import FEWEST, adjusted, chances_of
from clampwright.archive.layout import Archive
from clampwright.archive.pooling import Drawn, Pooled, group_of, pooled
from clampwright.archive.reading import about, entries_of, name_of
from clampwright.archive.running import Asked, Found, Parts
from clampwright.archive.units import Unit
from clampwright.drawer.calibration import Point
from clampwright.drawer.check_series import check_series
from clampwright.drawer.files import load_drawer
from clampwright.drawer.history import HAPPENED, ToolHistory, fold_tools
from clampwright.drawer.permissible import CLASS_OF_KIND
from clampwright.drawer.tools import Drawer, Tool
from clampwright.drawer.trust import permissible_for
from clampwright.errors import ClampwrightError, Missing, OutOfRange

STEP = "wrenches"
YEAR = 365.25
SHORTEST = 30
"""Days between two calibrations that tell a rate: over fewer their uncertainty is all there is."""
SHOWN = 300
USUAL_SHARE = 0.05


def drawer_in(
    archive: Archive, workshop: str, without: frozenset[str] = frozenset()
) -> Drawer | None:
    """Return the drawer of a workshop: its file where it was put in, else that of its newest job.

    Parameters
    ----------
    archive : Archive
    workshop : str
    without : frozenset of str
        Files that are left out.

    Returns
    -------
    Drawer or None
        None where neither is held, or none can be read.
    """
    text = str(about(archive, workshop).get("drawer", ""))
    if not text:
        for row in entries_of(archive, workshop, kinds=("job_opened",), without=without):
            text = str(row.content["body"].get("drawer_file", ""))
    if not text:
        return None
    try:
        return load_drawer(text.encode(), "drawer.toml")
    except ClampwrightError:
        return None  # an older program could read it, this one cannot


def histories_in(
    archive: Archive, workshop: str, without: frozenset[str] = frozenset()
) -> dict[str, ToolHistory]:
    """Return what happened to each tool of a workshop; pulls are not counted."""
    rows = entries_of(archive, workshop, kinds=HAPPENED, without=without)
    return fold_tools(row.content for row in rows)


def wrenches_of(archive: Archive, unit: Unit, _asked: Asked, without: frozenset[str]) -> Found:
    """Gather how the wrenches of a workshop changed; a `clampwright.archive.running.Step`."""
    drawer = drawer_in(archive, unit.workshop, without)
    histories = histories_in(archive, unit.workshop, without)
    tools = () if drawer is None else drawer.tools
    return {"wrenches": [_row(one, histories.get(one.id, ToolHistory())) for one in tools
                         if one.is_wrench and _shows_torque(one)]}  # fmt: skip


def _shows_torque(tool: Tool) -> bool:
    return tool.iso_class is not None or tool.kind in CLASS_OF_KIND


def _row(tool: Tool, history: ToolHistory) -> dict[str, Any]:
    steps = list(_steps(tool, history))
    newest = max(history.calibrations, key=lambda one: one.date, default=None)
    worst = None
    if newest is not None and newest.standing:
        worst = max((point.deviation for point in newest.standing), key=abs)
    return {
        "tool": tool.id,
        "title": tool.title,
        "kind": tool.kind,
        "limit": permissible_for(tool),
        "steps": [[one.isoformat(), other.isoformat(), change] for one, other, change in steps],
        "rates": [change / ((other - one).days / YEAR) for one, other, change in steps],
        "left": worst,
        "left_on": newest.date.isoformat() if newest is not None else None,
        "checks": len(history.checks),
        "signals": _signals(history),
    }


def _steps(tool: Tool, history: ToolHistory) -> Iterator[tuple[dt.date, dt.date, float]]:
    """Yield from when to when, and by how much, percent, a wrench changed by itself."""
    left: tuple[dt.date, Sequence[Point]] | None = None
    if tool.calibration is not None:
        left = tool.calibration.date, tool.calibration.points
    for done in sorted(history.calibrations, key=lambda one: one.date):
        found = done.as_found()
        if left is not None and found is not None and left[0] <= done.date:
            change = _change(left[1], found.points)
            if change is not None and (done.date - left[0]).days >= SHORTEST:
                yield left[0], done.date, change
        left = done.date, done.calibration().points


def _change(before: Sequence[Point], after: Sequence[Point]) -> float | None:
    """Return the mean change over the torques found, in the direction both looked at."""
    for direction in ("cw", "ccw"):
        old = sorted((p.torque, p.deviation) for p in before if p.direction == direction)
        new = [(p.torque, p.deviation) for p in after if p.direction == direction]
        if old and new:
            at, deviation = zip(*old, strict=True)
            return math.fsum(
                now - float(np.interp(torque, at, deviation)) for torque, now in new
            ) / len(new)
    return None


def _signals(history: ToolHistory) -> list[str]:
    """Return the days of checks at which a chart of them signals (EWMA and sums)."""
    try:
        return [one.check.date.isoformat() for one in check_series(history.checks).signals]
    except (Missing, OutOfRange):
        return []


def gather_drift(archive: Archive, parts: Parts, asked: Asked) -> Found:
    """Pool the rates of wrenches by their kind, and find those unlike the others.

    Parameters
    ----------
    archive : Archive
    parts : Parts
        Of the step ``wrenches``.
    asked : mapping
        ``share``: of false alarms among the alarms, that is borne.

    Returns
    -------
    dict
        ``kinds`` (pooled rates, percent a year), ``wrenches`` (those that reach their limit first),
        ``outlying``, ``in_all``, ``signals``.
    """
    share = float(asked.get("share", USUAL_SHARE))
    by_kind: dict[str, list[dict[str, Any]]] = {}
    signalled, in_all = [], 0
    for unit, part in parts:
        for row in part["wrenches"]:
            in_all += 1
            one = {"workshop": unit.workshop, **row}
            if row["signals"]:
                signalled.append({name: one[name] for name in (*_WHO, "signals")})
            if row["rates"]:
                by_kind.setdefault(row["kind"], []).append(one)
    rows, kinds = [], []
    for kind, some in sorted(by_kind.items()):
        told, drawn = _kind(kind, some)
        kinds.append(told)
        rows += [_drawn(one, its) for one, its in zip(some, drawn, strict=True)]
    rows.sort(key=lambda one: (one["years"] is None, one["years"], one["workshop"], one["tool"]))
    return {
        "kinds": kinds,
        "wrenches": [_named(archive, one) for one in rows[:SHOWN]],
        "outlying": [_named(archive, one) for one in _outlying(by_kind, share)[:SHOWN]],
        "signals": [_named(archive, one) for one in signalled[:SHOWN]],
        "in_all": in_all,
        "with_rates": len(rows),
        "share": share,
    }


_WHO = ("workshop", "tool", "title", "kind")


def _named(archive: Archive, one: dict[str, Any]) -> dict[str, Any]:
    return {**one, "name": name_of(archive, one["workshop"])}


def _kind(kind: str, rows: Sequence[dict[str, Any]]) -> tuple[dict[str, Any], list[Drawn | None]]:
    told: dict[str, Any] = {
        "kind": kind,
        "wrenches": len(rows),
        "intervals": sum(len(one["rates"]) for one in rows),
        "pooled": None,
    }
    try:
        result: Pooled = pooled([group_of(one["rates"]) for one in rows])
    except OutOfRange as error:
        return {**told, "why_not": str(error.message)}, [None] * len(rows)
    low, high = result.next_group
    figures = {
        "rate": result.mean,
        "u": result.u_mean,
        "between": result.between,
        "within": result.within,
        "next": [low, high],
    }
    return {**told, "pooled": figures}, list(result.groups)


def _drawn(row: dict[str, Any], drawn: Drawn | None) -> dict[str, Any]:
    """Say when a wrench will reach its limit, if it goes on as it is reckoned to."""
    own = math.fsum(row["rates"]) / len(row["rates"])
    rate = own if drawn is None else drawn.mean
    left, years = row["left"], None
    if left is not None and rate != 0.0:
        room = row["limit"] - math.copysign(left, left * rate)
        years = max(room, 0.0) / abs(rate)
    return {
        **{name: row[name] for name in (*_WHO, "limit", "left", "left_on", "checks")},
        "intervals": len(row["rates"]),
        "own": own,
        "rate": rate,
        "interval": None if drawn is None else list(drawn.interval),
        "years": years,
    }


def _outlying(by_kind: dict[str, list[dict[str, Any]]], share: float) -> list[dict[str, Any]]:
    chances: list[float] = []
    rows: list[dict[str, Any]] = []
    for some in by_kind.values():
        if len(some) >= FEWEST:
            own = [math.fsum(one["rates"]) / len(one["rates"]) for one in some]
            far, by_chance = chances_of(own)
            chances += by_chance
            rows += [
                {**{name: one[name] for name in _WHO}, "own": rate, "distance": z}
                for one, rate, z in zip(some, own, far, strict=True)
            ]
    found = [
        {**row, "level": level}
        for row, level in zip(rows, adjusted(chances), strict=True)
        if level <= share
    ]
    return sorted(found, key=lambda one: (one["level"], -abs(one["distance"]), one["workshop"]))
