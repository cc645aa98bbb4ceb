"""Ways a result comes in: marks, dial, phone, lengths, several readings; each with its doubt."""

from __future__ import annotations

import json
import math
import statistics
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer import Scale, Tool
from clampwright.drawer.belongings import StretchGauge
from clampwright.errors import ClampwrightError, OutOfRange, Refused
from clampwright.joint.model import Fastening
from clampwright.work.clock_marks import (
    MarkTurn,
    clock_lines,
    clock_text,
    flats_words,
    goal_of,
    marks_words,
    nearest_turns,
    read_clock,
)
from clampwright.work.judge import judge_pull
from clampwright.work.judgement import InHand
from clampwright.work.limits import Limits
from clampwright.work.measured import angle_of, stretch_of, torque_while_turning
from clampwright.work.readings import AngleReading, Reading, ValueReading, as_body, from_body
from clampwright.work.second_reading import compare_readings, reading_words
from clampwright.work.ways_in import (
    GaugeReading,
    MarksReading,
    PhoneReading,
    StretchReading,
    TurningReading,
)

NINETY = Limits("angle", 90.0, 85.0, 95.0)
BEAM = Tool("b", "Beam wrench", "beam", "1/2 in", (Scale("N·m", 0, 6, 1, 0.1),))
D = Decimal


@given(
    start=st.integers(0, 719),
    halves=st.integers(0, 4000),
    turning=st.sampled_from(["cw", "ccw"]),
)
def test_a_mark_that_reached_its_goal_tells_the_angle_it_was_to_turn(
    start: int, halves: int, turning: str
) -> None:
    angle = halves / 2
    goal, turns = goal_of(start / 2, angle, turning)  # type: ignore[arg-type]  # one of the two
    told = MarkTurn(read_clock(clock_text(start / 2)), read_clock(clock_text(goal)), turns, turning)  # type: ignore[arg-type]  # as above
    assert told.angle == pytest.approx(angle)
    assert nearest_turns(start / 2, goal, turning, angle) == turns  # type: ignore[arg-type]  # as above


def test_the_uncertainty_of_marks_is_that_of_two_places_read_to_a_step() -> None:
    """Second method: many marks anywhere, each told to the nearest quarter of an hour."""
    rng = np.random.default_rng(20261130)
    start = rng.uniform(0, 360, 200_000)
    many = rng.uniform(60, 120, 200_000)
    read = 7.5 * np.round((start + many) / 7.5) - 7.5 * np.round(start / 7.5)
    assert float((read - many).std()) == pytest.approx(MarkTurn(0, 90).u, rel=0.01)


@pytest.mark.parametrize("text", ["13", "5:60", "half past", "", "-3", "5:5", "25:00"])
def test_what_is_no_place_on_the_clock_face(text: str) -> None:
    with pytest.raises(ClampwrightError, match="no place on the clock face"):
        read_clock(text)


def test_where_a_mark_goes_in_words_and_drawn() -> None:
    assert str(marks_words(60, 90)) == "mark from 2 to 5 o'clock"
    assert str(marks_words(60, 90, "ccw")) == "mark from 2 to 11 o'clock"
    assert str(marks_words(0, 450)) == "mark: 12, once round, to 3 o'clock"
    assert str(marks_words(0, 765)) == "mark: 12, 2 times round, to 1:30 o'clock"
    assert [str(flats_words(angle) or "") for angle in (30, 60, 90, 120, 45)] == [
        "½ flats of the hexagon",
        "one flat of the hexagon",
        "1½ flats of the hexagon",
        "2 flats of the hexagon",
        "",
    ]
    drawn = clock_lines(60, 90)
    assert len(drawn) == 11
    assert drawn[0].strip() == "12"
    rows = {sign: k for k, line in enumerate(drawn) for sign in line if sign in "oX"}
    assert rows["o"] < 5 < rows["X"], "from upper right down to lower right"
    assert "@" in "".join(clock_lines(0, 360)), "a full turn ends where it began"


