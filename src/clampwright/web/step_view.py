"""One stage as the bench page needs it: what to do, with what, what to answer, within which limits.

Everything a device needs to guide and to compare alone stands in here; it has no physics of its
own.
"""

from __future__ import annotations

from typing import Any, Literal

from clampwright.drawer.care import care_for
from clampwright.drawer.fit import Fitness
from clampwright.drawer.tools import Drawer
from clampwright.locale import say
from clampwright.report.view import Turning, View
from clampwright.units import convert, format_quantity
from clampwright.words import Words, words
from clampwright.work.clock_marks import flats_words
from clampwright.work.describe import describe, shown, tool_name
from clampwright.work.guide import target_words
from clampwright.work.happening_tables import sort_of
from clampwright.work.job import Joint
from clampwright.work.plan import JointPlan, StagePlan, direction_of

Ask = Literal["click", "value", "angle", "done"]

LOOSENING = frozenset({"loosen", "back_off_then"})


def step_view(
    planned: StagePlan, whole: JointPlan, drawer: Drawer, view: View, in_hand: str | None
) -> dict[str, Any]:
    """Return a stage as plain data.

    Parameters
    ----------
    planned : StagePlan
    whole : JointPlan
        The joint it belongs to.
    drawer : Drawer
    view : View
        Where the person stands.
    in_hand : str or None
        Id of the tool the person chose.

    Returns
    -------
    dict
    """
    joint, stage = whole.joint, planned.stage
    choice = choice_of(planned, in_hand)
    ask = ask_of(planned, choice)
    turning = Turning(joint.left_hand or stage.direction == "ccw", stage.kind in LOOSENING)
    clockwise = turning.clockwise(view)
    return {
        "joint": joint.id,
        "joint_title": joint.title,
        "stage": planned.number,
        "stages": len(whole.stages),
        "kind": stage.kind,
        "sort": sort_of(stage),
        "text": say(describe(stage)),
        "condition": stage.condition,
        "care": [say(one.say) for one in care_for(choice.tool, "before_use")] if choice else [],
        **_figure(planned, choice),
        "ask": ask,
        "direction": direction_of(stage, joint),
        "arrow": "cw" if clockwise else "ccw",
        "arrow_words": say(turning.words(clockwise=clockwise)),
        "left_hand": turning.left_hand,
        "tool": _tool(choice),
        "tools": [
            {"id": one.tool.id, "name": tool_name(one)} for one in planned.choices if one.usable
        ],
        "units": _units(planned, choice, ask),
        "compare": _compare(planned, choice, ask),
        # What a device that is alone cannot know: the server adds this nut's own running torque.
        "adds_running": bool(stage.plus_running_torque),
        "records": bool(choice and choice.tool.trace),
        "simulated": drawer.invented and can_simulate(planned, joint),
        "ways": _ways(planned, ask),
        "turn": _turn(planned),
        "gauges": [
            {"id": one.id, "title": one.title, "step": f"{one.step:g}"}
            for one in (drawer.stretch_gauges if planned.limits.quantity == "stretch" else ())
        ],
    }


def _ways(planned: StagePlan, ask: Ask) -> list[str]:
    """Return the other ways in which a result of a stage comes in."""
    if ask == "angle":
        return ["marks", "gauge", "phone"]
    if planned.limits.quantity == "stretch":
        return ["stretch"]
    return ["turning"] if planned.stage.check in {"rotating", "running"} else []


def _turn(planned: StagePlan) -> dict[str, Any] | None:
    """Return what is to be turned, for a mark on the clock face; None where it is no angle."""
    angle = planned.stage.angle_deg
    if planned.limits.quantity != "angle" or angle is None:
        return None
    flats = flats_words(angle)
    return {"angle": round(angle, 3), "flats": say(flats) if flats else ""}


def choice_of(planned: StagePlan, in_hand: str | None) -> Fitness | None:
    """Return the tool in hand where it is usable, else the planned one."""
    usable = (one for one in planned.choices if one.usable and one.tool.id == in_hand)
    return next(usable, planned.choice)


def ask_of(planned: StagePlan, choice: Fitness | None) -> Ask:
    """Return what a person can tell of a pull of this stage with this tool."""
    quantity = planned.limits.quantity
    if quantity == "angle":
        return "angle"
    if quantity == "none":
        return "done"
    if choice is not None and choice.tool.kind == "click" and choice.setting is not None:
        return "click"
    return "value"


def can_simulate(planned: StagePlan, joint: Joint) -> bool:
    """Whether the simulated wrench can do this stage: a recording one fits, the joint is known."""
    parts = joint.fastening
    known = (
        parts is not None
        and joint.friction is not None
        and parts.clamp_rate is not None
        and parts.yield_stress is not None
    )
    turned = planned.stage.kind in {"torque", "angle"} or planned.stage.check == "re_check"
    return known and turned and recording(planned) is not None


def recording(planned: StagePlan) -> Fitness | None:
    """Return the best usable wrench that records its pulls."""
    return next((one for one in planned.choices if one.usable and one.tool.trace), None)


