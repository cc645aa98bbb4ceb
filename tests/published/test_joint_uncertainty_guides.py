"""Law of propagation, Monte Carlo, straight-line fit and scatter against the guides' own examples.

Sources: JCGM 100:2008 (GUM) H.1, H.3 and table G.2; JCGM 101:2008 clause 9. Published values are
from memory of the guides unless said; every one was recomputed apart from this project.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from clampwright.distributions import coverage_factor
from clampwright.joint.line_fit import Line, fit_line
from clampwright.joint.monte_carlo import Sampled, law_validated, monte_carlo
from clampwright.joint.propagation import combined_u, propagate, truncated, welch_satterthwaite
from clampwright.joint.scatter import expected_minimum
from clampwright.joint.tightening_factor import (
    least_preload,
    published_scatter,
    tightening_factor,
)
from clampwright.joint.uncertain import (
    ArcSine,
    CurvilinearTrapezoid,
    Distribution,
    Normal,
    Rectangular,
    ScaledT,
)
from clampwright.joint.uncertainty import scatter_from_tightening_factor

Array = np.typing.NDArray[np.float64]

T_TABLE = """
1: 12.71 13.97 63.66
2: 4.30 4.53 9.92
3: 3.18 3.31 5.84
4: 2.78 2.87 4.60
5: 2.57 2.65 4.03
6: 2.45 2.52 3.71
7: 2.36 2.43 3.50
8: 2.31 2.37 3.36
9: 2.26 2.32 3.25
10: 2.23 2.28 3.17
16: 2.12 2.17 2.92
20: 2.09 2.13 2.85
50: 2.01 2.05 2.68
100: 1.984 2.025 2.626
"""


@pytest.mark.parametrize("line", T_TABLE.strip().splitlines())
def test_coverage_factors_of_the_guide(line: str) -> None:
    # Table G.2: 95 %, 95.45 %, 99 %.
    dof, figures = line.split(":")
    for coverage, printed in zip((0.95, 0.9545, 0.99), figures.split(), strict=True):
        digits = len(printed.split(".")[1])
        found = coverage_factor(coverage, float(dof))
        assert found == pytest.approx(float(printed), abs=0.51 * 10**-digits)


def test_end_gauge_components() -> None:
    # H.1: 25 (18), 9.7 (25.6), 2.9 (50), 16.6 (2) nm; published u 32 nm, ν_eff 16, U99 93 nm.
    u = [25, 9.7, 2.9, 16.6]
    combined = combined_u(u)
    assert combined == pytest.approx(31.671, abs=5e-4)
    assert round(combined) == 32
    dof = welch_satterthwaite(u, [18, 25.6, 50, 2])
    assert dof == pytest.approx(16.7, abs=0.1)
    assert truncated(dof) == 16
    factor = coverage_factor(0.99, truncated(dof))
    assert factor == pytest.approx(2.92, abs=0.005)
    assert round(factor * 32) == 93
    assert factor * combined == pytest.approx(92.50, abs=0.01)


def test_end_gauge_difference() -> None:
    # u(d) 9.7 nm with 25.6 degrees of freedom from 5.8 (24), 3.9 (5), 6.7 (8).
    u = [5.8, 3.9, 6.7]
    assert combined_u(u) == pytest.approx(9.682, abs=5e-4)
    # The guide takes its own rounded 9.7 on top: 25.64. Unrounded it is 25.45.
    dof = welch_satterthwaite(u, [24, 5, 8])
    assert dof * (9.7 / combined_u(u)) ** 4 == pytest.approx(25.64, abs=5e-3)
    assert dof == pytest.approx(25.6, abs=0.2)


END_GAUGE: dict[str, Distribution] = {
    "ls": Normal(50_000_623, 25, 18),
    "d": Normal(215, 9.7, 25.6),
    "da": Normal(0, 0.58e-6, 50),
    "th": Normal(-0.1, 0.41),
    "a": Normal(11.5e-6, 1.2e-6),
    "dt": Normal(0, 0.029, 2),
}


def end_gauge(**x: float) -> float:
    return x["ls"] + x["d"] - x["ls"] * (x["da"] * x["th"] + x["a"] * x["dt"])


def test_end_gauge_by_the_law_of_propagation() -> None:
    found = propagate(end_gauge, END_GAUGE)
    assert found.value == pytest.approx(50_000_838, abs=0.5)
    assert found.u == pytest.approx(32, abs=0.5)
    assert found.dof is not None
    assert math.floor(found.dof) == 16
    assert found.expanded(0.99) == pytest.approx(93, abs=0.8)  # 93 from u rounded to 32
    assert found.parts[0].name == "ls"


def test_end_gauge_with_terms_of_second_order() -> None:
    # Published 34 nm; 33.87 with the rounded components.
    found = propagate(end_gauge, END_GAUGE, second_order=True)
    assert found.u == pytest.approx(34, abs=0.5)


TEMPERATURE = [
    "21.521",
    "22.012",
    "22.512",
    "23.003",
    "23.507",
    "23.999",
    "24.513",
    "25.002",
    "25.503",
    "26.010",
    "26.511",
]
CORRECTION = [
    "-0.171",
    "-0.169",
    "-0.166",
    "-0.159",
    "-0.164",
    "-0.165",
    "-0.156",
    "-0.157",
    "-0.159",
    "-0.161",
    "-0.160",
]


def thermometer(reference: float = 20.0) -> Line:
    """H.3, thermometer calibration."""
    t, b = (np.array([float(x) for x in text]) for text in (TEMPERATURE, CORRECTION))
    return fit_line(t, b, x0=reference)


def test_thermometer_line() -> None:
    line = thermometer()
    assert line.intercept == pytest.approx(-0.1712, abs=5e-5)
    assert line.u_intercept == pytest.approx(0.0029, abs=5e-5)
    assert line.slope == pytest.approx(0.00218, abs=5e-6)
    assert line.u_slope == pytest.approx(0.00067, abs=5e-6)
    assert line.correlation == pytest.approx(-0.930, abs=5e-4)
    assert line.residual_s == pytest.approx(0.0035, abs=5e-5)
    assert line.dof == 9
    value, u = line.at(30.0), line.u_at(30.0)
    assert value == pytest.approx(-0.1494, abs=5e-5)
    assert u == pytest.approx(0.0041, abs=5e-5)


def test_thermometer_line_to_more_places() -> None:
    line = thermometer()
    found = (line.intercept, line.u_intercept, line.slope, line.u_slope, line.correlation)
    computed = (-0.17120379013135, 0.0028776, 0.00218269774, 0.00066793877, -0.9304296)
    for value, printed in zip(found, computed, strict=True):
        assert value == pytest.approx(printed, rel=2e-5)
    assert line.slope / line.u_slope == pytest.approx(3.268, abs=5e-4)
    at_30, u = line.at(30.0), line.u_at(30.0)
    assert at_30 == pytest.approx(-0.1493768127, rel=1e-8)
    assert u == pytest.approx(0.0041385958, rel=1e-7)


def test_reference_near_the_data_takes_the_correlation_away() -> None:
    # H.3.6: at the mean temperature intercept and slope are uncorrelated.
    line = thermometer(float(np.mean([float(x) for x in TEMPERATURE])))
    assert line.correlation == pytest.approx(0.0, abs=1e-12)
    assert line.u_at(30.0) == pytest.approx(thermometer().u_at(30.0))


def four(given: Distribution) -> Sampled:
    return monte_carlo(
        lambda a, b, c, d: a + b + c + d,
        dict.fromkeys("abcd", given),
        seed=20_260_801,
        samples=1_000_000,
    )


def test_sum_of_four_normal_inputs() -> None:
    # JCGM 101, 9.2.2: u 2.0, 95 % ±3.92.
    found = four(Normal(0, 1))
    assert found.u == pytest.approx(2.0, abs=0.005)
    low, high = found.symmetric()
    assert (-low, high) == pytest.approx((3.92, 3.92), abs=0.015)
    law = propagate(lambda a, b, c, d: a + b + c + d, dict.fromkeys("abcd", Normal(0, 1)))
    assert law.u == pytest.approx(2.0, abs=1e-9)
    assert law.expanded() == pytest.approx(3.92, abs=0.005)


def test_sum_of_four_rectangular_inputs() -> None:
    # 9.2.3: exact ±2√3 (2 − 0.6^¼) = ±3.879407; the law of propagation gives 3.92.
    root = math.sqrt(3)
    found = four(Rectangular(-root, root))
    assert found.u == pytest.approx(2.0, abs=0.005)
    exact = 2 * root * (2 - 0.6**0.25)
    assert exact == pytest.approx(3.88, abs=0.005)
    low, high = found.symmetric()
    assert (-low, high) == pytest.approx((exact, exact), abs=0.015)
    # An even distribution: the shortest interval is as wide as the symmetric one.
    first, last = found.shortest()
    assert last - first == pytest.approx(2 * exact, abs=0.02)


MASS: dict[str, Distribution] = {
    "mR": Normal(100_000.000, 0.050),
    "dR": Normal(1.234, 0.020),
    "air": Rectangular(1.10, 1.30),
    "W": Rectangular(7000, 9000),
    "R": Rectangular(7950, 8050),
}


def mass(mR: Array, dR: Array, air: Array, W: Array, R: Array) -> Array:
    """JCGM 101, 9.3: difference from nominal mass, mg."""
    return (mR + dR) * (1 + (air - 1.2) * (1 / W - 1 / R)) - 100_000


def test_mass_calibration_by_the_law() -> None:
    first = propagate(mass, MASS)
    assert first.value == pytest.approx(1.2340, abs=5e-5)
    assert first.u == pytest.approx(0.0538516, abs=5e-8)
    assert first.interval() == pytest.approx((1.1285, 1.3395), abs=5e-5)


def test_mass_calibration_with_terms_of_second_order() -> None:
    second = propagate(mass, MASS, second_order=True)
    assert second.u == pytest.approx(0.0750, abs=5e-5)
    assert second.u == pytest.approx(0.0749630, abs=4e-6)
    assert second.interval() == pytest.approx((1.0870, 1.3810), abs=1e-4)


def test_mass_calibration_by_sampling() -> None:
    found = monte_carlo(mass, MASS, seed=3, samples=2_000_000)
    assert found.value == pytest.approx(1.2341, abs=3e-4)
    assert found.u == pytest.approx(0.0754, abs=3e-4)
    # The published interval is the shortest one, whose place wobbles with the samples.
    low, high = found.shortest()
    assert high - low == pytest.approx(0.2991, abs=1.5e-3)
    assert found.symmetric() == pytest.approx((1.0844, 1.3835), abs=1.5e-3)
    first, second = propagate(mass, MASS), propagate(mass, MASS, second_order=True)
    assert not law_validated(first.interval(), found.symmetric(), u=found.u, digits=1)
    assert law_validated(second.interval(), found.symmetric(), u=found.u, digits=1)


def test_end_gauge_by_sampling() -> None:
    # 9.5: published u 36 nm against 32 nm by the law; computed mean 838.01, u 35.83, 99 %
    # symmetric 744.3 to 931.7 nm.
    inputs: dict[str, Distribution] = {
        "ls": ScaledT(623, 25, 18),
        "D": ScaledT(215, 6, 24),
        "d1": ScaledT(0, 4, 5),
        "d2": ScaledT(0, 7, 8),
        "a": Rectangular(9.5e-6, 13.5e-6),
        "t0": Normal(-0.1, 0.2),
        "swing": ArcSine(-0.5, 0.5),
        "da": CurvilinearTrapezoid(-1e-6, 1e-6, 0.1e-6),
        "dt": CurvilinearTrapezoid(-0.050, 0.050, 0.025),
    }

    def model(**x: Array) -> Array:
        length = 50_000_000 + x["ls"]
        bent = x["da"] * (x["t0"] + x["swing"]) + x["a"] * x["dt"]
        return x["ls"] + x["D"] + x["d1"] + x["d2"] - length * bent

    found = monte_carlo(model, inputs, seed=5, samples=1_000_000)
    assert found.value == pytest.approx(838.0, abs=0.2)
    assert found.u == pytest.approx(35.83, abs=0.15)
    assert round(found.u) == 36
    assert found.symmetric(0.99) == pytest.approx((744.3, 931.7), abs=1.5)


def test_least_of_eight() -> None:
    # Order statistics: −1.424.
    assert expected_minimum(8) == pytest.approx(-1.424, abs=5e-4)


@pytest.mark.parametrize(
    ("alpha", "percent"),
    [
        (1.2, "9.09"),
        (1.4, "16.67"),
        (1.6, "23.08"),
        (2.0, "33.33"),
        (2.5, "42.86"),
        (4.0, "60.00"),
    ],
)
def test_tightening_factor_and_percentage(alpha: float, percent: str) -> None:
    # VDI 2230-1 prints 9, 17, 23, 33, 43, 60 beside these factors.
    scatter = float(scatter_from_tightening_factor(alpha))
    assert scatter * 100 == pytest.approx(float(percent), abs=0.0051)
    assert tightening_factor(scatter) == pytest.approx(alpha)


def test_every_published_factor_fits_its_percentage() -> None:
    rows = [row for row in published_scatter() if row.alpha_high is not None]
    assert len(rows) == 7
    for row in rows:
        for alpha, scatter in (
            (row.alpha_low, row.scatter_low),
            (row.alpha_high, row.scatter_high),
        ):
            assert alpha is not None
            # One row rounds 9 to 10; all others meet the whole percent.
            assert float(scatter_from_tightening_factor(alpha)) == pytest.approx(scatter, abs=0.011)


@pytest.mark.parametrize(
    ("scheme", "method", "low", "high"),
    [
        ("Machinery's Handbook", "by feel", 0.35, 0.35),
        ("Machinery's Handbook", "torque wrench", 0.25, 0.25),
        ("Machinery's Handbook", "bolt elongation", 0.03, 0.05),
        ("Machinery's Handbook", "yield-point sensing", 0.08, 0.08),
        ("NASA NSTS 08307", "torque measurement, unlubricated", 0.35, 0.35),
        ("NASA NSTS 08307", "torque measurement, cadmium plated", 0.30, 0.30),
        ("NASA NSTS 08307", "hydraulic tensioner", 0.15, 0.15),
        ("VDI 2230:1986", "yield or angle controlled", 0.05, 0.12),
        ("VDI 2230:1986", "power driver", 0.26, 0.43),
    ],
)
def test_published_scatter(scheme: str, method: str, low: float, high: float) -> None:
    (row,) = [r for r in published_scatter() if (r.scheme, r.method) == (scheme, method)]
    assert (row.scatter_low, row.scatter_high) == (low, high)
    assert row.source


def test_least_preload_of_a_distributor_example() -> None:
    # M12 x 40 8.8: 41.9 kN, α_A 1.8: printed 23.3 kN. To 0.2 %.
    assert least_preload(41.9, alpha=1.8) == pytest.approx(23.3, rel=2e-3)


def test_twenty_dry_bolts() -> None:
    # Shigley, 9th ed., Table 8-13 (tests of Blake and Kurtz): mean 34.3, s 4.91 kN, to 0.2 %.
    text = """23.6 27.6 28 29.4 30.3 30.7 32.9 33.8 33.8 33.8
              34.7 35.6 35.6 37.4 37.8 37.8 39.2 40 40.5 42.7"""
    clamps = np.array([float(x) for x in text.split()])
    assert clamps.mean() == pytest.approx(34.3, rel=2e-3)
    assert clamps.std(ddof=1) == pytest.approx(4.91, rel=2e-3)
    (row,) = [r for r in published_scatter() if r.method.startswith("20 unlubricated")]
    assert clamps.std(ddof=1) / clamps.mean() == pytest.approx(row.scatter_low, abs=5e-4)
