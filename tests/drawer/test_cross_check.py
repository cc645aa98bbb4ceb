"""A tool against a trusted one: importance, significance, what the pairs cannot show; over time."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace
from typing import Any

import pytest

from clampwright.drawer import Calibration, Point, Scale, Tool
from clampwright.drawer.belongings import TestDevice
from clampwright.drawer.check_record import CheckRecord
from clampwright.drawer.check_series import check_series, series_for
from clampwright.drawer.cross_check import Trusted, compare, trusted_device, trusted_tool
from clampwright.drawer.happened import Happened
from clampwright.drawer.metrology.control import cusum, ewma
from clampwright.errors import ClampwrightError, Missing

DAY = dt.date(2026, 3, 1)
CLICK = Tool(
    "c", "Click", "click", "1/2 in", (Scale("N·m", 20, 100, 10, 0.5),),
    calibration=Calibration(DAY, (Point(20, -0.5, 0.005), Point(100, -0.5, 0.005))),
)  # fmt: skip
TRUSTED = Trusted("t", "Device", 0.0, 0.3)
PAIRS = [(80.9, 80.2), (81.4, 80.7), (81.6, 80.6), (81.1, 80.3), (81.5, 80.5)]
"""Metrology notes 4.2 (invented there, computed)."""


def test_the_worked_pairs_come_out_significant_but_unimportant() -> None:
    found = compare(CLICK, TRUSTED, PAIRS)
    assert found.difference is not None
    assert math.isclose(found.difference.mean, 0.84, abs_tol=1e-9)
    assert math.isclose(found.difference.t, 12.385124, abs_tol=5e-7)
    assert math.isclose(found.difference.p, 0.000244290, rel_tol=1e-5)
    assert found.verdict == "agrees"
    assert "too small to matter" in str(found.shows[1])
    assert any("both be wrong in the same way" in str(line) for line in found.cannot_show)


def test_the_known_deviation_of_the_trusted_one_is_taken_out() -> None:
    plain = compare(CLICK, TRUSTED, PAIRS)
    known = compare(CLICK, replace(TRUSTED, deviation=1.0), PAIRS)
    assert math.isclose(
        known.deviation - plain.deviation, 1.0 + 0.01 * plain.deviation, rel_tol=1e-6
    )


@pytest.mark.parametrize(
    ("factor", "verdict", "said"),
    [
        (1.0, "agrees", "inside"),
        (1.10, "off", "Take it out of use"),
        (1.035, "not known", "across"),
    ],
)
def test_the_verdict_is_the_interval_against_the_permissible(
    factor: float, verdict: str, said: str
) -> None:
    pairs = [(80.0 * factor + gap, 80.0) for gap in (-0.2, 0.1, 0.3, -0.1, 0.0)]
    pairs = [(round(one, 3), other) for one, other in pairs]
    found = compare(CLICK, TRUSTED, pairs)
    assert found.verdict == verdict
    assert said in str(found.shows[0])
    assert found.low < found.deviation < found.high


def test_correlation_makes_the_normalized_error_stricter() -> None:
    loose, strict = (compare(CLICK, TRUSTED, PAIRS, correlation=r) for r in (0.0, 0.5))
    assert abs(strict.normalized_error) > abs(loose.normalized_error)
    told = [str(line) for line in strict.cannot_show]
    assert not any("then say so (correlation)" in line for line in told), "said already"


def test_coarse_references_and_few_pairs_are_told() -> None:
    found = compare(CLICK, replace(TRUSTED, u=2.0), PAIRS[:2])
    told = " ".join(str(line) for line in found.cannot_show)
    assert "a test device would tell more" in told
    assert "2 pairs say little" in told
    assert "certificates can be right" in str(found.shows[2])
    assert found.difference is None
    assert "hide the scatter" in str(found.shows[1])


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"pairs": PAIRS[:1]}, "at least 2 are needed"),
        ({"pairs": [(200.0, 80.0), (80.0, 80.0)]}, "the first on the scale"),
        ({"pairs": [(80.0, -1.0), (80.0, 80.0)]}, "both must be above 0"),
        ({"pairs": [(30.0, 30.0), (90.0, 90.0)]}, "one torque at a time"),
        ({"direction": "ccw"}, "does not work in direction ccw"),
        ({"unit": "ft·lbf"}, "has no scale in ft·lbf"),
        ({"correlation": 2.0}, "correlation"),
    ],
)
def test_pairs_that_cannot_be_are_refused(given: dict[str, Any], said: str) -> None:
    pairs = given.pop("pairs", PAIRS)
    with pytest.raises(ClampwrightError, match=said):
        compare(CLICK, TRUSTED, pairs, **given)


def test_a_tool_in_doubt_vouches_for_none() -> None:
    good = trusted_tool(CLICK, 80.0, "N·m", "cw", today=DAY)
    assert (good.deviation, good.name) == (-0.5, "c")
    with pytest.raises(ClampwrightError, match="cannot vouch"):
        trusted_tool(
            replace(CLICK, doubts=(Happened("dropped", DAY),)), 80.0, "N·m", "cw", today=DAY
        )
    with pytest.raises(ClampwrightError, match="shows no torque"):
        trusted_tool(Tool("x", "Bar", "bar", "1/2 in"), 80.0, "N·m", "cw", today=DAY)
    for stale in (CLICK, replace(CLICK, calibration=None)):
        with pytest.raises(ClampwrightError, match="no calibration that holds today"):
            trusted_tool(stale, 80.0, "N·m", "cw", today=dt.date(2028, 1, 1))
    device = TestDevice("d", "Device", "1/2 in", "N·m", 1, 200, 0.1, u_rel=0.002)
    assert math.isclose(trusted_device(device).u, 0.2)
    with pytest.raises(Missing):
        trusted_device(replace(device, u_rel=None))


def checks(*deviations: float) -> list[CheckRecord]:
    return [
        CheckRecord(DAY + dt.timedelta(days=7 * n), "t", "N·m", ((80.0, 80.0),), value, 0.5, 0.1,
                    "agrees")
        for n, value in enumerate(deviations)
    ]  # fmt: skip


def test_the_series_is_that_of_the_published_charts() -> None:
    """Same sums and averages as `control.ewma` and `control.cusum`, which the handbook's tables
    check."""
    values = (0.1, -0.2, 0.3, 0.9, 1.1, 1.4, 1.2)
    series = check_series(checks(*values), target=0.0)
    assert [band.average for band in series.bands] == ewma(values, weight=0.3, start=0.0).tolist()
    sums = cusum(values, target=0.0, k=0.25, h=4.77 * 0.5)
    assert [band.sum_high for band in series.bands] == sums.high.tolist()
    assert [band.signals for band in series.bands][:3] == [()] * 3
    assert "average" in series.bands[-1].signals


def test_only_checks_at_one_torque_and_direction_are_charted() -> None:
    row = checks(0.1, 0.2, 0.1)
    other = replace(row[0], pairs=((30.0, 30.0),))
    assert len(check_series([other, *row]).bands) == 3
    with pytest.raises(Missing, match="a chart needs 3"):
        check_series([replace(one, direction="ccw") for one in row])
    assert series_for(CLICK, row).target == -0.5, "what the calibration says"
    assert series_for(replace(CLICK, calibration=None), row).target == pytest.approx(0.4 / 3)
