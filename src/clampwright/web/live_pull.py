"""One pull while it goes on: its samples, how far it has come, what is made of it at the end."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from clampwright.errors import ClampwrightError, Refused
from clampwright.units import convert
from clampwright.web.bench_view import verdict_view
from clampwright.web.desk import Desk
from clampwright.web.lookup import key_of, opened
from clampwright.web.models import LiveStart
from clampwright.web.step_view import plain
from clampwright.words import words
from clampwright.work.fold import PullKey
from clampwright.work.plan import StagePlan

MOST_SAMPLES = 200_000
"""Over three minutes of a wrench that sends a thousand a second."""


class LivePull:
    """A pull that a wrench is recording.

    Parameters
    ----------
    source : object
        Who sends.
    key : PullKey
    planned : StagePlan
    start : LiveStart
        What the wrench said of it.
    unit : str
        Unit of torque in which people are told, that of the wrench's scale.
    """

    def __init__(
        self, source: object, key: PullKey, planned: StagePlan, start: LiveStart, unit: str
    ) -> None:
        self.source, self.key = source, key
        self._planned, self._start, self._unit = planned, start, unit
        self._time: list[float] = []
        self._torque: list[float] = []
        self._angle: list[float] = []

    def add(self, message: Mapping[str, Any]) -> None:
        """Take in one sample, or several.

        Raises
        ------
        Refused
            When they are no numbers, time does not rise, or there are too many.
        """
        rows = message.get("samples")
        if rows is None:
            rows = [[message.get(name) for name in ("t", "torque", "angle")]]
        if not isinstance(rows, list):
            raise Refused(_NUMBERS)
        for row in rows:
            self._one(row)

    def _one(self, row: object) -> None:
        if not isinstance(row, list) or len(row) != 3:
            raise Refused(_NUMBERS)
        t, torque, angle = (_finite(value) for value in row)
        if self._time and t <= self._time[-1]:
            raise Refused(
                words(
                    "the time of the samples must rise: {now:g} s came after {before:g} s",
                    now=t,
                    before=self._time[-1],
                )
            )
        if len(self._time) >= MOST_SAMPLES:
            raise Refused(words("a pull has at most {count} samples", count=MOST_SAMPLES))
        self._time.append(t)
        self._torque.append(torque)
        self._angle.append(angle)

    def live(self) -> dict[str, Any]:
        """Return what pages show of it now."""
        torque = self._torque[-1] if self._torque else 0.0
        angle = self._angle[-1] - self._angle[0] if self._angle else 0.0
        limits = self._planned.limits
        by_angle = limits.quantity == "angle"
        goal = limits.target or limits.low or 0.0
        reached = angle if by_angle else max(torque, 0.0)
        shown = convert(torque, "N·m", self._unit)
        return {
            "joint": self.key.joint,
            "stage": self.key.stage,
            "fastener": self.key.fastener,
            "entry": self._start.entry,
            "torque": plain(shown, 1),
            "unit": self._unit,
            "angle": plain(angle, 0),
            "quantity": "angle" if by_angle else "torque",
            "part": round(min(reached / goal, 1.5), 3) if goal > 0 else 0.0,
            "samples": len(self._time),
        }

    def take(self, desk: Desk, job: str) -> dict[str, Any]:
        """Judge the recorded pull and put it on the log.

        Parameters
        ----------
        desk : Desk
        job : str

        Returns
        -------
        dict
            The verdict.
        """
        from clampwright.trace.model import Trace  # noqa: PLC0415 - numpy, only where needed
        from clampwright.trace.writing import write_csv  # noqa: PLC0415 - as above

        data = write_csv(Trace(self._time, self._torque, self._angle))
        tool = self._start.tool
        with desk.working(job) as session:
            reading = session.trace_reading(self.key, data, "live", tool)
            session.take(self.key, reading, tool_id=tool, entry_id=self._start.entry)
            found = next(p for p in session.state.pulls if p.entry == self._start.entry)
            return verdict_view(found)


def begin(desk: Desk, job: str, source: object, message: Mapping[str, Any]) -> LivePull:
    """Check what a wrench says before its first sample.

    Parameters
    ----------
    desk : Desk
    job : str
    source : object
    message : mapping

    Returns
    -------
    LivePull

    Raises
    ------
    ClampwrightError
        When there is no such pull, it is done, or the tool does not record or is not fit for it.
    """
    try:
        start = LiveStart.model_validate(message)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise ClampwrightError(
            words("{where}: {what}", where=where or "-", what=str(first["msg"]))
        ) from error
    state, plan = opened(desk.look().jobs.get(job), job)
    key = key_of(plan, start.pull.joint, start.pull.stage, start.pull.fastener)
    if state.settled(key) or state.closed:
        raise Refused(words("this pull is done already"))
    planned = plan.stage(key)
    for choice in planned.choices:
        if choice.tool.id == start.tool and choice.usable and choice.tool.trace:
            unit = choice.setting.scale_unit if choice.setting else choice.tool.scales[0].unit
            return LivePull(source, key, planned, start, unit)
    raise Refused(
        words(
            "{tool} does not record, or is not fit for this stage",
            tool=plan.drawer.tool(start.tool).title,
        )
    )


_NUMBERS = words("a sample holds numbers: t in s, torque in N·m, angle in degrees")


def _finite(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise Refused(_NUMBERS)
    return float(value)
