"""Every reason for and against a tool, in words."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import pytest

from clampwright.drawer import (
    Adapter,
    AngleScale,
    Calibration,
    Demand,
    Fitness,
    Point,
    Scale,
    Tool,
    fitness,
    load_drawer,
)
from clampwright.drawer.permissible import permissible_deviation
from clampwright.errors import Missing, OutOfRange

DRAWER = load_drawer((Path(__file__).parent / "shelf.toml").read_bytes(), "shelf.toml")
SHELF = {tool.id: tool for tool in DRAWER.tools}
TODAY = dt.date(2025, 6, 1)
CLICK, BEAM, DIAL, ELECTRONIC = (SHELF[kind] for kind in ("click", "beam", "dial", "electronic"))
OPEN_END = Adapter("open", "Open-end adapter", "3/8 in", 40.0)


def certificate(*deviations: tuple[float, float]) -> Calibration:
    points = tuple(Point(torque, deviation, 0.005) for torque, deviation in deviations)
    return Calibration(dt.date(2025, 1, 10), points)


def asked(tool: Tool, demand: Demand, adapter: Adapter | None = None) -> Fitness:
    return fitness(tool, demand, today=TODAY, adapter=adapter)


def said(result: Fitness) -> str:
    return "\n".join(str(reason) for reason in result.reasons)


def blocked(result: Fitness) -> str:
    assert not result.usable
    assert result.score == 0.0
    return "\n".join(str(reason) for reason in result.blockers)


# --- what can be used -------------------------------------------------------------------------


def test_a_good_wrench_has_its_setting_and_uncertainty() -> None:
    result = asked(CLICK, Demand("torque", 30.0, 28.0, 32.0))
    assert result.usable
    assert result.setting is not None
    assert result.setting.value == 30.0
    # 1 % at k = 2, and half a step either way: 0.5 % and 0.5/(2 sqrt 3)/30
    assert result.u_rel == pytest.approx((0.005**2 + (0.5 / 12**0.5 / 30) ** 2) ** 0.5)
    assert said(result) == "50 % of its range: in the best part"


@pytest.mark.parametrize(
    ("tool", "torque", "remark"),
    [
        (CLICK, 30.0, "50 % of its range: in the best part"),
        (CLICK, 55.0, "92 % of its range: it is best from 30 to 80 %"),
        (CLICK, 15.0, "25 % of its range: it is best from 30 to 80 %"),
        (CLICK, 11.0, "18 % of its range: low, but calibrated there"),
        (
            replace(CLICK, calibration=None),
            11.0,
            "18 % of its range: low, some standards claim nothing below a fifth",
        ),
    ],
)
def test_part_of_the_range(tool: Tool, torque: float, remark: str) -> None:
    result = asked(tool, Demand("torque", torque))
    assert result.usable
    assert remark in said(result)


def test_the_middle_of_the_range_scores_higher() -> None:
    middle, edge, low = (asked(ELECTRONIC, Demand("torque", value)) for value in (100, 190, 12))
    assert middle.score > edge.score > low.score


# --- range and marks --------------------------------------------------------------------------


def test_outside_the_range() -> None:
    result = asked(CLICK, Demand("torque", 75.0))
    assert blocked(result) == "it would have to show 75 N·m; its scale goes from 10 to 60"


def test_the_adapter_moves_the_range() -> None:
    assert asked(CLICK, Demand("torque", 66.0), OPEN_END).usable
    assert not asked(CLICK, Demand("torque", 66.0)).usable


def test_below_a_fifth_of_a_scale_marked_from_zero() -> None:
    assert "below a fifth of its scale (40): nothing is claimed there" in blocked(
        asked(BEAM, Demand("torque", 30.0))
    )


def test_marks_too_coarse_for_the_value() -> None:
    demand = Demand("torque", 45.0)
    assert blocked(asked(BEAM, demand)) == (
        "its marks are too coarse: one step of 5 N·m is more than a tenth of 45"
    )
    assert asked(BEAM, Demand("torque", 50.0)).usable  # exactly a tenth
    assert asked(BEAM, replace(demand, harm_level=3)).usable


def test_no_mark_within_the_limits() -> None:
    result = asked(CLICK, Demand("torque", 32.2, 32.1, 32.4))
    assert blocked(result) == "no mark lies within the limits: the nearest give 32, 32.5 N·m"
    assert result.setting is None


def test_limits_narrower_than_one_pull_is_known() -> None:
    result = asked(CLICK, Demand("torque", 30.0, 29.8, 30.2))
    assert result.usable
    assert "the stage allows ±0.7 %, one pull with it is only known to ±1.4 %" in said(result)
    assert result.score < asked(CLICK, Demand("torque", 30.0, 28.0, 32.0)).score


# --- unit, direction, adapter -----------------------------------------------------------------


def test_another_unit_than_the_procedure_s() -> None:
    result = asked(CLICK, Demand("torque", 30.0, unit="ft·lbf"))
    assert result.usable
    assert (
        "its scale is in N·m, the procedure in ft·lbf: use the figure given here, and have it "
        "read back" in said(result)
    )
    assert result.score < asked(CLICK, Demand("torque", 30.0)).score


def test_direction() -> None:
    left = Demand("torque", 30.0, direction="ccw")
    assert "it works clockwise only; this stage turns anticlockwise" in blocked(asked(CLICK, left))
    reversed_only = replace(CLICK, directions=("ccw",))
    assert "it works anticlockwise only; this stage turns clockwise" in blocked(
        asked(reversed_only, Demand("torque", 30.0))
    )


def test_direction_that_was_not_calibrated() -> None:
    result = asked(ELECTRONIC, Demand("torque", 100.0, direction="ccw"))
    assert result.usable
    assert "it was not calibrated in this direction: taken as anywhere within ±4 %" in said(result)
    assert result.u_rel is not None
    assert result.u_rel > 0.04 / 3**0.5


def test_adapter_that_does_not_fit_and_length_not_known() -> None:
    demand = Demand("torque", 100.0)
    assert "takes a 3/8 in square; this tool has 1/2 in" in blocked(asked(BEAM, demand, OPEN_END))
    unmeasured = replace(CLICK, length=None)
    assert "write length_mm" in blocked(asked(unmeasured, Demand("torque", 30.0), OPEN_END))


def test_adapter_says_where_to_pull() -> None:
    result = asked(CLICK, Demand("torque", 30.0), OPEN_END)
    assert (
        "with Open-end adapter the fastener gets 1.12 times what the wrench shows: pull at 320 mm "
        "from its square, nowhere else" in said(result)
    )
    assert result.adapter == OPEN_END
    assert result.u_rel is not None
    straight = asked(CLICK, Demand("torque", 30.0)).u_rel
    assert straight is not None
    assert result.u_rel > straight


# --- calibration ------------------------------------------------------------------------------


@pytest.mark.parametrize(("harm_level", "usable"), [(1, False), (2, False), (3, True)])
def test_calibration_run_out(harm_level: int, usable: bool) -> None:  # noqa: FBT001 - a table's column
    old = replace(CLICK, calibration=replace(certificate((10, 0), (60, 0)), months=3))
    result = asked(old, Demand("torque", 30.0, harm_level=harm_level))
    assert result.usable is usable
    assert "its calibration ran out on 2025-04-10" in said(result)
    assert result.setting is not None  # still told, for a person who overrules


def test_calibration_holds_on_its_last_day() -> None:
    last = replace(CLICK, calibration=replace(certificate((10, 0), (60, 0)), due=TODAY))
    assert asked(last, Demand("torque", 30.0, harm_level=1)).usable


def test_calibration_dated_after_today() -> None:
    early = dt.date(2025, 1, 9)
    result = fitness(CLICK, Demand("torque", 30.0, harm_level=3), today=early)
    assert blocked(result) == (
        "its calibration is dated 2025-01-10, after today (2025-01-09); check both dates"
    )


@pytest.mark.parametrize(("harm_level", "usable"), [(1, False), (2, True), (3, True)])
def test_no_calibration_known(harm_level: int, usable: bool) -> None:  # noqa: FBT001 - a table's column
    bare = replace(CLICK, calibration=None)
    result = asked(bare, Demand("torque", 30.0, harm_level=harm_level))
    assert result.usable is usable
    assert "no calibration of it is known" in said(result)
    assert (
        "no calibration points are known: taken as anywhere within ±4 % (ISO 6789-1, from memory)"
        in said(result)
    )
    # rectangular ±4 %, and the step of the scale
    assert result.u_rel == pytest.approx(((0.04**2) / 3 + (0.5 / 30) ** 2 / 12) ** 0.5)


def test_what_the_uncertainty_rests_on() -> None:
    certified = asked(CLICK, Demand("torque", 30.0)).setting
    assert certified is not None
    assert str(certified.trust.words()) == "uncertainty from its calibration"


def test_a_class_the_standard_does_not_have() -> None:
    with pytest.raises(OutOfRange, match="no permissible deviation is known for type I class G"):
        permissible_deviation("I", "G", largest_torque=100.0)
    with pytest.raises(OutOfRange, match="largest torque of 0 N·m"):
        permissible_deviation("I", "A", largest_torque=0.0)


def test_small_tools_get_the_wider_limit() -> None:
    small = Tool("s", "Small", "click", "1/4 in", (Scale("N·m", 2, 10, 1, 0.1),))
    assert "within ±6 %" in said(asked(small, Demand("torque", 5.0)))


def test_a_date_without_points_counts_as_calibrated() -> None:
    dated = replace(CLICK, calibration=Calibration(dt.date(2025, 1, 10)))
    result = asked(dated, Demand("torque", 30.0, harm_level=1))
    assert result.usable
    assert "no calibration points are known" in said(result)


@pytest.mark.parametrize(("harm_level", "usable"), [(1, False), (2, False), (3, True)])
def test_too_many_uses(harm_level: int, usable: bool) -> None:  # noqa: FBT001 - a table's column
    worn = replace(CLICK, uses=5001)
    result = asked(worn, Demand("torque", 30.0, harm_level=harm_level))
    assert result.usable is usable
    assert "5001 uses since its calibration; it is due after 5000" in said(result)
    assert asked(replace(CLICK, uses=5000), Demand("torque", 30.0)).usable


@pytest.mark.parametrize(
    ("deviation", "sentence"),
    [
        (-2.0, "known from its calibration: it gives 2.0 % more than it shows; allowed for"),
        (2.0, "known from its calibration: it gives 2.0 % less than it shows; allowed for"),
    ],
)
def test_known_deviation_is_said_and_allowed_for(deviation: float, sentence: str) -> None:
    drifted = replace(CLICK, calibration=certificate((10, deviation), (60, deviation)))
    result = asked(drifted, Demand("torque", 30.0))
    assert result.usable
    assert sentence in said(result)
    assert result.setting is not None
    assert result.setting.value == pytest.approx(30.0 * (1 + deviation / 100), abs=0.25)


def test_deviation_beyond_the_permissible() -> None:
    off = replace(CLICK, calibration=certificate((10, -5.5), (60, -5.5)))
    reason = (
        "its deviation of -5.5 % is beyond the permissible ±4 % (ISO 6789-1, from memory): "
        "have it adjusted"
    )
    assert blocked(asked(off, Demand("torque", 30.0, harm_level=1))) == reason
    result = asked(off, Demand("torque", 30.0))
    assert result.usable
    assert reason in said(result)


def test_value_that_was_not_calibrated() -> None:
    part = replace(CLICK, calibration=certificate((10, -1.0), (30, -1.0)))
    assert "it was not calibrated near this value: taken as anywhere within ±4 %" in said(
        asked(part, Demand("torque", 50.0))
    )


def test_certificate_that_holds_the_resolution_does_not_count_it_twice() -> None:
    both = certificate((10, 0), (60, 0))
    whole = replace(CLICK, calibration=replace(both, includes_resolution=True))
    assert asked(whole, Demand("torque", 30.0)).u_rel == pytest.approx(0.005)


def test_scatter_of_single_pulls_is_added() -> None:
    shaky = replace(CLICK, repeatability=1.0)
    steady = asked(CLICK, Demand("torque", 30.0)).u_rel
    assert steady is not None
    assert asked(shaky, Demand("torque", 30.0)).u_rel == pytest.approx((steady**2 + 1e-4) ** 0.5)


# --- kinds ------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["bar", "ratchet", "gauge"])
def test_tools_that_show_no_torque(kind: str) -> None:
    assert blocked(asked(SHELF[kind], Demand("torque", 30.0))) == "it shows no torque"
    assert blocked(asked(SHELF[kind], Demand("check", 30.0, check="running"))) == (
        "it shows no torque"
    )


@pytest.mark.parametrize("tool", [CLICK, BEAM, DIAL, ELECTRONIC], ids=lambda tool: str(tool.id))
def test_no_torque_wrench_loosens(tool: Tool) -> None:
    assert blocked(asked(tool, Demand("loosen"))) == (
        "loosening is not given to a torque wrench: it can take more than the wrench is made for "
        "and upsets its calibration; use a bar"
    )


def test_loosening_with_bar_ratchet_and_gauge() -> None:
    bar, ratchet, gauge = (asked(SHELF[k], Demand("loosen")) for k in ("bar", "ratchet", "gauge"))
    assert bar.score > ratchet.score > 0
    assert "break a tight fastener loose with a bar first" in said(ratchet)
    assert blocked(gauge) == "it turns nothing by itself"
    back = asked(SHELF["bar"], Demand("loosen", angle_deg=180.0))
    assert "turn it back by 180°, counting from the mark" in said(back)


def test_angle_by_kind() -> None:
    demand = Demand("angle", angle_deg=90.0)
    assert "not given to a click wrench" in blocked(asked(CLICK, demand))
    assert "it shows no angle" in blocked(asked(BEAM, demand))
    assert "it shows no angle" in blocked(asked(DIAL, demand))
    assert blocked(asked(SHELF["bar"], demand)) == "it needs an angle gauge with the same square"
    assert "needs a bar or ratchet" in blocked(asked(SHELF["gauge"], demand))
    assert "does not measure angle" in blocked(asked(replace(ELECTRONIC, angle=None), demand))


def test_angle_with_an_electronic_wrench() -> None:
    result = asked(ELECTRONIC, Demand("angle", angle_deg=90.0))
    assert result.usable
    assert result.u_angle == pytest.approx((0.5**2 / 12 + 1.5**2 / 3) ** 0.5)
    assert "stop when it shows 200 N·m: it is made for no more" in said(result)
    assert asked(ELECTRONIC, Demand("angle", 150.0, angle_deg=90.0)).usable
    assert blocked(asked(ELECTRONIC, Demand("angle", 250.0, angle_deg=90.0))) == (
        "about 250 N·m is expected at the end; it is made for 200 N·m"
    )


def test_angle_with_bar_and_gauge() -> None:
    demand = Demand("angle", angle_deg=90.0)
    bar, gauge = SHELF["bar"], SHELF["gauge"]
    result = fitness(bar, demand, today=TODAY, gauge=gauge)
    assert result.usable
    assert (result.tool, result.gauge) == (bar, gauge)
    assert result.u_angle == pytest.approx((4 / 12 + 4 / 3) ** 0.5)
    assert "with Angle gauge: set it to zero before each turn" in said(result)
    assert "has a 1/2 in square; this tool has 3/8 in" in blocked(
        fitness(SHELF["ratchet"], demand, today=TODAY, gauge=gauge)
    )
    half = replace(SHELF["ratchet"], drive="1/2 in")
    ratchet = fitness(half, demand, today=TODAY, gauge=gauge)
    assert "take up the play of its teeth" in said(ratchet)
    assert result.score > ratchet.score > 0
    one_way = replace(bar, directions=("cw",))
    left = replace(demand, direction="ccw")
    assert not fitness(one_way, left, today=TODAY, gauge=gauge).usable


def test_gauge_whose_error_is_not_stated() -> None:
    gauge = replace(SHELF["gauge"], angle=AngleScale(2.0))
    result = fitness(SHELF["bar"], Demand("angle", angle_deg=90.0), today=TODAY, gauge=gauge)
    assert "its angle error is not stated; only its step of 2° is counted" in said(result)


def test_snug_without_a_figure() -> None:
    ratchet, bar = asked(SHELF["ratchet"], Demand("snug")), asked(SHELF["bar"], Demand("snug"))
    assert ratchet.score > bar.score > 0
    assert "no torque is stated" in blocked(asked(CLICK, Demand("snug")))
    assert "turns nothing" in blocked(asked(SHELF["gauge"], Demand("snug")))


def test_snug_with_a_figure_is_a_torque() -> None:
    result = asked(CLICK, Demand("snug", 15.0))
    assert result.setting is not None
    assert result.setting.value == 15.0


@pytest.mark.parametrize("check", ["rotating", "running", "ceiling", None])
def test_click_cannot_measure_a_running_or_highest_torque(check: str | None) -> None:
    demand = Demand("check", 30.0, check=check)  # type: ignore[arg-type]  # one of the literals
    assert "a click wrench cannot measure" in blocked(asked(CLICK, demand))


@pytest.mark.parametrize("check", ["re_check", "final_minimum"])
def test_click_can_show_that_a_torque_is_reached(check: str) -> None:
    demand = Demand("check", 30.0, 30.0, check=check)  # type: ignore[arg-type]  # one of the literals
    result = asked(CLICK, demand)
    assert result.setting is not None
    assert result.setting.torque_at_fastener >= 30.0


@pytest.mark.parametrize(
    ("low", "high", "sentence"),
    [
        (5.0, 15.0, "read between 44.25 and 132.8 in·lbf"),
        (None, 15.0, "read at most 132.8 in·lbf"),
        (5.0, None, "read at least 44.25 in·lbf"),
    ],
)
def test_running_torque_limits_on_the_scale(
    low: float | None, high: float | None, sentence: str
) -> None:
    result = asked(DIAL, Demand("check", low=low, high=high, check="running"))
    assert result.usable
    assert result.setting is None
    assert result.u_rel is not None
    assert sentence in said(result)


def test_limits_on_the_scale_allow_for_deviation_and_adapter() -> None:
    quarter = Adapter("a", "Adapter", "1/4 in", 60.0)
    drifted = replace(DIAL, length=240.0, calibration=certificate((2.3, -4.0), (22.0, -4.0)))
    demand = Demand("check", low=5.0, high=15.0, unit="in·lbf", check="running")
    result = asked(drifted, demand, quarter)
    low, high = (limit / 1.25 * 0.96 / 0.1129848290276167 for limit in (5.0, 15.0))
    assert f"read between {low:.4g} and {high:.4g} in·lbf" in said(result)


def test_running_torque_without_limits() -> None:
    result = asked(DIAL, Demand("check", 10.0, unit="in·lbf", check="running"))
    assert result.usable
    assert said(result) == ""


def test_running_torque_outside_the_scale() -> None:
    demand = Demand("check", 40.0, check="running")
    assert blocked(asked(DIAL, demand)) == (
        "it would have to show 354 in·lbf; its scale can be relied on from 20 to 200"
    )


# --- demands that cannot be -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "needed"),
    [
        ({"action": "torque"}, "torque"),
        ({"action": "angle"}, "angle_deg"),
        ({"action": "check"}, "torque"),
    ],
)
def test_demand_without_its_value(values: dict[str, str], needed: str) -> None:
    with pytest.raises(Missing) as caught:
        Demand(**values)  # type: ignore[arg-type]  # a table's row
    assert caught.value.needed == needed


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"torque": 0.0}, "0 is asked for; it must be above zero"),
        ({"torque": -5.0}, "-5 is asked for"),
        ({"torque": 30.0, "low": 31.0}, "30 N·m does not lie within its limits"),
        ({"torque": 30.0, "high": 29.0}, "30 N·m does not lie within its limits"),
        ({"torque": 30.0, "low": 32.0, "high": 28.0}, "does not lie within its limits, 32 to 28"),
        ({"torque": 30.0, "harm_level": 4}, "harm level 4 does not exist; it is 1, 2 or 3"),
        ({"torque": float("nan")}, "must be above zero"),
    ],
)
def test_demand_that_cannot_be(values: dict[str, float], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        Demand("torque", **values)  # type: ignore[arg-type]  # a table's row


def test_a_demand_without_torque_wants_none() -> None:
    with pytest.raises(Missing, match="asks for no torque"):
        Demand("loosen").wanted()
