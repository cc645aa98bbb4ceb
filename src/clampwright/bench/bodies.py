"""The bodies of a job's entries: no binary floats, measured values as decimal strings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from clampwright.drawer.fit import Fitness
from clampwright.drawer.tools import Adapter
from clampwright.procedure.check import Finding
from clampwright.procedure.preparation import Option, Point
from clampwright.words import as_data
from clampwright.work import brought, readings
from clampwright.work.choices import NONE, Choices
from clampwright.work.fold import PullKey
from clampwright.work.judgement import Judgement
from clampwright.work.limits import Limits
from clampwright.work.measured import Measured
from clampwright.work.plan import Plan, StagePlan
from clampwright.work.plan_json import plan_json
from clampwright.work.shelf import EMPTY, Shelf
from clampwright.work.shelved import choices_made, relied_on


def opened(
    job_file: bytes,
    drawer_file: bytes,
    today: date,
    plan: Plan,
    findings: Sequence[Finding],
    *,
    friction_file: bytes = b"",
    tools: Mapping[str, Any] | None = None,
    shelf: Shelf = EMPTY,
    choices: Choices = NONE,
    by: str = "",
) -> dict[str, Any]:
    """Body of the entry that opens a job: its files as they were, the plan, the findings.

    The workshop's own friction conditions stand in it where the job relies on one of them, and so
    do the shelved procedures, the questions that were settled by the job file or now, by whom, what
    the log knew of the tools where it knew anything, and what installed packages bring to it.
    """
    joints = plan.job.joints
    more: dict[str, Any] = {
        "friction_file": friction_file.decode("utf-8-sig"),
        "tools": dict(tools or {}),
        "shelf": [
            {**version.as_body(), "joints": list(joint_ids)}
            for version, joint_ids in relied_on(joints, shelf)
        ],
        "settled": list(choices_made(joints, choices, by)),
        "extensions": brought.relied_on(joints),
    }
    return {
        **{name: value for name, value in more.items() if value},
        "job_file": job_file.decode("utf-8-sig"),
        "drawer_file": drawer_file.decode("utf-8-sig"),
        "today": today.isoformat(),
        "plan": exact(plan_json(plan)),
        "findings": [exact(finding.as_json()) for finding in findings],
    }


def pull(
    key: PullKey,
    planned: StagePlan,
    *,
    choice: Fitness | None,
    adapter: Adapter | None,
    reading: readings.Reading,
    judgement: Judgement,
) -> dict[str, Any]:
    """Body of the entry of one pull."""
    body: dict[str, Any] = {
        "joint": key.joint,
        "stage": key.stage,
        "fastener": key.fastener,
        "tool": choice.tool.id if choice else None,
        "adapter": adapter.id if adapter else None,
        "setting": _setting(choice),
        "reading": readings.as_body(reading),
        "limits": limits(planned.limits),
        "verdict": judgement.verdict,
        "reasons": [as_data(reason) for reason in judgement.reasons],
    }
    if judgement.next is not None:
        body["next"] = {**as_data(judgement.next), "source": judgement.source}
    if judgement.received is not None:
        body["received"] = {
            "torque": decimal(judgement.received.torque, "N·m"),
            "standard_uncertainty": decimal(judgement.received.u, "N·m"),
        }
    if planned.limits.quantity == "angle" and (turned := _turned(reading, judgement)) is not None:
        body["turned"] = decimal(turned, "deg")
    if judgement.measured is not None and judgement.measured.u:
        body["measured"] = _measured(judgement.measured)
    if isinstance(reading, readings.TraceReading):
        body["found"] = exact(reading.found.as_json())
    return body


def _measured(one: Measured) -> dict[str, Any]:
    """Angle or stretch with its own uncertainty, and the clamp load a stretch tells."""
    body: dict[str, Any] = {
        "value": decimal(one.value, one.unit),
        "standard_uncertainty": decimal(one.u, one.unit),
    }
    if one.clamp is not None and one.u_clamp is not None:
        body["clamp"] = {
            "value": decimal(one.clamp, "N"),
            "standard_uncertainty": decimal(one.u_clamp, "N"),
        }
    return body


def _turned(reading: readings.Reading, judgement: Judgement) -> float | None:
    """Angle turned in this pull, degrees, where it was measured."""
    if judgement.measured is not None and judgement.measured.unit == "deg":
        return judgement.measured.value
    if isinstance(reading, readings.TraceReading):
        return reading.found.turned_after_snug
    return None


def point_settled(
    joint: str, point: Point, *, how: str, answer: str, reason: str
) -> dict[str, Any]:
    """Body of the entry that settles a point of the preparation list, with its source."""
    option = point.option(answer)
    body = {
        "joint": joint,
        "point": point.name,
        "say": as_data(point.say),
        "source": point.source,
        "how": how,
        "answer": answer,
        "reason": reason,
    }
    return {**body, "chosen": _option(option)} if how == "chosen" and option else body


def _option(option: Option) -> dict[str, Any]:
    return {"say": as_data(option.say), "source": option.source}


def limits(one: Limits) -> dict[str, Any]:
    """Limits as they stand in an entry."""
    data: dict[str, Any] = {"quantity": one.quantity, "origin": one.origin}
    for name in ("target", "low", "high"):
        value = getattr(one, name)
        data[name] = None if value is None else decimal(value, one.unit)
    return data


def decimal(value: float, unit: str) -> dict[str, str]:
    """Return a measured value as a decimal string with its unit."""
    return {"value": f"{value:.6g}", "unit": unit}


def exact(data: Any) -> Any:
    """Return plain data with every binary float as a decimal string of six figures."""
    if isinstance(data, dict):
        return {key: exact(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [exact(value) for value in data]
    if isinstance(data, float):
        return f"{data:.6g}"
    return data


def _setting(choice: Fitness | None) -> dict[str, str] | None:
    if choice is None or choice.setting is None:
        return None
    return decimal(choice.setting.value, choice.setting.scale_unit)
