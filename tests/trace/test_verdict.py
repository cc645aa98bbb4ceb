from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given as given_any
from hypothesis import settings
from hypothesis import strategies as st

from clampwright.errors import ClampwrightError
from clampwright.trace.given import PROCEDURES, Given, Nominal
from clampwright.trace.model import ANGLE_MODES, AngleMode, Step, Trace
from clampwright.trace.patterns import PATTERNS, RULES
from clampwright.trace.verdict import VERDICTS, TraceVerdict, judge

LIMITS = Given(
    target_torque_Nm=50.0,
    snug_torque_Nm=10.0,
    torque_low=48.0,
    torque_high=52.0,
    nominal=Nominal(torque_rate_Nm_per_deg=1.25, angle_snug_to_target_deg=32.0),
)


def pull(end: float, *, start: float = 0.0, slope: float = 1.25) -> Trace:
    angle = np.arange(start, end, 0.1)
    torque = np.maximum(slope * (angle - 40.0), 0.0)
    return Trace(np.arange(len(angle)) / 300.0, torque, angle, "output")


def says(verdict: TraceVerdict) -> str:
    return " / ".join(str(reason) for reason in verdict.reasons)


@pytest.mark.parametrize(
    ("end", "verdict"),
    [(76.0, "short"), (79.0, "within"), (80.0, "within"), (81.0, "within"), (84.0, "over")],
)
def test_torque_limits(end: float, verdict: str) -> None:
    assert judge(pull(end), LIMITS).verdict == verdict


@pytest.mark.parametrize(
    ("end", "verdict"), [(70.0, "short"), (79.0, "within"), (83.0, "within"), (90.0, "over")]
)
def test_angle_limits(end: float, verdict: str) -> None:
    given = Given(
        procedure="torque_angle",
        snug_torque_Nm=10.0,
        angle_steps_deg=(33.0,),
        angle_low=30.0,
        angle_high=36.0,
    )
    assert judge(pull(end), given).verdict == verdict


def test_limits_that_are_not_stated_come_from_the_table() -> None:
    given = Given(target_torque_Nm=50.0)
    assert judge(pull(80.5), given).verdict == "within"
    assert judge(pull(77.0), given).verdict == "short"


def test_nothing_to_compare_with_is_not_known() -> None:
    assert judge(pull(80.0), Given()).verdict == "not known"
    assert judge(pull(80.0), Given(procedure="torque_angle")).verdict == "not known"


def test_an_angle_stage_may_cross_check_the_torque() -> None:
    given = Given(
        procedure="torque_angle",
        snug_torque_Nm=10.0,
        angle_steps_deg=(32.0,),
        torque_low=60.0,
        torque_high=80.0,
    )
    verdict = judge(pull(80.0), given)
    assert verdict.verdict == "doubtful"
    assert "60.0 to 80.0 N·m" in says(verdict)


def test_snug_never_reached_in_an_angle_stage_is_short() -> None:
    given = Given(procedure="torque_angle", snug_torque_Nm=30.0, angle_steps_deg=(90.0,))
    verdict = judge(pull(60.0), given)
    assert verdict.verdict == "short"
    assert "snug torque of 30.0 N·m was not reached" in says(verdict)


def test_reasons_have_the_numbers_in_them() -> None:
    assert "above 52.0 N·m" in says(judge(pull(90.0), LIMITS))
    assert "below 48.0 N·m" in says(judge(pull(70.0), LIMITS))


def test_a_limit_within_the_uncertainty_is_said() -> None:
    assert "closer than the uncertainty" in says(judge(pull(78.6), LIMITS))
    assert "closer than the uncertainty" not in says(judge(pull(80.0), LIMITS))


