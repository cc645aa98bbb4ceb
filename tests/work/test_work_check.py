"""What only the plan can tell: fasteners, orders, limits, tools, calibrations, source, text."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from clampwright import standards
from clampwright.drawer.calibration import Calibration, Point
from clampwright.drawer.tools import AngleScale, Drawer, Scale, Tool
from clampwright.joint.model import Fastening
from clampwright.procedure.check import Finding
from clampwright.procedure.check_warnings import CAUTIONS
from clampwright.procedure.reading import Limit, Reading
from clampwright.procedure.stage import Stage
from clampwright.work.check import check_plan
from clampwright.work.job import Job, Joint, Procedure, Rules, Source
from clampwright.work.layout import circle
from clampwright.work.plan import plan_job

TODAY = dt.date(2025, 6, 1)
CERTIFICATE = Calibration(dt.date(2025, 1, 10), (Point(20.0, 0.0, 0.005), Point(100.0, 0.0, 0.005)))
CLICK = Tool(
    "click",
    "Click wrench",
    "click",
    "1/2 in",
    (Scale("N·m", 20, 100, 10, 1),),
    calibration=CERTIFICATE,
)
BAR = Tool("bar", "Bar", "bar", "1/2 in", directions=("cw", "ccw"))
GAUGE = Tool("gauge", "Gauge", "angle_gauge", "1/2 in", angle=AngleScale(2.0, 2.0))
DRAWER = Drawer((CLICK, BAR, GAUGE))
SOURCE = Source("Invented handbook", "first", "1")


def torque(value: float, **more: object) -> Stage:
    return Stage("torque", value, "N·m", **more)  # type: ignore[arg-type]  # any field of a stage


def bolt() -> Fastening:
    return Fastening.from_standards(
        standards.thread("M10"),
        head=14.63,
        hole=11.0,
        strength=standards.strength("8.8", d=10),
    )


def joint(*stages: Stage, reading: Reading | None = None, **more: object) -> Joint:
    choice = more.pop("choice", None)
    source = more.pop("source", SOURCE)
    given = {
        "id": "flange",
        "title": "Flange",
        "kind": "bolted",
        "harm_level": 2,
        "layout": circle(4, 100),
        "thread": standards.thread("M10"),
        "fastening": bolt(),
        "friction": standards.friction("oiled"),
        **more,
    }
    procedure = Procedure(stages, reading=reading, choice=choice, source=source)  # type: ignore[arg-type]  # a test's own keywords
    return Joint(procedure=procedure, **given)  # type: ignore[arg-type]  # a test's own keywords


def check(*joints: Joint, drawer: Drawer = DRAWER, percent: float = 6.0) -> tuple[Finding, ...]:
    job = Job("job", "Job", "Machine (invented)", joints, Rules(percent, 5.0), invented=True)
    return check_plan(plan_job(job, drawer, today=TODAY))


def within(value: float, half: float = 3.0) -> Stage:
    return torque(value, tolerance_low=value - half, tolerance_high=value + half)


def codes(found: tuple[Finding, ...]) -> list[str]:
    return [one.code for one in found]


def only(found: tuple[Finding, ...], code: str) -> Finding:
    (one,) = [one for one in found if one.code == code]
    return one


def test_a_sound_plan_gives_nothing_to_ask() -> None:
    assert check(joint(within(36.0))) == ()


def test_physics_is_asked_for_every_joint_and_names_it() -> None:
    good, bad = joint(within(36.0)), joint(within(90.0), id="other")
    found = check(good, bad)
    assert only(found, "over_yield").joint == "other"
    assert {one.joint for one in found} == {"other"}


def test_exempt_joints_stay_exempt() -> None:
    plug = joint(within(25.0), kind="plug", fastening=None, thread=None, friction=None)
    assert check(plug) == ()


def test_a_missed_fastener_stops() -> None:
    found = only(check(joint(replace(within(36.0), fasteners=(1, 2, 4)))), "fastener_missed")
    assert found.severity == "stop"
    assert "fastener 3" in str(found.message)
    assert "fastener_missed" not in codes(check(joint(within(36.0))))


def test_groups_are_known_by_their_numbers() -> None:
    groups = {"long": (1, 2), "short": (3, 4)}
    stages = (
        torque(3.0),
        replace(within(36.0), fasteners="long"),
        replace(within(36.0), fasteners="short"),
    )
    small = Tool("small", "Small dial", "dial", "1/4 in", (Scale("N·m", 1, 6, 1, 0.1),))
    drawer = Drawer((*DRAWER.tools, small))
    found = check(joint(*stages, groups=groups), drawer=drawer)
    assert "under_proof_share" not in codes(found)  # nobody is left at 3 N·m
    assert "under_proof_share" in codes(check(joint(*stages[:2], groups=groups), drawer=drawer))


def test_an_order_that_was_not_entered_is_asked() -> None:
    figure = replace(within(36.0), order="figure")
    assert only(check(joint(figure)), "order_not_entered").severity == "ask"
    assert check(joint(figure, order=(1, 3, 2, 4))) == ()


def test_a_written_order_that_misses_a_fastener_is_asked() -> None:
    found = only(check(joint(replace(within(36.0), order=(1, 3, 2)))), "order_incomplete")
    assert "missing: 4" in str(found.message)
    assert check(joint(replace(within(36.0), order=(1, 3, 2, 4)))) == ()


def test_a_stage_without_a_tool_stops_with_the_refusals() -> None:
    found = only(check(joint(within(36.0)), drawer=Drawer((BAR, GAUGE))), "no_tool")
    assert (found.severity, found.stage) == ("stop", 1)
    assert found.details
    assert str(found.details[0]).startswith("Bar: ")
    assert codes(check(joint(within(36.0)), drawer=Drawer(()))) == ["no_tool"]


def test_running_down_by_hand_needs_no_tool() -> None:
    assert check(joint(Stage("snug"), within(36.0)), drawer=Drawer((CLICK,))) == ()


def test_limits_tighter_than_the_tool_are_asked() -> None:
    # Certificate 0.5 % (k = 1), a 1 N·m step of the sleeve (0.289 N·m standard uncertainty).
    found = only(check(joint(within(36.0, half=0.4))), "tighter_than_tool")
    assert (found.severity, found.stage) == ("ask", 1)
    doubt, unit = found.numbers["expanded_uncertainty"]
    assert unit == "N·m"
    assert doubt > 2 * 0.005 * 36.0
    assert check(joint(within(36.0, half=2 * doubt))) == ()


def test_an_open_side_leaves_room_to_aim() -> None:
    at_least = torque(36.0, tolerance_low=36.0)
    assert "tighter_than_tool" not in codes(check(joint(at_least)))


def test_angles_are_compared_with_the_gauge() -> None:
    rate = bolt().with_clamp_rate(800.0, free_thread=17.0)
    tight = Stage("angle", 60.0, "deg", 59.5, 60.5)
    found = only(check(joint(within(24.0), tight, fastening=rate)), "tighter_than_tool")
    assert found.stage == 2
    assert found.numbers["room"] == (0.5, "deg")
    wide = Stage("angle", 60.0, "deg", 55.0, 65.0)
    assert check(joint(within(24.0), wide, fastening=rate)) == ()


def test_limits_of_the_workshop_are_noted_once() -> None:
    found = check(joint(torque(24.0), torque(36.0)))
    assert [(one.code, one.severity, one.stage) for one in found] == [
        ("workshop_limits", "note", None)
    ]
    assert "stages: 1, 2" in str(found[0].message)
    assert "±6 %" in str(found[0].message)
    tight = check(joint(torque(24.0), torque(36.0)), percent=0.5)
    assert only(tight, "tighter_than_tool").severity == "note"


def test_a_procedure_without_source_is_asked() -> None:
    assert only(check(joint(within(36.0), source=None)), "no_source").severity == "ask"


@pytest.mark.parametrize(("harm_level", "severity"), [(3, "note"), (2, "ask")])
def test_a_doubtful_calibration_is_told(harm_level: int, severity: str) -> None:
    unknown = replace(CLICK, calibration=None)
    found = only(
        check(joint(within(36.0), harm_level=harm_level), drawer=Drawer((unknown,))),
        "calibration_doubtful",
    )
    assert found.severity == severity


def test_an_overdue_wrench_is_told_or_refused() -> None:
    old = replace(CLICK, calibration=replace(CERTIFICATE, date=dt.date(2023, 1, 10)))
    found = check(joint(within(36.0), harm_level=3), drawer=Drawer((old,)))
    assert "2024-01-10" in str(only(found, "calibration_doubtful").message)
    assert codes(check(joint(within(36.0)), drawer=Drawer((old,)))) == ["no_tool"]


def test_a_second_look_where_life_hangs_on_it() -> None:
    found = check(joint(within(36.0), harm_level=1))
    assert [(one.code, one.severity) for one in found] == [("second_look", "note")]


def test_the_text_of_a_left_hand_thread_against_the_job() -> None:
    reading = Reading("ok", (within(36.0),), warnings=("left_hand_thread",))
    both = Drawer((replace(CLICK, directions=("cw", "ccw")),))
    assert "left_hand_unclear" in codes(check(joint(within(36.0), reading=reading), drawer=both))
    turned = replace(within(36.0), direction="ccw")
    assert only(check(joint(turned), drawer=both), "left_hand_unclear").stage == 1
    agreed = check(joint(within(36.0), reading=reading, left_hand=True), drawer=both)
    assert "left_hand_unclear" not in codes(agreed)


def test_cautions_of_the_reading_are_carried_on() -> None:
    reading = Reading("ok", (within(36.0),), warnings=("ocr_suspect", "limit_only"))
    found = check(joint(within(36.0), reading=reading))
    assert [(one.code, one.severity) for one in found] == [
        ("reading_warning", "ask"),
        ("reading_warning", "note"),
    ]
    settled = check(joint(within(36.0), reading=reading, choice=1))
    assert {one.severity for one in settled} == {"note"}


def test_every_caution_of_the_reader_has_its_words() -> None:
    named = (
        "dual_unit_mismatch lbs_without_length missing_unit wrong_unit number_format "
        "implausible_value ocr_suspect range_reversed cumulative_or_further sign_unclear "
        "limit_only no_value conflicting_instructions variant_choice "
        "intermediate_values_not_stated order_in_figure order_needs_reference do_not_back_off "
        "left_hand_thread add_running_torque force_without_radius unsupported_step unsafe_method "
        "unexpected_text"
    )
    assert set(CAUTIONS) == set(named.split())


def test_what_the_text_says_on_surface_and_reuse_is_used() -> None:
    reading = Reading(
        "ok",
        (within(20.0),),
        lubrication=("dry",),
        reuse="reuse_if_length_ok",
        reuse_limit=(Limit("length_max", 120.0, "mm"),),
    )
    found = check(joint(within(24.0), reading=reading))
    assert "surface_contradicts_text" in codes(found)
    assert "120 mm" in str(only(found, "measure_before_reuse").details[0])


def test_the_most_serious_of_all_joints_comes_first() -> None:
    found = check(joint(torque(36.0)), joint(within(90.0), id="other"))
    assert found[0].joint == "other"
    assert found[-1].code == "workshop_limits"
