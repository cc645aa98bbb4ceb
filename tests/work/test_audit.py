"""What a torque tried on a tightened fastener tells, and what it must not say."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import OutOfRange, Refused
from clampwright.joint.model import Fastening
from clampwright.procedure.stage import Stage
from clampwright.units import convert
from clampwright.work.audit import (
    READ_AS,
    WAYS,
    ReadAs,
    Tightened,
    Way,
    audit,
    audit_ways,
    check_way,
)

TORQUE, ANGLE = Stage("torque", 90.0, "N·m"), Stage("angle", 90.0, "°")
BOLT = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63,
                 bearing_inner=11, yield_stress=940, clamp_rate=829.66)  # fmt: skip
LIMITS: dict[str, Any] = {"low": 85.5, "high": 94.5}


def fits(way: Way, read_as: ReadAs) -> bool:
    return not (way == "to_mark" and read_as != "moving") and not (
        way == "breakaway" and read_as != "peak"
    )


def test_the_published_case_of_a_joint_that_relaxed() -> None:
    """150 lb-ft, then 100 to restart; stretch 0.0015 to 0.0010 in.

    A chapter on retightening in a text on bolted joints, CRC Press, ISBN 978-1-4822-7378-6; only
    its abstract was seen.
    """
    then, now = (convert(value, "ft·lbf", "N·m") for value in (150, 100))
    found = audit(
        "first_movement",
        now,
        u_rel=0.02,
        read_as="moving",
        low=0.96 * then,
        high=1.04 * then,
        tightened=Tightened(then, 0.02),
    )
    assert found.verdict == "less"
    assert found.share is not None
    assert found.share.low is not None
    assert found.share.high is not None
    assert found.share.low < 0.0010 / 0.0015 < found.share.high
    assert found.share.high < 0.80


@pytest.mark.parametrize(
    ("way", "torque", "read_as", "verdict"),
    [
        ("first_movement", 90.0, "moving", "not known"),  # the band is wider than ±5 %
        ("first_movement", 100.0, "stood", "not known"),
        ("first_movement", 125.0, "stood", "at least"),
        ("first_movement", 70.0, "moved", "less"),
        ("first_movement", 110.0, "moved", "not known"),
        ("first_movement", 120.0, "moving", "more"),
        ("first_movement", 120.0, "peak", "not known"),
        ("to_mark", 90.0, "moving", "not known"),
        ("breakaway", 65.0, "peak", "not known"),
        ("breakaway", 30.0, "peak", "less"),
        ("breakaway", 95.0, "peak", "more"),
    ],
)
def test_only_what_the_whole_band_says_is_said(
    way: Way, torque: float, read_as: ReadAs, verdict: str
) -> None:
    assert audit(way, torque, u_rel=0.02, read_as=read_as, **LIMITS).verdict == verdict


def test_a_wide_tolerance_can_be_held() -> None:
    found = audit("first_movement", 90.0, u_rel=0.02, read_as="moving", low=75.0, high=105.0)
    assert found.verdict == "holds"


@given(
    way=st.sampled_from(WAYS),
    read_as=st.sampled_from(READ_AS),
    torque=st.floats(1, 500),
    u_rel=st.floats(0, 0.2),
)
def test_a_band_holds_its_reading_and_less_certainty_never_narrows_it(
    way: Way, read_as: ReadAs, torque: float, u_rel: float
) -> None:
    if not fits(way, read_as):
        return
    found = audit(way, torque, u_rel=u_rel, read_as=read_as, low=None, high=None)
    wider = audit(way, torque, u_rel=min(0.2, u_rel + 0.02), read_as=read_as, low=None, high=None)
    low, high = found.torque.low or 0.0, found.torque.high or math.inf
    assert low <= torque * (1 / 0.55 if way == "breakaway" else 1) <= high
    assert (wider.torque.low or 0.0) <= low
    assert (wider.torque.high or math.inf) >= high
    assert found.verdict == "not known"


def test_the_clamp_load_takes_in_the_whole_friction() -> None:
    found = audit(
        "first_movement", 45.0, u_rel=0.02, read_as="moving", **LIMITS, fastening=BOLT,
        friction=(0.08, 0.16),
    )  # fmt: skip
    assert found.clamp is not None
    assert found.clamp.low is not None
    assert found.clamp.high is not None
    assert found.clamp.low < 22_500  # 5 % point of a certain torque, see clamp_bands
    assert found.clamp.high > 37_000
    loose = audit(
        "to_mark", 45.0, u_rel=0.02, read_as="moving", **LIMITS,
        fastening=replace(BOLT, clamp_rate=None), friction=(0.08, 0.16),
    )  # fmt: skip
    stiff = audit(
        "to_mark", 45.0, u_rel=0.02, read_as="moving", **LIMITS, fastening=BOLT,
        friction=(0.08, 0.16),
    )  # fmt: skip
    assert (stiff.torque.high or 0) > (loose.torque.high or 0)


@pytest.mark.parametrize("way", ["first_movement", "to_mark"])
def test_never_by_turning_on_after_an_angle(way: str) -> None:
    with pytest.raises(Refused, match="not by turning on: it was tightened by angle"):
        check_way(way, "moving", [TORQUE, ANGLE])
    assert check_way(way, "moving", [TORQUE]) == way
    assert check_way("breakaway", "peak", [TORQUE, ANGLE]) == "breakaway"


@pytest.mark.parametrize(
    ("way", "read_as", "said"),
    [
        ("by_ear", "moving", "is none of"),
        ("first_movement", "guessed", "is none of"),
        ("to_mark", "peak", "read while it turns"),
        ("breakaway", "moving", "the highest reading counts"),
    ],
)
def test_what_does_not_go_together_is_told(way: str, read_as: str, said: str) -> None:
    with pytest.raises(Refused, match=said):
        check_way(way, read_as, [TORQUE])


@pytest.mark.parametrize(("torque", "u_rel"), [(0.0, 0.1), (-3.0, 0.1), (math.nan, 0.1), (9, 0.3)])
def test_what_is_no_torque_is_told(torque: float, u_rel: float) -> None:
    with pytest.raises(OutOfRange):
        audit("first_movement", torque, u_rel=u_rel, read_as="moving", **LIMITS)


def test_every_way_says_what_it_cannot_tell_and_where_that_is_from() -> None:
    assert set(audit_ways()) == set(WAYS)
    for one in audit_ways().values():
        assert str(one.cannot)
        assert "trade practice 7" in one.source
    found = audit("first_movement", 50, u_rel=0.02, read_as="peak", **LIMITS, earlier=2)
    said = " ".join(str(reason) for reason in found.reasons)
    assert "23 % less (ours, no source)" in said
    assert "2 times before: each steps the tension upward" in said
