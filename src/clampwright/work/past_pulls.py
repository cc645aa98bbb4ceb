"""Every pull that was made with a tool, gathered from the log with what its joint allows."""

from __future__ import annotations

import datetime as dt
import json
import math
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from clampwright.drawer.calibration import Direction
from clampwright.drawer.files import load_drawer
from clampwright.drawer.pinned import drawer_with
from clampwright.drawer.tools import Tool
from clampwright.drawer.trust import trust_when_showing, trust_when_wanting
from clampwright.errors import ClampwrightError
from clampwright.units import convert
from clampwright.work.look_back import PastPull
from clampwright.work.readings import torque_shown

KINDS = ("job_opened", "pull", "fastener_restarted", "taken_back")
"""Kinds of entries that are needed."""

SINGLE = ("body.joint", "body.fastener", "body.stage", "body.tool", "body.entry")
"""Members of them that are needed by themselves."""

OF_JOB = ("body.drawer_file", "body.tools", "body.plan.machine", "body.plan.joints")
OF_PULL = ("body.limits", "body.reading", "body.found.final_torque_nm", "body.received.torque")
TOGETHER = (*OF_JOB, *OF_PULL)
"""Members that are the same in many entries, as JSON text."""

Shared = tuple[tuple[Any, ...], tuple[Any, ...]]
"""What pulls of the same place and reading have in common: the members of `PastPull` from
``machine`` to ``stage``, and from ``shown`` on."""

_LOOSENING = frozenset({"loosen", "back_off_then"})


def past_pulls(glimpses: Iterable[Sequence[Any]], tool_id: str) -> list[PastPull]:
    """Return every standing pull with a tool of which a torque is told.

    Parameters
    ----------
    glimpses : iterable of sequence
        Id, kind, job, device time, the members `SINGLE`, and JSON text of `TOGETHER`, of entries of
        the kinds `KINDS`, in the order of the log.
    tool_id : str

    Returns
    -------
    list of PastPull
        Pulls that were undone, repeated or made by another tool since are left out: the joint does
        not rest on them.
    """
    gathered = _Gathered(tool_id)
    for glimpse in glimpses:
        gathered.take(*glimpse)
    return gathered.pulls()


class _Gathered:
    """The pulls that stand, made small as they come: a log can hold very many of them."""

    def __init__(self, tool_id: str) -> None:
        self._tool_id = tool_id
        self._jobs: dict[str, _JobThen] = {}
        self._alike: dict[str, _JobThen] = {}
        self._standing: dict[tuple[str, str, int], dict[int, PastPull | None]] = {}
        self._taken_back: set[str] = set()

    def take(  # noqa: PLR0917 -- the columns of a glimpse, called for every pull there is
        self,
        entry: str,
        kind: str,
        job: str,
        time: str,
        joint: str,
        fastener: int,
        stage: int,
        tool: str | None,
        other: str | None,
        told: str,
    ) -> None:
        if kind == "job_opened":
            if told not in self._alike:
                self._alike[told] = _JobThen(told, self._tool_id)
            self._jobs[job] = self._alike[told]
            return
        if kind == "taken_back":
            # What it had replaced was not settled, so nothing rested on that either.
            self._taken_back.add(other or "")
            return
        where = (job, joint, fastener)
        if kind == "fastener_restarted":
            self._standing.pop(where, None)  # loosened fully: what was before is undone
            return
        pull = None
        if tool == self._tool_id and job in self._jobs:
            like = self._jobs[job].like(joint, stage, told)
            if like is not None:
                made = dt.datetime.fromisoformat(time)
                pull = PastPull._make((entry, job, *like[0], fastener, made, *like[1]))
        self._standing.setdefault(where, {})[stage] = pull

    def pulls(self) -> list[PastPull]:
        return [
            pull
            for stages in self._standing.values()
            for pull in stages.values()
            if pull is not None and pull.entry not in self._taken_back
        ]


