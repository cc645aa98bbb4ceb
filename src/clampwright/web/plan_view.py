"""A job's plan as its page shows it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from clampwright.drawer.fit import Fitness
from clampwright.joint.narrowing import narrowing
from clampwright.locale import say
from clampwright.report.clamp_charts import last_band
from clampwright.report.jointmap import joint_map
from clampwright.report.setting_words import spoken_setting
from clampwright.report.settingcard import setting_card
from clampwright.report.view import Turning, View
from clampwright.web.plan_charts import charts_view
from clampwright.web.rendering import as_sentence
from clampwright.web.step_view import LOOSENING, choice_of
from clampwright.web.unsigned_view import nobodys_view, unsigned_view
from clampwright.words import Words, from_data, words
from clampwright.work.aside import told
from clampwright.work.describe import describe, tool_name
from clampwright.work.fold import JobState, PullKey
from clampwright.work.job import NO_CLAMP_LOAD, Pin
from clampwright.work.likeness import odd_ones
from clampwright.work.plan import JointPlan, Plan, StagePlan, direction_of
from clampwright.work.provenance import provenance
from clampwright.work.tool_effect import effect_words

HARM = {
    1: words("Life or limb depends on this joint."),
    2: words("If this joint fails, the machine breaks down."),
    3: words("If this joint fails, it is an annoyance."),
}


def plan_view(
    plan: Plan,
    findings: Iterable[Mapping[str, Any]],
    state: JobState,
    names: Mapping[str, str] | None = None,
) -> dict[str, Any]:
    """Return what the page of a job shows.

    Parameters
    ----------
    plan : Plan
    findings : iterable of mapping
        As they stand in the entry that opened the job.
    state : JobState
    names : mapping of str to str, optional
        Names of people by id.

    Returns
    -------
    dict
    """
    return {
        "job": {
            "id": plan.job.id,
            "title": plan.job.title,
            "machine": plan.job.machine,
            "invented": plan.job.invented,
        },
        "joints": [_joint(whole, state, names or {}) for whole in plan.joints],
        "findings": [finding_view(one) for one in findings],
        "pulls": plan.pulls,
        "done": sum(state.settled(key) for key in plan.sequence()),
        "opened": state.opened is not None,
        "closed": state.closed,
        "asides": [
            {"entry": one.entry, "settled": one.settled, "told": say(told(one))}
            for one in state.aside
        ],
        "unsigned": unsigned_view(state, names or {}),
        "not_known": nobodys_view(state),
    }


def finding_view(found: Mapping[str, Any]) -> dict[str, Any]:
    """Return a finding of the check as texts."""
    return {
        "stop": found.get("severity") == "stop",
        "severity": say(_SEVERITY.get(found.get("severity", ""), words("note"))),
        "message": _sentence(found["message"]),
        "details": [_sentence(one) for one in found.get("details") or ()],
        "question": _sentence(found["question"]) if found.get("question") else "",
        "why": _sentence(found["why"]) if found.get("why") else "",
        "source": found.get("source", ""),
    }


_SEVERITY = {
    "stop": words("settle this before starting"),
    "ask": words("ask"),
    "note": words("note"),
}


def _sentence(data: Any) -> str:
    if isinstance(data, Words):
        return as_sentence(say(data))
    return as_sentence(say(from_data(data)) if isinstance(data, Mapping) else str(data))


def _joint(whole: JointPlan, state: JobState, names: Mapping[str, str]) -> dict[str, Any]:
    joint = whole.joint
    facts = [
        joint.thread.name if joint.thread else "",
        joint.strength.name if joint.strength else "",
        say(joint.friction.title) if joint.friction else "",
    ]
    return {
        "id": joint.id,
        "title": joint.title,
        "harm": say(HARM[joint.harm_level]),
        "harm_level": joint.harm_level,
        "facts": [fact for fact in facts if fact],
        "without_clamp": say(NO_CLAMP_LOAD[joint.kind]) if joint.kind in NO_CLAMP_LOAD else "",
        "space": joint.space,
        "source": str(joint.procedure.source) if joint.procedure.source else "",
        "text": joint.procedure.text,
        "shelf": _shelf(joint.procedure.pin),
        "settled": [
            as_sentence(say(line)) for line in provenance(state.opened or {}, joint.id, names)
        ],
        "maps": _maps(whole),
        "charts": charts_view(whole),
        "narrowing": _narrowing(whole),
        "stages": [_stage(planned, whole, state) for planned in whole.stages],
    }


def _shelf(pin: Pin | None) -> dict[str, Any] | None:
    return None if pin is None else {"procedure": pin.procedure, "version": pin.version}


def _maps(whole: JointPlan) -> list[dict[str, Any]]:
    """Draw each different order once, with the stages that use it."""
    joint, orders = whole.joint, dict[tuple[object, ...], list[StagePlan]]()
    for planned in whole.stages:
        if planned.stage.kind != "wait":
            loosen = planned.stage.kind in LOOSENING
            orders.setdefault((planned.order.fasteners, loosen), []).append(planned)
    drawn = []
    for stages in orders.values():
        first = stages[0]
        turning = Turning(
            joint.left_hand or first.stage.direction == "ccw", first.stage.kind in LOOSENING
        )
        numbers = ", ".join(str(planned.number) for planned in stages)
        title = words("Order, stage {numbers}", numbers=numbers)
        if len(stages) > 1:
            title = words("Order, stages {numbers}", numbers=numbers)
        drawn.append(
            {
                "title": say(title),
                "stage": first.number,
                "svg": joint_map(
                    joint.layout, order=first.order.fasteners, turning=turning, view=View()
                ),
            }
        )
    return drawn


def _stage(planned: StagePlan, whole: JointPlan, state: JobState) -> dict[str, Any]:
    choice, joint = planned.choice, whole.joint
    keys = [PullKey(joint.id, planned.number, number) for number in planned.order.fasteners]
    if planned.stage.kind == "wait":
        keys = [PullKey(joint.id, planned.number, 0)]
    setting = choice.setting if choice else None
    return {
        "number": planned.number,
        "text": say(describe(planned.stage)),
        "condition": planned.stage.condition,
        "tool": _tool(planned, choice),
        "setting": say(setting.words) if setting else "",
        "limits": say(planned.limits.words()) if planned.limits.quantity != "none" else "",
        "card": _card(planned, whole, choice),
        "clamp": _clamp(planned),
        "done": sum(state.settled(key) for key in keys),
        "pulls": planned.pulls,
        "odd": [as_sentence(say(one)) for one in odd_ones(state, joint.id, planned.number)],
        "others": [_other(planned, one) for one in planned.choices],
        "taken": choice.overruled if choice else "",
        "spoken": _spoken(choice),
        "units": [scale.unit for scale in choice.tool.scales] if choice else [],
    }


def _other(planned: StagePlan, one: Fitness) -> dict[str, Any]:
    effect = effect_words(planned, one)
    return {
        "id": one.tool.id,
        "name": tool_name(one),
        "usable": one.usable,
        "may": one.may_be_overruled,
        "effect": say(effect) if effect else "",
        "reasons": [say(reason) for reason in one.reasons],
    }


def _spoken(choice: Fitness | None) -> str:
    if choice is None or choice.setting is None or not choice.tool.is_wrench:
        return ""
    return " ".join(as_sentence(say(one)) for one in spoken_setting(choice.tool, choice.setting))


def _tool(planned: StagePlan, choice: Fitness | None) -> str:
    if choice is not None:
        return tool_name(choice)
    if planned.choices:
        return say(words("no tool of the drawer fits"))
    return say(words("by hand"))


def _card(planned: StagePlan, whole: JointPlan, choice: Fitness | None) -> str:
    if choice is None or choice.setting is None or not choice.tool.is_wrench:
        return ""
    clockwise = direction_of(planned.stage, whole.joint) == "cw"
    return setting_card(choice.tool, choice.setting, clockwise=clockwise)


def card_of(plan: Plan, key: PullKey, in_hand: str | None) -> str:
    """Draw the setting card of a pull's tool; empty when it has no scale.

    Parameters
    ----------
    plan : Plan
    key : PullKey
    in_hand : str or None
        Id of the tool the person chose.

    Returns
    -------
    str
        SVG.
    """
    planned = plan.stage(key)
    return _card(planned, plan.joint(key.joint), choice_of(planned, in_hand))


def spoken_of(plan: Plan, key: PullKey, in_hand: str | None) -> str:
    """Return the setting card of a pull's tool as it is spoken; parameters as in `card_of`."""
    return _spoken(choice_of(plan.stage(key), in_hand))


def _narrowing(whole: JointPlan) -> list[str]:
    band = last_band(whole)
    return [as_sentence(say(one)) for one in narrowing(band)] if band else []


def _clamp(planned: StagePlan) -> str:
    band = planned.clamp
    if band is None:
        return ""
    return say(
        words(
            "Clamp load {low:.1f} to {high:.1f} kN (5 to 95 %), middle {middle:.1f} kN",
            low=band.p05 / 1000,
            high=band.p95 / 1000,
            middle=band.nominal / 1000,
        )
    )
