"""Outliers in small sets against outside figures.

Grubbs limits: formula, agreeing with the table in LibreTexts Analytical Chemistry, Appendix 7,
except two misprints there (n 7: 2.202, should be 2.020; n 15 at 0.01: 2.755, should be 2.806).
Example of eight masses: NIST/SEMATECH e-Handbook 1.3.5.17, from memory. The other sets were
computed apart from this project. Tolerance: half the last printed digit.
"""

from __future__ import annotations

import pytest

from clampwright.joint.outlier_limits import grubbs_limit, modified_z_limit
from clampwright.joint.outliers import grubbs, modified_z, quartiles, tukey_fences
from clampwright.standards.printed import half_last_digit

NIST = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
ANGLES = [92, 95, 91, 93, 94, 90, 92, 118, 93, 91]
TWO = [90, 91, 92, 91, 90, 92, 115, 116]


def meets(value: float, printed: str) -> None:
    assert float(value) == pytest.approx(float(printed), abs=1.001 * half_last_digit(printed))


@pytest.mark.parametrize(
    ("count", "five", "one"),
    [
        (3, "1.1543", "1.1547"),
        (4, "1.4813", "1.4962"),
        (5, "1.7150", "1.7637"),
        (6, "1.8871", "1.9728"),
        (8, "2.1266", "2.2744"),
        (10, "2.2900", "2.4821"),
        (12, "2.4116", "2.6357"),
        (16, "2.5857", "2.8521"),
    ],
)
def test_two_sided_grubbs_limits(count: int, five: str, one: str) -> None:
    meets(grubbs_limit(count), five)
    meets(grubbs_limit(count, alpha=0.01), one)


@pytest.mark.parametrize(
    ("count", "printed"),
    [(4, "1.4625"), (6, "1.8221"), (8, "2.0317"), (10, "2.1761"), (12, "2.2850")],
)
def test_one_sided_grubbs_limits(count: int, printed: str) -> None:
    meets(grubbs_limit(count, sides=1), printed)


def test_two_misprints_in_a_public_table() -> None:
    meets(grubbs_limit(7), "2.020")
    meets(grubbs_limit(15, alpha=0.01), "2.806")


def test_eight_masses() -> None:
    found = grubbs(NIST, side="high")
    meets(found.statistic, "2.468765")
    meets(found.limit, "2.0317")
    assert (found.number, found.outlier) == (8, True)
    meets(modified_z(NIST)[-1], "29.963")


def test_ten_angles_with_one_outlier() -> None:
    z = modified_z(ANGLES)
    meets(z[7], "11.47")
    found = grubbs(ANGLES)
    meets(found.statistic, "2.7992")
    meets(found.limit, "2.2900")
    assert found.outlier
    assert quartiles(ANGLES) == (91.25, 93.75)
    assert tukey_fences(ANGLES) == (87.5, 97.5)
    assert quartiles(ANGLES, rule="hinges") == (91, 94)


def test_two_outliers_hide_each_other_from_grubbs_only() -> None:
    found = grubbs(TWO)
    meets(found.statistic, "1.6601")
    assert not found.outlier
    z = modified_z(TWO)
    meets(z[6], "15.9")
    meets(z[7], "16.5")
    assert min(z[6], z[7]) > modified_z_limit(8).limit


def test_four_angles() -> None:
    found = grubbs([88, 90, 91, 110])
    meets(found.statistic, "1.4888")
    meets(found.limit, "1.4813")
    assert found.outlier
    z = modified_z([88, 90, 91, 110])[3]
    meets(z, "8.77")
    assert z > modified_z_limit(4).limit


@pytest.mark.parametrize(
    ("count", "limit"),
    [
        (4, 6.94),
        (5, 7.98),
        (6, 5.52),
        (8, 4.88),
        (10, 4.59),
        (12, 4.36),
        (16, 4.13),
        (20, 4.00),
        (24, 3.91),
    ],
)
def test_limits_for_small_sets(count: int, limit: float) -> None:
    # Simulation of 60,000 sets apart from this project: ±0.1.
    assert modified_z_limit(count).limit == pytest.approx(limit, abs=0.1)


@pytest.mark.parametrize(
    ("count", "percent"), [(4, 17), (5, 21), (6, 15), (8, 14), (10, 13), (12, 12), (20, 10)]
)
def test_false_alarms_of_the_usual_limit(count: int, percent: float) -> None:
    assert modified_z_limit(count).false_alarms * 100 == pytest.approx(percent, abs=0.7)