class _JobThen:
    """A job as it was opened, as far as a look-back needs it; jobs alike share it."""

    def __init__(self, opened: str, tool_id: str) -> None:
        drawer_file, states, machine, joints = json.loads(opened)[: len(OF_JOB)]
        self._drawer_file: str = drawer_file
        self._states = json.dumps(states or {}, sort_keys=True)
        self._tool_id = tool_id
        self._machine = str(machine)
        self._joints = {joint["id"]: _small(joint) for joint in joints}
        self._tool: _ToolThen | None = None
        self._like: dict[tuple[str, int, str], Shared | None] = {}

    @property
    def tool(self) -> _ToolThen:
        """The tool as it was known then."""
        if self._tool is None:
            self._tool = _tool_then(self._drawer_file, self._states, self._tool_id)
        return self._tool

    def like(self, joint_id: str, number: int, told: str) -> Shared | None:
        """Return what a pull shares with others like it; the same ones come again and again."""
        key = (joint_id, number, told)
        if key not in self._like:
            self._like[key] = self._read(joint_id, number, told)
        return self._like[key]

    def _read(self, joint_id: str, number: int, told: str) -> Shared | None:
        joint = self._joints[joint_id]
        stage = joint["stages"][number - 1]
        direction = _direction(joint, stage)
        limits, reading, final, received = json.loads(told)[len(OF_JOB) : len(TOGETHER)]
        shown = self._told(reading, final, received, direction)
        if shown is None:
            return None
        torque = limits["quantity"] == "torque"
        target = _value(limits.get("target")) if torque else None
        clamp = stage.get("clamp") if torque and target else None
        place = (
            self._machine,
            joint["id"],
            str(joint["title"]),
            int(joint["harm_level"]),
            number,
        )
        return place, (
            *shown,
            (_value(limits.get("low")) or 0.0) if torque else 0.0,
            (_value(limits.get("high")) or math.inf) if torque else math.inf,
            direction,
            float(clamp["nominal_N"]) if clamp else None,
            target,
        )

    def _told(
        self, reading: Mapping[str, Any], final: Any, received: Any, direction: Direction
    ) -> tuple[float, float] | None:
        """Return what the tool showed at its square, N·m, and the ratio of an adapter."""
        try:
            return _shown(reading, final, received, self.tool, direction)
        except (ClampwrightError, KeyError, ValueError):
            return None


def _shown(
    reading: Mapping[str, Any], final: Any, received: Any, tool: _ToolThen, direction: Direction
) -> tuple[float, float] | None:
    if reading["kind"] == "trace":
        if final is None:
            return None
        return trust_when_wanting(tool.tool, float(final), direction).indicated, 1.0
    if reading["kind"] == "click" and not reading["clicked"]:
        return None
    told = torque_shown(reading)
    if told is None:
        return None
    shown = convert(*told, "N·m")
    if received is None:
        return shown, 1.0
    return shown, float(received["value"]) / tool.reference(shown, direction)


def _small(joint: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is needed of a planned joint; the plan itself is large."""
    stages = [{"stage": one["stage"], "clamp": one.get("clamp")} for one in joint["stages"]]
    kept = {name: joint.get(name) for name in ("id", "title", "harm_level", "left_hand")}
    return {**kept, "stages": stages}


def _value(measured: Mapping[str, Any] | None) -> float | None:
    return None if not measured else float(measured["value"])


def _direction(joint: Mapping[str, Any], stage: Mapping[str, Any]) -> Direction:
    left = bool(joint.get("left_hand")) or stage["stage"].get("direction") == "ccw"
    return "ccw" if left != (stage["stage"]["kind"] in _LOOSENING) else "cw"


class _ToolThen:
    """A tool as it was known when a job was opened; the same settings come again and again."""

    def __init__(self, tool: Tool) -> None:
        self.tool = tool
        self._known: dict[tuple[float, Direction], float] = {}

    def reference(self, shown: float, direction: Direction) -> float:
        """Return what the tool was taken to give at its square, N·m."""
        key = (shown, direction)
        if key not in self._known:
            self._known[key] = trust_when_showing(self.tool, shown, direction).reference
        return self._known[key]


@lru_cache(maxsize=64)
def _tool_then(drawer_file: str, states: str, tool_id: str) -> _ToolThen:
    drawer = load_drawer(drawer_file.encode(), "drawer.toml")
    return _ToolThen(drawer_with(drawer, json.loads(states)).tool(tool_id))
