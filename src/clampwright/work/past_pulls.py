"""Every pull that was made with a tool, gathered from the log with what its joint allows."""

from __future__ import annotations

import datetime as dt
import json
import math
from collections.abc import Iterable, Mapping
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

Entry = Mapping[str, Any]
KINDS = ("job_opened", "pull", "fastener_restarted")
"""Kinds of entries that are needed."""

_LOOSENING = frozenset({"loosen", "back_off_then"})


def past_pulls(entries: Iterable[Entry], tool_id: str) -> list[PastPull]:
    """Return every standing pull with a tool of which a torque is told.

    Parameters
    ----------
    entries : iterable of mapping
        Of the kinds `KINDS`, in the order of the log.
    tool_id : str

    Returns
    -------
    list of PastPull
        Pulls that were undone, repeated or made by another tool since are left out: the joint does
        not rest on them.
    """
    gathered = _Gathered(tool_id)
    for entry in entries:
        gathered.take(entry)
    return gathered.pulls()


class _Gathered:
    """The pulls that stand, made small as they come: a log can hold very many of them."""

    def __init__(self, tool_id: str) -> None:
        self._tool_id = tool_id
        self._jobs: dict[str, _JobThen] = {}
        self._standing: dict[tuple[str, str, int], dict[int, PastPull | None]] = {}

    def take(self, entry: Entry) -> None:
        job, body = entry["job"], entry["body"]
        if entry["kind"] == "job_opened":
            self._jobs[job] = _JobThen(body, self._tool_id)
            return
        fastener = (job, body["joint"], body["fastener"])
        if entry["kind"] == "fastener_restarted":
            self._standing.pop(fastener, None)  # loosened fully: what was before is undone
            return
        ours = body.get("tool") == self._tool_id and job in self._jobs
        pull = self._jobs[job].pull(job, entry) if ours else None
        self._standing.setdefault(fastener, {})[body["stage"]] = pull

    def pulls(self) -> list[PastPull]:
        return [
            pull
            for stages in self._standing.values()
            for pull in stages.values()
            if pull is not None
        ]


class _JobThen:
    """A job as it was opened, as far as a look-back needs it."""

    def __init__(self, opened: Mapping[str, Any], tool_id: str) -> None:
        self._drawer_file: str = opened["drawer_file"]
        self._states = json.dumps(opened.get("tools", {}), sort_keys=True)
        self._tool_id = tool_id
        plan = opened["plan"]
        self._machine = str(plan["machine"])
        self._joints = {joint["id"]: _small(joint) for joint in plan["joints"]}
        self._tool: _ToolThen | None = None

    @property
    def tool(self) -> _ToolThen:
        """The tool as it was known then."""
        if self._tool is None:
            self._tool = _tool_then(self._drawer_file, self._states, self._tool_id)
        return self._tool

    def pull(self, job: str, entry: Entry) -> PastPull | None:
        body = entry["body"]
        joint = self._joints[body["joint"]]
        stage = joint["stages"][body["stage"] - 1]
        direction = _direction(joint, stage)
        told = self._told(body, direction)
        if told is None:
            return None
        limits = body["limits"]
        torque = limits["quantity"] == "torque"
        target = _value(limits.get("target")) if torque else None
        clamp = stage.get("clamp") if torque and target else None
        return PastPull(
            entry=entry["id"],
            job=job,
            machine=self._machine,
            joint=joint["id"],
            title=str(joint["title"]),
            harm_level=int(joint["harm_level"]),
            stage=body["stage"],
            fastener=body["fastener"],
            time=dt.datetime.fromisoformat(entry["device"]["time"]),
            shown=told[0],
            ratio=told[1],
            low=(_value(limits.get("low")) or 0.0) if torque else 0.0,
            high=(_value(limits.get("high")) or math.inf) if torque else math.inf,
            direction=direction,
            clamp=float(clamp["nominal_N"]) if clamp else None,
            target=target,
        )

    def _told(self, body: Mapping[str, Any], direction: Direction) -> tuple[float, float] | None:
        """Return what the tool showed at its square, N·m, and the ratio of an adapter."""
        try:
            return _shown(body, self.tool, direction)
        except (ClampwrightError, KeyError, ValueError):
            return None


def _shown(
    body: Mapping[str, Any], tool: _ToolThen, direction: Direction
) -> tuple[float, float] | None:
    reading = body["reading"]
    if reading["kind"] == "trace":
        final = (body.get("found") or {}).get("final_torque_nm")
        if final is None:
            return None
        return trust_when_wanting(tool.tool, float(final), direction).indicated, 1.0
    if reading["kind"] == "click" and not reading["clicked"]:
        return None
    told = reading if reading["kind"] == "value" else reading.get("setting")
    if not told:
        return None
    shown = convert(float(told["value"]), told["unit"], "N·m")
    received = _value((body.get("received") or {}).get("torque"))
    if received is None:
        return shown, 1.0
    return shown, received / tool.reference(shown, direction)


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
