"""Looking back across workshops: one wrench that went from hand to hand, or one bad calibration.

The rule is the one of a single workshop (`clampwright.work.look_back.review`): the same window, the
same two stories, the same table of advice. Of one workshop it gives the same.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from clampwright.archive.layout import Archive
from clampwright.archive.reading import entries_of, name_of
from clampwright.archive.running import Asked, Found, Parts
from clampwright.archive.units import Unit
from clampwright.archive.wrenches import drawer_in, histories_in
from clampwright.drawer.calibration import Point
from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.tools import Tool
from clampwright.drawer.window import Found as FoundOff
from clampwright.drawer.window import Window, window_of
from clampwright.errors import Missing
from clampwright.proof.handover import TAKEN_IN
from clampwright.store.glimpses import glimpse_of
from clampwright.words import words
from clampwright.work.look_back import JointInQuestion, LikelyPull, PastPull, Review, review
from clampwright.work.past_pulls import KINDS, SINGLE, TOGETHER, past_pulls

STEP_HANDED, STEP_BAD = "handed", "bad-calibrations"
NAMED_BY = ("certificate", "device", "by")
"""Members of a calibration by which a bad one is named."""
SEPARATOR = " / "

Owned = tuple[str, str]
"""Workshop and id of a wrench there."""


def handed_of(archive: Archive, unit: Unit, _asked: Asked, without: frozenset[str]) -> Found:
    """Gather which tools a workshop took in from others; a `clampwright.archive.running.Step`."""
    rows = entries_of(archive, unit.workshop, kinds=(TAKEN_IN,), without=without)
    bodies = [row.content["body"] for row in rows]
    tools = [one for one in bodies if one.get("what") == "tool" and one.get("as")]
    return {"taken_in": [[str(one["origin"]), str(one["name"]), str(one["as"])] for one in tools]}


def gather_wrench(archive: Archive, parts: Parts, asked: Asked) -> Found:
    """Look back over the pulls with one wrench, in every workshop it went through.

    Parameters
    ----------
    archive : Archive
    parts : Parts
        Of the step ``handed``.
    asked : mapping
        ``workshop`` (name of its log) and ``tool``; ``finding`` (id of the entry that found it off;
        the newest one if not given) and ``by`` (``days`` or ``uses``).

    Returns
    -------
    dict
        See `review_json`; besides ``where``: under which ids it lay in which workshops.

    Raises
    ------
    Missing
        There is no such wrench, or nothing found it off.
    """
    workshop, tool_id = str(asked["workshop"]), str(asked["tool"])
    where = same_wrench(parts, (workshop, tool_id))
    tool = _tool(archive, workshop, tool_id)
    history = histories_in(archive, workshop).get(tool_id, ToolHistory())
    window = window_of(tool, history, entry=asked.get("finding"))
    pulls = [
        pull._replace(job=_job(place, pull.job))
        for place, name in where
        for pull in pulls_with(archive, place, name)
    ]
    found = review(window, pulls, by=str(asked.get("by", "days")))
    names = [[place, name_of(archive, place), name] for place, name in where]
    return {"where": names, **review_json(found)}


def _job(workshop: str, job: str) -> str:
    """Return the name of a job that no other workshop has."""
    return f"{workshop}{SEPARATOR}{job}"


def same_wrench(parts: Parts, start: Owned) -> list[Owned]:
    """Return under which ids a wrench lay in which workshops, by what was handed over.

    Parameters
    ----------
    parts : Parts
        Of the step ``handed``.
    start : tuple of str

    Returns
    -------
    list of tuple of str
        The one asked for first.
    """
    near: dict[Owned, set[Owned]] = {}
    for unit, part in parts:
        for origin, name, here in part["taken_in"]:
            one, other = (origin, name), (unit.workshop, here)
            near.setdefault(one, set()).add(other)
            near.setdefault(other, set()).add(one)
    found, waiting = [start], [start]
    while waiting:
        for other in sorted(near.get(waiting.pop(0), ())):
            if other not in found:
                found.append(other)
                waiting.append(other)
    return found


def _tool(archive: Archive, workshop: str, tool_id: str) -> Tool:
    drawer = drawer_in(archive, workshop)
    known = {} if drawer is None else {one.id: one for one in drawer.tools}
    if tool_id not in known:
        raise Missing(
            words(
                "{workshop} has no tool {tool}; it has: {known}",
                workshop=workshop,
                tool=repr(tool_id[:80]),
                known=", ".join(sorted(known)) or "-",
            ),
            "tool",
        )
    return known[tool_id]


def pulls_with(
    archive: Archive, workshop: str, tool_id: str, without: frozenset[str] = frozenset()
) -> list[PastPull]:
    """Return every standing pull of a workshop with a tool; as `past_pulls`."""
    rows = entries_of(archive, workshop, kinds=KINDS, without=without)
    return past_pulls((glimpse_of(row.content, SINGLE, TOGETHER) for row in rows), tool_id)


def review_json(found: Review) -> dict[str, Any]:
    """Return a review as plain data.

    Parameters
    ----------
    found : Review

    Returns
    -------
    dict
        ``tool``, ``found``, ``start``, ``sudden``, ``by``, ``pulls``, ``outside``, ``joints``.
    """
    window = found.window
    return {
        "tool": window.tool.id,
        "found": _day(window.found.date),
        "start": window.start.isoformat(),
        "sudden": window.sudden.isoformat() if window.sudden else None,
        "by": found.by,
        "pulls": found.count,
        "outside": found.outside,
        "joints": [_joint_json(one) for one in found.joints],
    }


def _day(date: dt.date) -> str | None:
    """Return a day; None for one that has not come: a bad calibration that still stands."""
    return None if date == dt.date.max else date.isoformat()


def _joint_json(joint: JointInQuestion) -> dict[str, Any]:
    pull = joint.worst.pull
    workshop, sign, job = pull.job.rpartition(SEPARATOR)
    return {
        "workshop": workshop if sign else "",
        "job": job,
        "joint": pull.joint,
        "title": pull.title,
        "machine": pull.machine,
        "harm": pull.harm_level,
        "chance": joint.worst.chance,
        "advice": joint.advice,
        "pulls": [_pull_json(one) for one in joint.pulls],
    }


def _pull_json(one: LikelyPull) -> dict[str, Any]:
    return {
        "entry": one.pull.entry,
        "stage": one.pull.stage,
        "fastener": one.pull.fastener,
        "date": one.pull.time.date().isoformat(),
        "drift_Nm": one.drift_torque,
        "shift_Nm": one.shift_torque,
        "drift_chance": one.drift_chance,
        "shift_chance": one.shift_chance,
    }


def bad_of(archive: Archive, unit: Unit, asked: Asked, without: frozenset[str]) -> Found:
    """Look back over what rests on a bad calibration; a `clampwright.archive.running.Step`.

    Asked are ``named_by`` (``certificate``, ``device`` or ``by``), ``named``, ``since`` and
    ``until`` (days of the calibration), and ``error`` (percent that belongs on the deviations it
    states; None where nobody knows) with its standard uncertainty ``u``.
    """
    workshop = unit.workshop
    histories = histories_in(archive, workshop, without)
    bad = [
        (tool_id, place, done)
        for tool_id, history in sorted(histories.items())
        for place, done in enumerate(history.calibrations)
        if _is_named(done, asked)
    ]
    drawer = drawer_in(archive, workshop, without) if bad else None
    tools = {} if drawer is None else {one.id: one for one in drawer.tools}
    rows, unknown = [], []
    pulls: dict[str, list[PastPull]] = {}
    for tool_id, place, done in bad:
        if tool_id not in tools:
            unknown.append(tool_id)
            continue
        if tool_id not in pulls:
            pulls[tool_id] = pulls_with(archive, workshop, tool_id, without)
        window = bad_window(tools[tool_id], histories[tool_id].calibrations, place, asked)
        mine = [
            one._replace(job=_job(workshop, one.job)) for one in _until_next(window, pulls[tool_id])
        ]
        rows.append({"entry": done.entry, **review_json(review(window, mine))})
    return {"bad": rows, "unknown": unknown}


def _is_named(done: CalibrationRecord, asked: Asked) -> bool:
    if getattr(done, str(asked["named_by"])) != asked["named"]:
        return False
    since, until = (asked.get(name) for name in ("since", "until"))
    day = done.date.isoformat()
    return (since is None or since <= day) and (until is None or day <= until)


def bad_window(
    tool: Tool, calibrations: Sequence[CalibrationRecord], place: int, asked: Asked
) -> Window:
    """Return the window in which pulls rest on a bad calibration: until the next one.

    Parameters
    ----------
    tool : Tool
        As the drawer file describes it.
    calibrations : sequence of CalibrationRecord
        Of the tool, in the order of the log.
    place : int
        Which of them is bad.
    asked : mapping
        ``error`` and ``u``, percent.

    Returns
    -------
    Window
        The wrench was off all along, so that both stories are the same: what it truly gave is what
        the calibration states with the error added; where the error is not known, anywhere within
        what is permissible.
    """
    done = calibrations[place]
    later = [one.date for one in calibrations[place + 1 :] if one.date >= done.date]
    end = min(later, default=dt.date.max)
    points = _true_points(done, asked)
    since = words("calibrated on {date}, which is bad", date=done.date.isoformat())
    return Window(tool, done.date, since, points, FoundOff(end, points, done.entry))


def _true_points(done: CalibrationRecord, asked: Asked) -> tuple[Point, ...]:
    if asked.get("error") is None:
        return ()
    error, u = float(asked["error"]), float(asked.get("u") or 0.0) / 100
    return tuple(
        replace(point, deviation=point.deviation + error, u_rel=(point.u_rel**2 + u**2) ** 0.5)
        for point in done.calibration().points
    )


def _until_next(window: Window, pulls: Sequence[PastPull]) -> Iterator[PastPull]:
    """Leave out the day of the next calibration: what was pulled then rests on that one."""
    for one in pulls:
        if one.time.date() < window.found.date:
            yield one


def gather_bad(archive: Archive, parts: Parts, _asked: Asked) -> Found:
    """Put together what rests on a bad calibration, workshop by workshop.

    Returns
    -------
    dict
        ``calibrations`` (each with its wrench and how many pulls rest on it), ``joints`` (the worst
        first), ``pulls``, ``unknown`` (wrenches that no drawer file describes).
    """
    calibrations, joints, unknown = [], [], []
    pulls = 0
    for unit, part in parts:
        for one in part["bad"]:
            pulls += one["pulls"]
            told = {name: one[name] for name in ("entry", "tool", "start", "found", "pulls")}
            name = name_of(archive, unit.workshop)
            calibrations.append({"workshop": unit.workshop, "name": name, **told})
            joints += [{"tool": one["tool"], **joint} for joint in one["joints"]]
        unknown += [[unit.workshop, tool] for tool in part["unknown"]]
    joints.sort(key=_worst_first)
    return {"calibrations": calibrations, "joints": joints, "pulls": pulls, "unknown": unknown}


def _worst_first(joint: Mapping[str, Any]) -> tuple[int, float, str, str]:
    return joint["harm"], -joint["chance"], joint["workshop"], joint["job"]