def test_each_way_of_an_angle_carries_its_own_uncertainty_into_the_verdict() -> None:
    marks = MarksReading(MarkTurn(60.0, 150.0))
    found = judge_pull(marks, NINETY)
    assert found.verdict == "within"
    assert "turned 90° in all, ± 6.1° (95 %)" in str(found.reasons[0])
    # with u = 3.06 and limits 5 away on each side: 2 Phi(5 / 3.062) - 1 = 0.8975 (scipy.stats.norm)
    assert "about 90 %" in str(found.reasons[1])
    assert found.measured is not None
    assert found.measured.u == pytest.approx(7.5 / math.sqrt(6))

    surer = judge_pull(GaugeReading(D("91")), NINETY, in_hand=InHand(u_angle=0.8))
    assert "± 1.6°" in str(surer.reasons[0])
    assert not any("chance" in str(reason) for reason in surer.reasons)

    plain = judge_pull(AngleReading(D("91")), NINETY)
    assert "±" not in str(plain.reasons[0]), "nothing is known of how it was read"


def test_the_dial_on_the_socket() -> None:
    assert angle_of(GaugeReading(D("134"), zero=D("42")), 1.0).value == 92
    assert angle_of(GaugeReading(D("134"), zero=D("42")), 1.0).u == pytest.approx(math.sqrt(2))
    play = angle_of(GaugeReading(D("94"), play=D("4")), 1.0)
    assert play.value == 92
    assert play.u == pytest.approx(math.hypot(1, 4 / math.sqrt(12)))
    loaded = angle_of(GaugeReading(D("94"), "loaded"), 1.0)
    assert loaded.u == pytest.approx(math.hypot(1.0, 1.7))
    assert "wound up" in str(loaded.says[0])


def test_a_phone_is_never_surer_than_its_report_says() -> None:
    assert angle_of(PhoneReading(D("90"), D("0.1"))).u == 0.5
    assert angle_of(PhoneReading(D("90"), D("3.8"))).u == 3.8


ROD = Fastening(
    d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63, bearing_inner=11,
    yield_stress=940,
).with_simple_joint(grip=45, shank_length=28, outside=60, E_parts=205_000)  # fmt: skip


def test_stretch_by_lengths_and_the_clamp_load_that_belongs_to_it() -> None:
    free, tight = (D("95.02"), D("95.03"), D("95.02")), (D("95.13"), D("95.14"))
    reading = StretchReading(free, tight, "mm", D("0.01"))
    found = stretch_of(reading, ROD)
    assert found.value == pytest.approx(95.135 - 95.02333, abs=1e-4)
    means = [statistics.stdev(map(float, xs)) / math.sqrt(len(xs)) for xs in (free, tight)]
    by_hand = math.hypot(*(max(mean, 0.01 / math.sqrt(12)) for mean in means))
    assert found.u == pytest.approx(by_hand)
    assert ROD.bolt_resilience is not None
    assert found.clamp == pytest.approx(found.value / ROD.bolt_resilience)
    assert found.u_clamp == pytest.approx(
        (found.clamp or 0) * math.hypot(found.u / found.value, 0.07)
    )
    gauge = StretchGauge("g", "Gauge", 0.01, 0.01)
    assert stretch_of(reading, ROD, gauge).u == pytest.approx(math.hypot(by_hand, 0.01 / 3**0.5))
    assert stretch_of(reading).clamp is None, "no stiffness known, no clamp load told"


def test_warmth_between_the_readings_is_taken_off() -> None:
    warm = StretchReading((D("95"),), (D("95.15"),), "mm", D("0.01"), None, (D("20"), D("60")))
    cold = StretchReading((D("95"),), (D("95.15"),), "mm", D("0.01"))
    # 95 mm x 11.5e-6 / K x 40 K = 0.0437 mm
    assert stretch_of(cold).value - stretch_of(warm).value == pytest.approx(0.0437, abs=1e-6)
    dial = StretchReading((D("0"),), (D("0.15"),), "mm", D("0.01"), None, (D("20"), D("60")))
    with pytest.raises(Refused, match="whole length"):
        stretch_of(dial)


def test_a_stretch_past_yield_tells_no_clamp_load() -> None:
    found = stretch_of(StretchReading((D("95"),), (D("95.9"),), "mm", D("0.01")), ROD)
    assert found.clamp is None
    assert "yields" in str(found.says[-1])