@pytest.mark.parametrize(
    "factor", [1.3558179483314004, 1 / 1.3558179483314004, 9.80665, 1 / 9.80665, 100.0, 0.01, 8.85]
)
def test_a_wrong_unit_is_suspected_from_the_ratio(factor: float) -> None:
    trace = pull(80.0)
    trace = trace.after(Step("not converted"), torque=trace.torque * factor)
    verdict = judge(trace, replace(LIMITS, nominal=Nominal()))
    assert verdict.verdict in {"short", "over"}
    assert "wrong unit" in says(verdict)


def test_an_ordinary_short_pull_is_not_called_a_wrong_unit() -> None:
    assert "wrong unit" not in says(judge(pull(76.0), LIMITS))


def test_a_wide_range_of_stated_friction_leaves_more_room_for_the_slope() -> None:
    steep = pull(68.0, slope=1.8)
    assert judge(steep, LIMITS).pattern == "slope_out_of_band"
    wide = replace(LIMITS.nominal, torque_rate_low_Nm_per_deg=0.9, torque_rate_high_Nm_per_deg=1.9)
    assert judge(steep, replace(LIMITS, nominal=wide)).pattern == "normal"
    steeper = pull(60.5, slope=2.45)
    assert judge(steeper, LIMITS).pattern == "bottomed"
    assert judge(steeper, replace(LIMITS, nominal=wide)).pattern == "slope_out_of_band"


def restarted() -> Trace:
    """Stop at 46 N·m, let go, and reach 50 N·m two degrees after starting again."""
    rise = np.arange(0.0, 46.0, 0.1)
    down = np.linspace(46.0, 0.0, 60)
    again = np.concatenate((np.linspace(0.0, 48.0, 60), np.linspace(48.0, 50.0, 20)))
    torque = np.concatenate((rise, down, np.zeros(60), again))
    angle = np.concatenate((rise / 1.25, np.full(180, 36.8), np.linspace(36.8, 38.4, 20)))
    return Trace(np.arange(len(torque)) / 300.0, torque, angle, "output")


def test_a_target_reached_in_the_breakaway_needs_the_angle_to_bear_it_out() -> None:
    alone = replace(LIMITS, nominal=Nominal())
    verdict = judge(restarted(), alone)
    assert verdict.verdict == "doubtful"
    assert "after a stop" in says(verdict)
    assert judge(restarted(), LIMITS).verdict == "within"


def test_an_earlier_stage_counts() -> None:
    second = replace(LIMITS, snug_torque_Nm=None, previous_torque_Nm=47.0)
    trace = pull(80.0)
    keep = trace.torque >= 47.0
    up = np.linspace(0.0, 47.0, 60)
    later = Trace(
        np.arange(60 + keep.sum()) / 300.0,
        np.concatenate((up, trace.torque[keep])),
        np.concatenate((np.full(60, trace.angle[keep][0]), trace.angle[keep])),
        "output",
    )
    verdict = judge(later, second)
    assert verdict.verdict == "within"
    assert verdict.pattern == "normal"
    assert judge(later, LIMITS).pattern == "rehit"


@pytest.mark.parametrize(
    ("torque", "expected"),
    [
        (np.zeros(100), "no pull"),
        (np.full(100, 7.0), "no pull"),
        (np.full(100, -3.0), "no pull"),
        (np.concatenate((np.linspace(0, 50, 50), np.linspace(0, -45, 50))), "loosened"),
    ],
)
def test_what_shows_no_pull_is_not_known(torque: np.ndarray, expected: str) -> None:
    trace = Trace(np.arange(100) / 100.0, torque, np.arange(100.0), "output")
    verdict = judge(trace, LIMITS)
    assert verdict.verdict == "not known"
    assert not verdict.fault
    assert expected in says(verdict)


def test_too_few_samples_are_not_known() -> None:
    trace = Trace(np.arange(10) / 100.0, np.arange(10.0), np.arange(10.0))
    assert judge(trace, LIMITS).verdict == "not known"


