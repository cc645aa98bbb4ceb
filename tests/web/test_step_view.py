"""What the bench page is told of a stage: figure, unit, question, arrow, limits on the scale."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, load_plan
from clampwright.procedure.stage import Stage
from clampwright.report.view import View
from clampwright.web.step_view import plain, recording, step_view
from clampwright.work.limits import Limits
from clampwright.work.plan import JointPlan, Plan, StagePlan


def plan_of(place: Workshop, job: str) -> Plan:

    return load_plan(place.jobs / f"{job}.toml", None, today=today())


def shown(plan: Plan, stage: int, *, in_hand: str | None = None, view: View | None = None) -> Any:
    whole = plan.joints[0]
    return step_view(whole.stages[stage - 1], whole, plan.drawer, view or View(), in_hand)


def changed(plan: Plan, **joint: Any) -> Plan:
    whole = plan.joints[0]
    return replace(plan, joints=(JointPlan(replace(whole.joint, **joint), whole.stages),))


def test_the_figure_is_what_the_tool_must_show_and_the_fastener_gets_the_target(
    workshop: Workshop,
) -> None:
    """The click wrench gives more than it says, so it is set lower than the procedure's 45 N·m."""
    step = shown(plan_of(workshop, "trailer-wheel"), 1)
    assert (step["figure"], step["unit"], step["ask"]) == ("44", "N·m", "click")
    assert step["asked"] == "45.0 N·m at the fastener"
    assert step["tool"]["setting"] == {
        "value": "44",
        "unit": "N·m",
        "text": "main mark 40, then the sleeve to 4.0",
    }


def test_the_unit_is_that_of_the_tool_in_hand(workshop: Workshop) -> None:
    plan = plan_of(workshop, "trailer-wheel")
    step = shown(plan, 2, in_hand="click-150ft")
    assert step["tool"]["id"] == "click-150ft"
    assert step["unit"] == step["tool"]["setting"]["unit"]
    assert float(step["figure"]) == pytest.approx(float(step["tool"]["setting"]["value"]))
    unknown = shown(plan, 2, in_hand="beam-200")
    assert unknown["tool"]["id"] == "electronic-200", "a tool that is not fit is not taken"


def test_a_pointer_is_read_and_its_scales_are_offered(workshop: Workshop) -> None:
    step = shown(plan_of(workshop, "propeller-coupling"), 1)
    assert (step["tool"]["kind"], step["ask"]) == ("dial", "value")
    assert (step["figure"], step["unit"], step["units"]) == ("144", "in·lbf", ["in·lbf"])
    assert step["caption"] == "pull until the scale shows"
    limits = step["compare"]["units"]["in·lbf"]
    # 12 ft·lbf ± 8 % is 132.5 to 155.5 in·lbf; the wrench reads within 2 % of that
    assert limits["low"] == pytest.approx(132.5, rel=0.02)
    assert limits["high"] == pytest.approx(155.5, rel=0.02)


@pytest.mark.parametrize(
    ("job", "stage", "wanted"),
    [
        ("launch-engine-head", 3, ("done", "", "do this", "loosen fully")),
        ("launch-engine-head", 5, ("angle", "45°", "turn further", "")),
        ("gearbox-drain-plug", 1, ("done", "", "do this", None)),
        ("gearbox-drain-plug", 2, ("angle", "180°", "turn further", "")),
        ("trailer-wheel", 3, ("done", "50", "wait", "")),
    ],
)
def test_other_kinds_of_stages(
    workshop: Workshop, job: str, stage: int, wanted: tuple[str, str, str, str | None]
) -> None:
    step = shown(plan_of(workshop, job), stage)
    ask, figure, caption, asked = wanted
    assert (step["ask"], step["figure"], step["caption"]) == (ask, figure, caption)
    if asked is not None:
        assert step["asked"] == asked
    if ask == "angle":
        assert step["units"] == ["deg"]
        limits = step["compare"]["units"]["deg"]
        assert limits["low"] < float(figure.rstrip("°")) < limits["high"]


@pytest.mark.parametrize(
    ("left_hand", "mirror", "stage", "arrow"),
    [
        (False, False, 1, "cw"),
        (True, False, 1, "ccw"),
        (False, True, 1, "ccw"),
        (True, True, 1, "cw"),
        (False, False, 3, "ccw"),
        (True, False, 3, "cw"),
    ],
)
def test_the_arrow_is_as_it_is_seen(
    workshop: Workshop, *, left_hand: bool, mirror: bool, stage: int, arrow: str
) -> None:
    plan = changed(plan_of(workshop, "launch-engine-head"), left_hand=left_hand)
    step = shown(plan, stage, view=View(90, mirror))
    assert step["arrow"] == arrow
    assert step["left_hand"] is left_hand
    clockwise = "counter-" not in step["arrow_words"]
    assert clockwise == (arrow == "cw")


def test_only_limits_that_are_there_are_compared(workshop: Workshop) -> None:
    plan = plan_of(workshop, "trailer-wheel")
    limits = shown(plan, 4)["compare"]["units"]["N·m"]
    assert limits["high"] is None
    assert limits["text"].startswith("at least")


def test_a_setting_outside_the_limits_is_no_click_within(workshop: Workshop) -> None:
    plan = plan_of(workshop, "trailer-wheel")
    whole = plan.joints[0]
    first = whole.stages[0]
    tight = replace(first, limits=replace(first.limits, low=46.0, high=47.0))
    step = step_view(tight, whole, plan.drawer, View(), None)
    assert step["compare"]["click"] is False


def test_a_stage_without_a_tool_is_shown_in_the_unit_of_the_procedure(workshop: Workshop) -> None:
    plan = plan_of(workshop, "propeller-coupling")
    whole = plan.joints[0]
    bare: StagePlan = replace(whole.stages[0], choices=())
    step = step_view(bare, whole, plan.drawer, View(), None)
    assert (step["figure"], step["unit"], step["caption"]) == ("12", "ft·lbf", "pull to")
    assert step["tool"] is None
    assert recording(bare) is None
    limits = Limits("stretch", 0.14, 0.12, 0.16)
    stretch = replace(bare, stage=Stage("stretch", 0.14, "mm"), limits=limits)
    shown_stretch = step_view(stretch, whole, plan.drawer, View(), None)
    assert (shown_stretch["figure"], shown_stretch["units"]) == ("0.14", ["mm"])


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(90.0, 1, "90"), (100.0, 0, "100"), (44.5, 2, "44.5"), (0.0, 1, "0"), (12.25, 2, "12.25")],
)
def test_a_figure_has_no_zeros_after_its_mark(value: float, digits: int, text: str) -> None:
    assert plain(value, digits) == text
