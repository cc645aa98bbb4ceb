"""From what was read to a verdict: each way in, each verdict, and the doubts."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampwright.drawer import Scale, Tool
from clampwright.errors import OutOfRange, Refused
from clampwright.work.judge import judge_pull
from clampwright.work.judgement import VERDICTS, Judgement
from clampwright.work.limits import Limits
from clampwright.work.readings import (
    AngleReading,
    ClickReading,
    DoneReading,
    Reading,
    ValueReading,
    as_body,
    from_body,
)

CLICK = Tool(
    "c",
    "Click wrench",
    "click",
    "1/2 in",
    (Scale("ft·lbf", 10, 150, 10, 1), Scale("N·m", 15, 200, 5, 1)),
)
BEAM = Tool("b", "Beam wrench", "beam", "1/2 in", (Scale("N·m", 0, 200, 10, 5),))
FIFTY = Limits("torque", 50.0, 47.0, 53.0)


def value(number: str, unit: str = "N·m", limits: Limits = FIFTY, tool: Tool = BEAM) -> Judgement:
    return judge_pull(ValueReading(Decimal(number), unit), limits, tool=tool)


def click(*, clicked: bool = True, moved: bool = True, setting: str = "50") -> Judgement:
    return judge_pull(ClickReading(clicked, moved, Decimal(setting), "N·m"), FIFTY, tool=CLICK)


@pytest.mark.parametrize(
    ("number", "verdict"), [("50", "within"), ("47.5", "within"), ("45", "short"), ("60", "over")]
)
def test_a_value_against_the_limits(number: str, verdict: str) -> None:
    assert value(number).verdict == verdict


def test_only_within_needs_no_advice() -> None:
    assert value("50").next is None
    over = value("60")
    assert over.next is not None
    assert "Do not slacken a little" in str(over.next)
    assert over.source


def test_reasons_carry_the_figures_in_the_unit_that_was_read() -> None:
    reason = str(value("45").reasons[0])
    assert "45.0 N·m" in reason
    assert "47.0 N·m to 53.0 N·m" in reason


def test_a_value_of_the_other_scale_is_asked_not_judged() -> None:
    judged = value("37", "N·m", tool=CLICK)  # 37 ft·lbf is 50.2 N·m
    assert judged.verdict == "doubtful"
    assert "ft·lbf scale" in str(judged.reasons[-1])


def test_a_unit_the_tool_does_not_have_is_asked_too() -> None:
    judged = value("37", "N·m", tool=BEAM)
    assert judged.verdict == "doubtful"
    assert "if the unit were ft·lbf" in str(judged.reasons[-1])


def test_a_short_value_that_fits_no_other_unit_is_short() -> None:
    assert value("44", "N·m", tool=CLICK).verdict == "short"


def test_the_wrenchs_own_uncertainty_is_said_when_it_reaches_past_a_limit() -> None:
    reasons = " ".join(str(reason) for reason in value("47.5").reasons)
    assert "reaches past a limit" in reasons


def test_a_click_counts_only_with_movement() -> None:
    assert click().verdict == "within"
    assert click(moved=False).verdict == "doubtful"
    assert click(clicked=False, moved=True).verdict == "short"


def test_a_click_never_rules_out_over() -> None:
    assert any("never rules out" in str(reason) for reason in click().reasons)


def test_a_click_at_a_wrong_setting_is_judged_by_what_was_set() -> None:
    assert click(setting="60").verdict == "over"
    assert click(setting="42").verdict == "short"
    assert click(setting="37").verdict == "doubtful"


@pytest.mark.parametrize(("angle", "verdict"), [("90", "within"), ("80", "short"), ("99", "over")])
def test_an_angle(angle: str, verdict: str) -> None:
    limits = Limits("angle", 90.0, 85.0, 95.0, "workshop")
    judged = judge_pull(AngleReading(Decimal(angle)), limits)
    assert judged.verdict == verdict
    assert "workshop's rule" in str(judged.reasons[-1])


def test_done_or_not() -> None:
    assert judge_pull(DoneReading(done=True), Limits("none")).verdict == "within"
    assert judge_pull(DoneReading(done=False), Limits("none")).verdict == "short"


def test_stretch_in_another_unit() -> None:
    limits = Limits("stretch", 0.146, 0.140, 0.152)
    assert judge_pull(ValueReading(Decimal("0.0058"), "in"), limits).verdict == "within"
    assert judge_pull(ValueReading(Decimal("0.0050"), "in"), limits).verdict == "short"


def test_what_does_not_belong_is_refused() -> None:
    with pytest.raises(Refused, match="not an angle"):
        judge_pull(AngleReading(Decimal(90)), FIFTY)
    with pytest.raises(Refused, match="which wrench"):
        judge_pull(ValueReading(Decimal(50), "N·m"), FIFTY)
    with pytest.raises(OutOfRange, match="cannot be read"):
        value("250")


def test_a_value_off_the_scale_that_fits_another_unit_is_asked() -> None:
    judged = value("440")  # 440 in·lbf is 49.7 N·m
    assert judged.verdict == "doubtful"
    assert "in·lbf" in str(judged.reasons[-1])


def test_where_the_scale_claims_nothing_the_torque_is_not_known() -> None:
    judged = value("20", limits=Limits("torque", 20.0, 19.0, 21.0))
    assert judged.verdict == "not known"
    assert "nothing is claimed" in str(judged.reasons[0])


def test_no_such_scale() -> None:
    with pytest.raises(Refused, match="no scale in"):
        value("50", "kgf·cm")


@pytest.mark.parametrize(
    "reading",
    [
        ValueReading(Decimal("41.5"), "ft·lbf"),
        ClickReading(clicked=True, moved=False, setting=Decimal(50), unit="N·m"),
        AngleReading(Decimal("89.5")),
        DoneReading(done=True),
    ],
)
def test_readings_there_and_back(reading: Reading) -> None:
    assert from_body(as_body(reading)) == reading


@pytest.mark.parametrize(
    "body",
    [
        {"kind": "guess"},
        {"kind": "value", "value": "12"},
        {"kind": "click", "clicked": "yes", "moved": True, "setting": {"value": 1, "unit": "N·m"}},
        {},
    ],
)
def test_bodies_that_are_no_readings_are_refused(body: dict[str, object]) -> None:
    with pytest.raises(Refused):
        from_body(body)


def test_verdicts_are_the_six_words() -> None:
    assert VERDICTS == ("within", "short", "over", "doubtful", "void", "not known")
