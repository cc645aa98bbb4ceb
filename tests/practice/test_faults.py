"""Find-the-fault: reproducible, shown by the curve, explained, with fair answers offered."""

from __future__ import annotations

import numpy as np
import pytest

from clampwright.errors import Missing
from clampwright.practice.fault_question import answered, fault_kinds, fault_question
from clampwright.practice.made_cases import MADE, made_case
from clampwright.practice.peak import Peak
from clampwright.trace.patterns import PATTERNS


def test_every_kind_is_a_pattern_of_the_trace_room_or_made_here() -> None:
    kinds = fault_kinds()
    assert set(kinds) <= {*PATTERNS, *MADE}
    assert set(MADE) <= set(kinds)
    for kind in kinds.values():
        assert set(kind.alike) <= set(kinds) - {kind.key}
        assert kind.weight > 0
        assert all((kind.title.template, kind.why.template, kind.advice.template, kind.source))


@pytest.mark.parametrize("kind", sorted(fault_kinds()))
def test_the_curve_shows_what_was_simulated(kind: str) -> None:
    for seed in range(3):
        asked = fault_question(seed, kind)
        read = asked.read()
        if kind in PATTERNS:
            assert read.pattern == kind
        assert asked.truth in asked.choices
        assert len(set(asked.choices)) == len(asked.choices) == 6
        assert "normal" in asked.choices
        assert asked.told()


def test_what_people_do_wrong_is_read_as_such() -> None:
    for seed in range(3):
        assert fault_question(seed, "wrong_unit").read().verdict == "over"
        assert fault_question(seed, "stop_early").read().verdict == "short"
        assert fault_question(seed, "normal").read().verdict == "within"
        dry = fault_question(seed, "dry")
        slope, expected = dry.read().slope, dry.given.nominal.torque_rate_Nm_per_deg
        assert slope is not None
        assert expected is not None
        assert slope > 1.3 * expected
        early = fault_question(seed, "wrong_snug")
        assert early.given.torque_low is not None
        assert early.trace.torque.max() < early.given.torque_low


def test_the_same_number_gives_the_same_pull() -> None:
    one, other = fault_question(41), fault_question.__wrapped__(41)
    assert (one.truth, one.choices) == (other.truth, other.choices)
    assert np.array_equal(one.trace.torque, other.trace.torque)
    trace, _ = made_case("dry", 2)
    assert np.array_equal(trace.torque, made_case("dry", 2)[0].torque)


def test_the_place_of_the_truth_betrays_nothing() -> None:
    order = list(fault_kinds())
    for seed in range(10):
        places = [order.index(key) for key in fault_question(seed).choices]
        assert places == sorted(places)


def test_many_numbers_bring_many_faults() -> None:
    assert len({fault_question(seed).truth for seed in range(30)}) >= 8


def test_answers_are_right_near_or_other() -> None:
    asked = fault_question(3, "stripped")
    right, near = answered(asked, "stripped"), answered(asked, "plastic")
    other = answered(asked, "normal")
    assert [one.points for one in (right, near, other)] == [100, 40, 0]
    assert [one.outcome for one in (right, near, other)] == ["right", "near", "other"]
    assert "does not come back" in " ".join(str(line) for line in other.says())
    with pytest.raises(Missing, match="not offered"):
        answered(asked, "loose")
    with pytest.raises(Missing, match="is not known"):
        fault_question(3, "loose")


def test_a_live_peak_begins_anew_with_each_pull() -> None:
    peak = Peak()
    for torque in (1.0, 20.0, 24.5, 3.0, float("nan"), 0.0):
        peak = peak.after(torque)
    assert (peak.highest, peak.over) == (24.5, True)
    assert peak.after(4.0).over
    assert peak.after(10.0).highest == 10.0
    assert peak.after(-30.0).highest == 30.0
