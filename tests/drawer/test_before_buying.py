"""What to look at before buying, borrowing or pulling; and what keeping a wrench costs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer.before_buying import (
    MOMENTS,
    Costs,
    all_looks,
    calibrate_or_replace,
    looks_for,
    minute_of,
    open_looks,
)
from clampwright.drawer.tools import WRENCHES
from clampwright.errors import OutOfRange, Refused


def test_a_used_one_must_also_suit_the_work() -> None:
    new = {one.key for one in looks_for("new", "click")}
    for moment in ("used", "borrowed"):
        assert new < {one.key for one in looks_for(moment, "click")}
    assert not new & {one.key for one in looks_for("job", "click")}


def test_each_kind_gets_its_own() -> None:
    assert "engraving" in {one.key for one in looks_for("used", "beam")}
    assert "engraving" not in {one.key for one in looks_for("used", "click")}
    assert "wound" not in {one.key for one in looks_for("used", "electronic")}


@pytest.mark.parametrize("kind", sorted(WRENCHES))
def test_the_check_before_a_job_takes_a_minute(kind: str) -> None:
    assert 0 < minute_of(kind) <= 60


def test_what_is_left_open() -> None:
    assert [one.key for one in open_looks("beam", ["look", "zero"])] == ["date", "socket"]
    assert open_looks("beam", [one.key for one in looks_for("job", "beam")]) == ()


def test_every_row_has_reason_and_source() -> None:
    assert all(str(one.say) and str(one.why) and one.source for one in all_looks())
    assert {one.moment for one in all_looks()} == set(MOMENTS)
    assert all(set(one.kinds) <= WRENCHES for one in all_looks())


def test_what_does_not_exist_is_refused() -> None:
    with pytest.raises(Refused, match="'later' is none of new, used, borrowed, job"):
        looks_for("later")
    with pytest.raises(Refused, match="'hammer' is no kind of wrench"):
        looks_for("job", "hammer")
    with pytest.raises(Refused, match="'fly' is no part of the check of a beam wrench"):
        open_looks("beam", ["fly"])


def test_costs_by_hand() -> None:
    """By hand: 5 years, yearly: 60 now and 4 later = 300, 60 a year; new: 180 + 9 x 60, 72."""
    found = calibrate_or_replace(Costs(60.0, 180.0, old_lasts=5.0, new_lasts=10.0))
    assert (found.keep, found.replace) == pytest.approx((60.0, 72.0))
    # With 40 repair and one in four unfit: (40 + 60 + 240 + 0.25 x 180) / 5 = 77.
    worn = Costs(60.0, 180.0, repair=40.0, chance=0.25, old_lasts=5.0, new_lasts=10.0)
    assert calibrate_or_replace(worn).keep == pytest.approx(77.0)
    assert "a new one is cheaper by 5 a year" in str(calibrate_or_replace(worn).words)
    close = calibrate_or_replace(Costs(70.0, 70.0, old_lasts=5.0, new_lasts=5.0))
    assert "no difference that matters" in str(close.words)


@given(
    st.floats(0, 500), st.floats(0, 2000), st.floats(0, 1), st.floats(0.25, 30), st.floats(1, 60)
)
def test_against_a_count_year_by_year(
    calibration: float, new: float, chance: float, years: float, months: float
) -> None:
    """Second method: every payment of the kept wrench's life, added up."""
    costs = Costs(calibration, new, chance=chance, every_months=months, old_lasts=years)
    later = max(years * 12 / months - 1, 0)
    paid = calibration + chance * new + later * calibration
    assert calibrate_or_replace(costs).keep == pytest.approx(paid / years)


@pytest.mark.parametrize(
    "wrong", [{"calibration": -1.0}, {"new": float("nan")}, {"chance": 1.5}, {"old_lasts": 0.0}]
)
def test_costs_that_cannot_be(wrong: dict[str, float]) -> None:
    with pytest.raises(OutOfRange, match="it lies between"):
        Costs(**{"calibration": 60.0, "new": 180.0, **wrong})