def test_a_stretch_is_judged_against_its_stage() -> None:
    limits = Limits("stretch", 0.15, 0.14, 0.16)
    lengths = StretchReading((D("95.02"),), (D("95.16"),), "mm", D("0.01"))
    found = judge_pull(lengths, limits, in_hand=InHand(fastening=ROD))
    assert found.verdict == "within"
    assert "reaches past a limit" in str(found.reasons[1])
    assert any("kN" in str(reason) for reason in found.reasons)
    assert judge_pull(ValueReading(D("0.17"), "mm"), limits).verdict == "over"
    with pytest.raises(Refused, match="not a stretch"):
        judge_pull(lengths, NINETY)


def test_torque_while_turning_is_a_mean_without_the_peak_at_the_start() -> None:
    reading = TurningReading((D("1.2"), D("1.4"), D("1.3")), "N·m", D("2.6"))
    found = torque_while_turning(reading)
    assert found.value == pytest.approx(1.3)
    assert found.u == pytest.approx(0.1 / math.sqrt(3))
    assert "2.6 N·m to break it loose is left out" in str(found.says[1])
    stands_out = torque_while_turning(TurningReading((D("2.6"), D("1.2"), D("1.3")), "N·m"))
    assert "stands out" in str(stands_out.says[1])
    limits = Limits("torque", 1.3, 1.0, 1.6)
    judged = judge_pull(reading, limits, tool=BEAM)
    assert judged.verdict == "within"
    alone = judge_pull(ValueReading(D("1.3"), "N·m"), limits, tool=BEAM)
    assert judged.received is not None
    assert alone.received is not None
    assert judged.received.u == pytest.approx(math.hypot(alone.received.u, found.u))
    noted = judge_pull(reading, Limits("torque"))
    assert noted.verdict == "within"
    with pytest.raises(Refused, match="no torque"):
        judge_pull(reading, NINETY, tool=BEAM)


EVERY: tuple[Reading, ...] = (
    MarksReading(MarkTurn(60.0, 157.5, 1, "ccw")),
    GaugeReading(D("92.5"), "loaded", D("3"), D("4")),
    PhoneReading(D("88.4"), D("3.1"), 2),
    StretchReading((D("95.020"),), (D("95.15"), D("95.16")), "mm", D("0.01"), "g", (D(20), D(26))),
    TurningReading((D("1.2"), D("1.4")), "N·m", D("2.6")),
)


@pytest.mark.parametrize("reading", EVERY)
def test_it_stands_in_the_log_and_comes_back(reading: Reading) -> None:
    body = json.loads(json.dumps(as_body(reading)))
    assert from_body(body) == reading
    assert "." not in "".join(str(v) for v in body.values() if isinstance(v, float))
    assert str(reading_words(body))


@pytest.mark.parametrize(
    ("change", "error"),
    [
        ({"start": "13"}, ClampwrightError),
        ({"turns": 1.5}, Refused),
        ({"turns": -1}, OutOfRange),
        ({"turning": "left"}, Refused),
        ({"step": "0"}, OutOfRange),
        ({"step": "wide"}, ClampwrightError),
    ],
)
def test_marks_that_cannot_be(change: dict[str, object], error: type[Exception]) -> None:
    body = as_body(EVERY[0]) | change
    with pytest.raises(error):
        from_body(body)


def test_a_second_person_reads_the_same_or_not() -> None:
    one, near, far = (ValueReading(D(x), "N·m") for x in ("5.0", "5.05", "5.4"))
    assert compare_readings(one, near, tool=BEAM).agrees
    found = compare_readings(one, far, tool=BEAM)
    assert not found.agrees
    assert "they differ: 5.0 N·m and 5.4 N·m were read" in str(found.words)
    marks = MarksReading(MarkTurn(60.0, 150.0)), MarksReading(MarkTurn(60.0, 157.5))
    assert compare_readings(*marks).agrees
    assert not compare_readings(marks[0], MarksReading(MarkTurn(60.0, 180.0))).agrees
    with pytest.raises(Refused, match="reads the same"):
        compare_readings(one, marks[0], tool=BEAM)