def _figure(planned: StagePlan, choice: Fitness | None) -> dict[str, Any]:
    """Return the largest thing on the page: what the tool in hand must show.

    Where a setting was worked out (adapter, calibration), that is what the eye looks for on the
    scale; what the fastener is to get stands beside it in words.
    """
    stage, limits = planned.stage, planned.limits
    setting = choice.setting if choice else None
    asked = target_words(planned, choice)
    if limits.quantity == "torque" and setting is not None:
        scale = setting.scale
        figure = plain(setting.value, scale.digits + 1)
        caption = words("set the wrench to")
        if choice is not None and choice.tool.kind in {"beam", "dial"}:
            caption = words("pull until the scale shows")
        if choice is not None and choice.tool.kind == "electronic":
            caption = words("target on the display")
        return _shown(caption, figure, scale.unit, words("{torque} at the fastener", torque=asked))
    if limits.quantity == "torque" and limits.target is not None:
        unit = stage.unit or "N·m"
        figure = plain(convert(limits.target, "N·m", unit), 2)
        return _shown(words("pull to"), figure, unit, None)
    if stage.kind in {"angle", "back_off_then"} and stage.angle_deg is not None:
        caption = words("turn further") if stage.kind == "angle" else words("turn back")
        return _shown(caption, plain(stage.angle_deg, 1) + "°", "", None)
    if stage.kind in {"stretch", "wait"} and stage.value is not None:
        caption = words("stretch to") if stage.kind == "stretch" else words("wait")
        return _shown(caption, plain(stage.value, 4), stage.unit or "", None)
    return _shown(words("do this"), "", "", asked)


def _shown(caption: Words, figure: str, unit: str, asked: Words | None) -> dict[str, Any]:
    return {
        "caption": say(caption),
        "figure": figure,
        "unit": unit,
        "asked": say(asked) if asked else "",
    }


def plain(value: float, digits: int) -> str:
    """Return a figure without zeros after the mark: in bad light 90.0 reads as 900.

    Examples
    --------
    >>> plain(90.0, 1), plain(44.5, 1), plain(33.25, 2)
    ('90', '44.5', '33.25')
    """
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _tool(choice: Fitness | None) -> dict[str, Any] | None:
    if choice is None:
        return None
    setting = choice.setting
    return {
        "id": choice.tool.id,
        "name": tool_name(choice),
        "kind": choice.tool.kind,
        "adapter": choice.adapter.id if choice.adapter else None,
        "setting": None
        if setting is None
        else {
            "value": f"{setting.value:g}",
            "unit": setting.scale_unit,
            "text": say(setting.words),
        },
    }


def _units(planned: StagePlan, choice: Fitness | None, ask: Ask) -> list[str]:
    """Return the units a value can be read in, the one of the setting first."""
    if ask == "angle":
        return ["deg"]
    if ask != "value":
        return []
    if planned.limits.quantity == "stretch":
        return [planned.stage.unit or "mm"]
    units = [scale.unit for scale in choice.tool.scales] if choice else []
    first = choice.setting.scale_unit if choice and choice.setting else None
    return sorted(units, key=lambda unit: unit != first) or [planned.stage.unit or "N·m"]


def _compare(planned: StagePlan, choice: Fitness | None, ask: Ask) -> dict[str, Any] | None:
    """Return the limits as they stand on the scale in hand, by unit, for a device that is alone."""
    limits = planned.limits
    if ask == "click" and choice is not None and choice.setting is not None:
        held = limits.holds(choice.setting.torque_at_fastener)
        return {"click": held, "text": _between(limits.low, limits.high, "N·m")}
    if ask in {"done", "click"} or (limits.low is None and limits.high is None):
        return None
    by_unit = {}
    for unit in _units(planned, choice, ask):
        ends = [
            None if end is None else convert(end * _on_scale(choice, ask), limits.unit, unit)
            for end in (limits.low, limits.high)
        ]
        by_unit[unit] = {"low": ends[0], "high": ends[1], "text": _between(ends[0], ends[1], unit)}
    return {"units": by_unit}


def _on_scale(choice: Fitness | None, ask: Ask) -> float:
    """Scale reading for one N·m at the fastener, near the setting."""
    setting = choice.setting if choice else None
    if ask != "value" or setting is None or not setting.torque_at_fastener:
        return 1.0
    return convert(setting.value, setting.scale_unit, "N·m") / setting.torque_at_fastener


def _between(low: float | None, high: float | None, unit: str) -> str:
    shown_unit = "deg" if unit == "deg" else unit

    def end(value: float) -> str:
        if unit == "deg":
            return format_quantity(value, shown_unit, digits=0)
        return shown(value, shown_unit)

    if low is None and high is None:
        return ""
    if low is None:
        return say(words("at most {high}", high=end(high or 0.0)))
    if high is None:
        return say(words("at least {low}", low=end(low)))
    return say(words("{low} to {high}", low=end(low), high=end(high)))
