"""What to set, on the marks that exist, and what the mark costs."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.drawer import (
    Adapter,
    Calibration,
    Point,
    Scale,
    load_drawer,
    setting,
    torque_from_reading,
)
from clampwright.drawer.marks import marks_beside
from clampwright.errors import OutOfRange, Refused

DRAWER = load_drawer((Path(__file__).parent / "shelf.toml").read_bytes(), "shelf.toml")
SHELF = {tool.id: tool for tool in DRAWER.tools}
ADAPTER = Adapter("open", "Open-end adapter", "3/8 in", 40.0)
BACKWARDS = Adapter("back", "Turned adapter", "3/8 in", 40.0, 180.0)
FT = Scale("ft·lbf", 20, 150, 10, 1)
NM = Scale("N·m", 30, 200, 10, 2)


def certificate(*deviations: tuple[float, float]) -> Calibration:
    """Return a clockwise certificate in date: pairs of torque (N·m) and deviation (percent)."""
    points = tuple(Point(torque, deviation, 0.005) for torque, deviation in deviations)
    return Calibration(dt.date(2025, 1, 10), points)


@pytest.mark.parametrize(
    ("torque", "mark", "card"),
    [
        (32.0, (32.0, 30, 4), "main mark 30, then the sleeve to 2.0"),
        (32.2, (32.0, 30, 4), "main mark 30, then the sleeve to 2.0"),
        (32.3, (32.5, 30, 5), "main mark 30, then the sleeve to 2.5"),
        (35.1, (35.0, 35, 0), "main mark 35, the sleeve on its zero"),
        (10.0, (10.0, 10, 0), "main mark 10, the sleeve on its zero"),
        (60.0, (60.0, 60, 0), "main mark 60, the sleeve on its zero"),
    ],
)
def test_click_card(torque: float, mark: tuple[float, float, int], card: str) -> None:
    done = setting(SHELF["click"], torque)
    assert (done.value, done.main_mark, done.minor_marks) == mark
    assert str(done.words) == card
    assert done.rounding_cost == pytest.approx(mark[0] - torque)
    assert done.exact == pytest.approx(torque)


def test_click_without_a_sleeve_stands_on_main_marks_only() -> None:
    done = setting(replace(SHELF["click"], scales=(Scale("N·m", 10, 60, 5),)), 32.0)
    assert (done.value, str(done.words)) == (30.0, "main mark 30")


@pytest.mark.parametrize(
    ("torque", "card"),
    [
        (60.0, "pull until the pointer stands on 60 N·m"),
        (66.0, "pull until the pointer stands on 65 N·m"),
        (67.0, "pull until the pointer stands midway between 65 and 70 N·m"),
    ],
)
def test_pointer_card(torque: float, card: str) -> None:
    assert str(setting(SHELF["beam"], torque).words) == card


def test_electronic_card() -> None:
    done = setting(SHELF["electronic"], 45.04)
    assert str(done.words) == "enter 45.0 N·m as the target"


def test_a_wrench_that_gives_too_much_is_set_lower() -> None:
    """a_s negative: the joint gets more than the wrench says."""
    drifted = replace(SHELF["click"], calibration=certificate((10, -4.0), (60, -4.0)))
    done = setting(drifted, 50.0)
    assert done.value == 48.0
    assert done.torque_at_fastener == pytest.approx(50.0)
    assert done.trust.deviation == -4.0


def test_deviation_is_taken_between_the_points() -> None:
    drifted = replace(SHELF["electronic"], calibration=certificate((10, 0.0), (110, -4.0)))
    done = setting(drifted, 60.0 / 0.98)
    assert done.value == pytest.approx(60.0)
    assert done.torque_at_fastener == pytest.approx(60.0 / 0.98)


def test_no_correction_outside_the_points_and_the_limit_is_used() -> None:
    part = replace(SHELF["click"], calibration=certificate((10, -2.0), (30, -2.0)))
    done = setting(part, 50.0)
    assert (done.value, done.trust.deviation, done.trust.basis) == (50.0, None, "beyond points")
    assert done.u_rel > 0.04 / 3**0.5


def test_a_wrench_worse_than_the_limit_is_not_trusted_more_elsewhere() -> None:
    bad = replace(SHELF["click"], calibration=certificate((10, -8.0), (30, -8.0)))
    assert setting(bad, 50.0).trust.limit == pytest.approx(8.0 + 100 * 2 * 0.005)


def test_adapter_then_calibration_then_scale_then_mark() -> None:
    """T L/(L + E) = 60 · 320/360 = 53.33 N·m; shown 2 % less = 52.27 N·m = 38.55 ft·lbf."""
    wrench = replace(
        SHELF["click"],
        scales=(Scale("ft·lbf", 10, 45, 5, 0.5),),
        calibration=certificate((13.56, -2.0), (61.0, -2.0)),
    )
    done = setting(wrench, 60.0, adapter=ADAPTER)
    assert done.exact == pytest.approx(60 * 320 / 360 * 0.98 / 1.3558179483314004)
    assert (done.value, done.scale_unit) == (38.5, "ft·lbf")
    assert done.torque_at_fastener == pytest.approx(38.5 * 1.3558179483314004 / 0.98 * 360 / 320)
    assert str(done.cost) == (
        "this mark gives 59.92 N·m, 0.078 N·m less than wanted (0.057 ft·lbf)"
    )


def test_cost_is_told_in_the_unit_of_the_procedure() -> None:
    done = setting(SHELF["click"], 22.2, unit="ft·lbf")
    assert str(done.cost) == (
        "this mark gives 16.23 ft·lbf, 0.15 ft·lbf less than wanted (0.2 N·m)"
    )
    more = setting(SHELF["dial"], 20.08)
    assert str(more.cost) == ("this mark gives 20.11 N·m, 0.031 N·m more than wanted (0.28 in·lbf)")


def test_a_difference_nobody_can_see_is_not_told() -> None:
    assert str(setting(SHELF["dial"], 20.0).cost) == "this mark gives what is wanted"


def test_cost_in_the_same_unit_says_more_or_less() -> None:
    assert str(setting(SHELF["click"], 32.2).cost).endswith("0.2 N·m less than wanted")
    assert str(setting(SHELF["click"], 32.3).cost).endswith("0.2 N·m more than wanted")


def test_neighbour_mark_is_taken_when_the_nearest_leaves_the_limits() -> None:
    assert setting(SHELF["click"], 32.2).value == 32.0
    assert setting(SHELF["click"], 32.2, low=32.1, high=33.0).value == 32.5


def test_refused_when_no_mark_lies_within_the_limits() -> None:
    with pytest.raises(Refused) as caught:
        setting(SHELF["click"], 32.2, low=32.1, high=32.4)
    assert str(caught.value) == "no mark lies within the limits: the nearest give 32, 32.5 N·m"


@pytest.mark.parametrize(
    ("torque", "message"),
    [
        (9.7, "it would have to show 9.7 N·m; its scale goes from 10 to 60"),
        (75.0, "it would have to show 75 N·m; its scale goes from 10 to 60"),
    ],
)
def test_outside_the_scale(torque: float, message: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        setting(SHELF["click"], torque)
    assert str(caught.value) == message
    assert caught.value.value == pytest.approx(torque)


def test_the_tool_s_range_limits_the_setting_not_the_torque() -> None:
    assert setting(SHELF["click"], 66.0, adapter=ADAPTER).value == 58.5
    with pytest.raises(OutOfRange, match=r"have to show 66\.29 N·m"):
        setting(SHELF["click"], 58.0, adapter=BACKWARDS)


def test_half_a_step_beyond_the_end_goes_to_the_end_mark() -> None:
    assert setting(SHELF["click"], 9.8).value == 10.0
    assert setting(SHELF["click"], 60.2).value == 60.0


def test_nothing_claimed_below_a_fifth_of_a_scale_marked_from_zero() -> None:
    with pytest.raises(OutOfRange, match=r"have to show 30 N·m, below a fifth of its scale \(40\)"):
        setting(SHELF["beam"], 30.0)
    known = replace(SHELF["beam"], calibration=certificate((20, 0.0), (200, 0.0)))
    assert setting(known, 30.0).value == 30.0


def test_scale_in_the_unit_of_the_procedure_is_preferred() -> None:
    both = replace(SHELF["click"], scales=(FT, NM), calibration=None)
    assert setting(both, 61.0, unit="ft·lbf").scale_unit == "ft·lbf"
    assert setting(both, 61.0, unit="N·m").scale_unit == "N·m"
    assert setting(both, 61.0, unit="N·m", scale="ft·lbf").value == 45.0
    assert setting(both, 61.0, unit="in·lbf").scale_unit == "ft·lbf"  # its mark costs less


def test_the_other_scale_is_taken_when_the_preferred_has_no_mark_within() -> None:
    both = replace(SHELF["click"], scales=(FT, NM), calibration=None)
    assert setting(both, 61.0, low=60.5, high=61.5).scale_unit == "ft·lbf"


def test_missing_scale_and_tools_without_a_scale() -> None:
    with pytest.raises(Refused, match=r"Click wrench has no scale in ft·lbf; it has N·m"):
        setting(SHELF["click"], 30.0, scale="ft·lbf")
    with pytest.raises(Refused, match="Bar shows no torque: there is nothing to set"):
        setting(SHELF["bar"], 30.0)


def test_steps_of_a_tenth_stay_clean() -> None:
    mark = marks_beside(Scale("N·m", 0.1, 1.0, 0.1), 0.3, 0.1)[0]
    assert (mark.value, mark.main) == (0.3, 0.3)


@dataclass(frozen=True)
class Case:
    """A wrench, an adapter and a target somewhere on the scale."""

    kind: str
    unit: str
    steps: tuple[float, float | None]
    deviations: tuple[float, float]
    part: float
    reach: float
    angle: float


CASES = st.builds(
    Case,
    kind=st.sampled_from(["click", "beam", "electronic"]),
    unit=st.sampled_from(["N·m", "ft·lbf", "kgf·m"]),
    steps=st.sampled_from([(10.0, 1.0), (5.0, 0.5), (5.0, None), (2.0, 0.25), (0.1, None)]),
    deviations=st.tuples(st.floats(-6, 6), st.floats(-6, 6)),
    part=st.floats(0, 1),
    reach=st.floats(0, 80),
    angle=st.floats(0, 180),
)


@given(case=CASES)
@settings(max_examples=150)
def test_reading_the_set_mark_back_gives_the_target_within_what_the_mark_costs(case: Case) -> None:
    scale = Scale(case.unit, 20, 100, *case.steps)
    ends = zip((20 * scale.size, 100 * scale.size), case.deviations, strict=True)
    wrench = replace(
        SHELF[case.kind],
        scales=(scale,),
        drive="3/8 in",
        length=400.0,
        calibration=certificate(*ends),
    )
    adapter = Adapter("a", "Adapter", "3/8 in", case.reach, case.angle)
    # Somewhere between what the two end marks give at the fastener: then the scale can do it.
    low, high = (torque_from_reading(wrench, scale, end, adapter).torque for end in (20, 100))
    target = low + case.part * (high - low)
    done = setting(wrench, target, adapter=adapter)
    back = torque_from_reading(wrench, case.unit, done.value, adapter)
    assert back.torque == pytest.approx(done.torque_at_fastener, rel=1e-12)
    assert back.torque - target == pytest.approx(done.rounding_cost, abs=1e-9 * target)
    # A mark is at most half a step away; over it the deviation changes the torque by under 15 %.
    half = wrench.settable_step(scale) / 2 * scale.size * done.lever.ratio
    assert abs(done.rounding_cost) <= half * 1.3 + 1e-9