def test_what_is_given_about_the_angle_column_wins() -> None:
    trace = pull(80.0)
    as_handle = judge(trace, replace(LIMITS, angle_mode="handle", tool_stiffness_Nm_per_deg=5.0))
    as_output = judge(trace, LIMITS)
    assert as_handle.turned_total is not None
    assert as_output.turned_total is not None
    assert as_handle.turned_total == pytest.approx(as_output.turned_total - 10.0, abs=0.5)


def test_the_json_form_has_every_field_and_nothing_that_json_lacks() -> None:
    data = judge(pull(80.0), LIMITS).as_json()
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    assert set(data) == {
        "verdict",
        "pattern",
        "fault",
        "likelihoods",
        "causes",
        "reasons",
        "snug_angle_deg",
        "turned_after_snug_deg",
        "turned_total_deg",
        "final_torque_nm",
        "slope_nm_per_deg",
        "clamp_n",
        "yield",
        "strokes",
        "uncertainty",
        "history",
    }
    strokes = data["strokes"]
    assert isinstance(strokes, list)
    assert set(strokes[0]) == {"t0_s", "t1_s", "turned_deg", "end"}
    assert data["yield"] == {"reached": False, "angle_deg": None, "clamp_n": None}


def test_rules_and_verdicts_keep_to_the_agreed_names() -> None:
    assert {name for name, _ in RULES} == set(PATTERNS) - {"normal"}
    assert judge(pull(80.0), LIMITS).verdict in VERDICTS


walks = st.lists(st.tuples(st.floats(-1e3, 1e3), st.floats(-1e3, 1e3)), min_size=2, max_size=120)
numbers = st.one_of(st.none(), st.floats(1e-2, 1e4))


@settings(max_examples=150, deadline=None)
@given_any(
    walk=walks,
    mode=st.sampled_from(ANGLE_MODES),
    procedure=st.sampled_from(PROCEDURES),
    target=numbers,
    snug=numbers,
    rate=numbers,
    stiffness=numbers,
    whole=st.booleans(),
)
def test_any_jumble_gets_a_verdict_that_json_can_hold(
    *,
    walk: list[tuple[float, float]],
    mode: AngleMode,
    procedure: str,
    target: float | None,
    snug: float | None,
    rate: float | None,
    stiffness: float | None,
    whole: bool,
) -> None:
    rows = np.cumsum(np.array(walk), axis=0)
    rows = np.round(rows) if whole else rows
    trace = Trace(np.arange(len(rows)) / 100.0, rows[:, 0], rows[:, 1], mode)
    given = Given(
        procedure=procedure,
        target_torque_Nm=target,
        snug_torque_Nm=snug,
        angle_steps_deg=(90.0,),
        nominal=Nominal(torque_rate_Nm_per_deg=rate, clamp_rate_N_per_deg=rate),
        tool_stiffness_Nm_per_deg=stiffness,
    )
    verdict = judge(trace, given)
    assert verdict.verdict in VERDICTS
    assert verdict.pattern in PATTERNS
    assert verdict.reasons
    json.dumps(verdict.as_json(), allow_nan=False)


@pytest.mark.parametrize(("torque_sign", "angle_sign"), [(1, 1), (-1, -1), (1, -1), (-1, 1)])
def test_a_left_hand_thread_is_judged_whatever_its_signs(torque_sign: int, angle_sign: int) -> None:
    as_right = pull(80.0)
    torque, angle = torque_sign * as_right.torque, angle_sign * as_right.angle
    recorded = replace(as_right, torque=torque, angle=angle)
    verdict = judge(recorded, replace(LIMITS, direction="ccw"))
    assert verdict.verdict == judge(as_right, LIMITS).verdict
    assert verdict.turned_total == pytest.approx(judge(as_right, LIMITS).turned_total)
    turned = torque_sign < 0 or angle_sign < 0
    assert [step.name for step in verdict.steps] == (
        ["turned round for a left-hand thread"] if turned else []
    )


def test_a_direction_that_is_none_is_refused() -> None:
    with pytest.raises(ClampwrightError, match="one of cw, ccw"):
        Given(direction="left")
