"""Bands: against exact quadrature, against random samples, and against linear propagation."""

import math
from collections.abc import Callable
from dataclasses import replace
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.polynomial.hermite_e import hermegauss
from scipy.optimize import brentq
from scipy.special import ndtr

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.joint import _quadrature
from clampwright.joint._inputs import Inputs
from clampwright.joint.band import ClampBand, clamp_bands
from clampwright.joint.friction_range import FrictionRange
from clampwright.joint.model import Fastening
from clampwright.joint.torque_angle import Step, follow
from clampwright.joint.torque_tension import torque_shares
from clampwright.joint.uncertainty import clamp_u_rel, nut_factor_u_rel

BOLT = Fastening(
    d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63, bearing_inner=11,
    yield_stress=940, clamp_rate=829.66, plastic_length=22, tangent_modulus=2050,
)  # fmt: skip
OILED = (0.08, 0.16)
Z975 = NormalDist().inv_cdf(0.975)


def one(steps: list[Step], bolt: Fastening = BOLT, **more: Any) -> ClampBand:
    given: dict[str, Any] = {"friction": OILED, "torque_u_rel": 0.025} | more
    return clamp_bands(bolt, steps, **given)[-1]


def arm(mu_thread: Any, mu_bearing: Any) -> Any:
    return 1.5 / (2 * math.pi) + 9.0257 * mu_thread / math.sqrt(3) + 12.815 * mu_bearing / 2


def exact_points(share: float, u_torque: float, correlation: float) -> float:
    """Quantile of T (1 + u z) / arm by dense Gauss quadrature over both frictions."""
    z = np.linspace(-7.0, 7.0, 701)  # the trapezoid rule, finer than the narrowest wrench
    w = np.exp(-0.5 * z**2)
    w = w / w.sum()
    spread = math.log(2.0) / 2.0 / Z975
    middle = math.sqrt(0.08 * 0.16)
    a, b = np.meshgrid(z, z, indexing="ij")
    thread = middle * np.exp(spread * a)
    bearing = middle * np.exp(spread * (correlation * a + math.sqrt(1 - correlation**2) * b))
    lever, weight = arm(thread, bearing), np.outer(w, w)

    def excess(clamp: float) -> float:
        return float((weight * ndtr((clamp * lever / 45_000.0 - 1) / u_torque)).sum() - share)

    return float(brentq(excess, 5e3, 1e5, xtol=1e-6))


@pytest.mark.parametrize("correlation", [1.0, 0.5, 0.0])
@pytest.mark.parametrize("u_torque", [0.01, 0.025, 0.1])
@pytest.mark.no_cover
def test_torque_step_agrees_with_dense_quadrature_to_one_in_ten_thousand(
    correlation: float, u_torque: float
) -> None:
    band = one([Step("torque", 45)], torque_u_rel=u_torque, correlation=correlation)
    assert band.p05 == pytest.approx(exact_points(0.05, u_torque, correlation), rel=1e-4)
    assert band.p95 == pytest.approx(exact_points(0.95, u_torque, correlation), rel=1e-4)


def turned_on_exactly(share: float, torque: float, angle: float, u_angle: float) -> float:
    """Quantile of the clamp load after a torque and an angle, from mechanics written out again.

    Dense trapezoid rule over friction, stiffness and angle; what the wrench (2.5 %) does is exact:
    the torque step's clamp load that just gives x is found, and the normal distribution asked.
    """
    fine = (131, 41) if u_angle else (261, 61)  # three dimensions are held to less
    mu_z, others = np.linspace(-6.5, 6.5, fine[0]), np.linspace(-6.0, 6.0, fine[1])
    turn_z = others if u_angle else np.zeros(1)
    z, rate_z, turn_z = np.meshgrid(mu_z, others, turn_z, indexing="ij")
    weight = np.exp(-0.5 * (z**2 + rate_z**2 + turn_z**2))
    weight /= weight.sum()
    mu = math.sqrt(0.08 * 0.16) * np.exp(math.log(2.0) / 2.0 / Z975 * z)
    rate = 829.66 * (1 + 0.05 * rate_z)
    turn = angle + u_angle * turn_z
    thread = 1.5 / (2 * math.pi) + 9.0257 * mu / math.sqrt(3)
    k = thread * 12.0 / math.sqrt(57.99 * 4 / math.pi) ** 3 / math.pi * 57.99
    onset = 940 * 57.99 / np.sqrt(1 + 3 * k**2)
    softening = 22 * (1 / 2050 - 1 / 205_000) / 57.99
    plastic = 1 / (1 / rate + 360 / 1.5 * softening)

    def excess(clamp: float) -> float:
        through_yield = onset + (clamp - onset) * rate / plastic - rate * turn
        before = np.where(
            clamp <= onset, clamp - rate * turn,
            np.where(through_yield <= onset, through_yield, clamp - plastic * turn),
        )  # fmt: skip
        return float((weight * ndtr((before * arm(mu, mu) / (1e3 * torque) - 1) / 0.025)).sum()
                     - share)  # fmt: skip

    return float(brentq(excess, 5e3, 8e4, xtol=1e-5))


@pytest.mark.parametrize(("torque", "angle"), [(20.0, 25.0), (30.0, 35.0), (30.0, 90.0),
                                               (62.0, 30.0)])  # fmt: skip
@pytest.mark.parametrize(("u_angle", "error"), [(0.0, 1e-4), (2.0, 1e-3)])
@pytest.mark.no_cover
def test_three_inputs_agree_to_one_in_ten_thousand_and_four_to_one_in_a_thousand(
    torque: float, angle: float, u_angle: float, error: float
) -> None:
    band = one([Step("torque", torque), Step("angle", angle)], angle_u_deg=u_angle)
    for share, found in ((0.05, band.p05), (0.95, band.p95)):
        exact = turned_on_exactly(share, torque, angle, u_angle)
        assert found == pytest.approx(exact, rel=error)


def test_friction_alone_gives_the_points_of_its_own_distribution() -> None:
    band = one([Step("torque", 45)], torque_u_rel=0.0)
    spread = math.log(2.0) / 2.0 / Z975
    for found, z in ((band.p05, 1.6448536), (band.p95, -1.6448536)):
        mu = math.sqrt(0.08 * 0.16) * math.exp(spread * z)
        assert found == pytest.approx(45_000 / arm(mu, mu), rel=5e-5)


def sampled(count: int, steps: list[Step], *, u_torque: float, u_angle: float) -> Any:
    """Plain Monte Carlo through the public `follow`, one fastener at a time."""
    rng = np.random.default_rng(20260101)
    spread, middle = math.log(2.0) / 2.0 / Z975, math.sqrt(0.08 * 0.16)
    mu = middle * np.exp(spread * rng.standard_normal(count))
    torque = 1 + u_torque * rng.standard_normal(count)
    turns = rng.standard_normal((len(steps), count))
    found = np.empty(count)
    for k in range(count):
        mine = [
            Step(s.kind, s.value * torque[k] if s.kind == "torque" and s.value else
                 None if s.value is None else s.value + u_angle * turns[j, k])
            for j, s in enumerate(steps)
        ]  # fmt: skip
        found[k] = follow(BOLT, mine, mu_thread=mu[k], mu_bearing=mu[k])[-1].clamp
    return found


@pytest.mark.parametrize(
    "steps",
    [
        [Step("torque", 70)],
        [Step("torque", 30), Step("angle", 35)],
        [Step("torque", 45), Step("loosen"), Step("torque", 30), Step("angle", 90)],
        [Step("torque", 45), Step("loosen", 20), Step("angle", 10)],
    ],
    ids=["into yield", "to the knee", "loosen between", "partly back"],
)
@pytest.mark.no_cover
def test_agrees_with_seeded_random_samples(steps: list[Step]) -> None:
    count = 3000
    found = sampled(count, steps, u_torque=0.025, u_angle=2.0)
    band = one(steps, angle_u_deg=2.0, rate_u_rel=0.0)
    # Standard errors of a sample: u/√n for the mean; for a quantile √(p q/n) over the density.
    assert band.mean == pytest.approx(found.mean(), abs=4 * found.std() / math.sqrt(count))
    assert band.u == pytest.approx(found.std(), rel=0.08)
    for share, mine in ((0.05, band.p05), (0.95, band.p95)):
        assert np.mean(found <= mine) == pytest.approx(share, abs=4 * math.sqrt(0.0475 / count))


def test_many_inputs_agree_with_far_denser_nodes(monkeypatch: pytest.MonkeyPatch) -> None:
    def ask() -> list[ClampBand]:
        return clamp_bands(
            BOLT,
            [Step("torque", 45), Step("loosen"), Step("torque", 30), Step("angle", 30),
             Step("angle", 60)],
            friction=(0.08, 0.16, 0.10), torque_u_rel=0.025, angle_u_deg=2.0, correlation=0.5,
            yield_u_rel=0.03,
        )  # fmt: skip

    usual = ask()
    _quadrature.outer.cache_clear()
    monkeypatch.setattr(_quadrature, "LATTICE_POINTS", 1 << 13)
    dense = ask()
    _quadrature.outer.cache_clear()
    for mine, theirs in zip(usual, dense, strict=True):
        assert mine.p05 == pytest.approx(theirs.p05, rel=1e-3)
        assert mine.p95 == pytest.approx(theirs.p95, rel=1e-3)


def test_small_uncertainties_give_the_linear_law() -> None:
    # JCGM 100: where everything is nearly linear the distribution must come to the same.
    small = 0.01
    mu = 0.12
    ends = (mu * math.exp(-Z975 * small), mu * math.exp(Z975 * small))
    for correlation in (0.0, 0.5, 1.0):
        band = one([Step("torque", 40)], friction=ends, torque_u_rel=0.01, correlation=correlation)
        shares = torque_shares(
            P=1.5, d2=9.0257, bearing_diameter=12.815, mu_thread=mu, mu_bearing=mu
        )
        u = clamp_u_rel(
            torque=40, torque_u_rel=0.01,
            nut_factor_u_rel=nut_factor_u_rel(
                shares, mu_thread_u_rel=small, mu_bearing_u_rel=small, correlation=correlation
            ),
        )  # fmt: skip
        assert band.u / band.nominal == pytest.approx(float(u), rel=5e-4)
        assert band.p95 - band.p05 == pytest.approx(2 * 1.64485 * band.u, rel=2e-3)


def test_elastic_angle_gives_the_linear_law() -> None:
    ends = (0.12 * math.exp(-Z975 * 0.01), 0.12 * math.exp(Z975 * 0.01))
    band = one(
        [Step("torque", 12), Step("angle", 20)], friction=ends, torque_u_rel=0.02, angle_u_deg=0.5,
        rate_u_rel=0.02,
    )  # fmt: skip
    snug = one([Step("torque", 12)], friction=ends, torque_u_rel=0.02)
    linear = math.sqrt(snug.u**2 + (829.66 * 0.5) ** 2 + (20 * 829.66 * 0.02) ** 2)
    assert band.u == pytest.approx(linear, rel=1e-3)
    by_key = {part.key: part.u for part in band.contributions}
    assert by_key["angle"] == pytest.approx(829.66 * 0.5, rel=1e-3)
    assert by_key["stiffness"] == pytest.approx(20 * 829.66 * 0.02, rel=1e-3)


@settings(max_examples=25)
@given(
    torque=st.floats(10, 90), angle=st.floats(5, 200), low=st.floats(0.05, 0.2),
    width=st.floats(1.05, 2.5), u=st.floats(0.0, 0.05),
)  # fmt: skip
def test_a_band_holds_its_median_and_is_the_same_twice(
    torque: float, angle: float, low: float, width: float, u: float
) -> None:
    def ask() -> list[ClampBand]:
        return clamp_bands(
            BOLT, [Step("torque", torque), Step("angle", angle)], friction=(low, low * width),
            torque_u_rel=u, angle_u_deg=1.0,
        )  # fmt: skip

    bands = ask()
    assert bands == ask()
    for band in bands:
        assert band.p05 < band.nominal < band.p95
        assert band.torque_p05 <= band.torque_nominal <= band.torque_p95
        assert band.u > 0.0
        assert band.yield_probability is not None
        assert 0.0 <= band.yield_probability <= 1.0
        assert band.yielded == (band.yield_probability > 0.5) or (
            0.3 < band.yield_probability < 0.7
        )
    assert (bands[1].yield_probability or 0) >= (bands[0].yield_probability or 0) - 1e-9


def test_wider_ranges_give_wider_bands() -> None:
    steps = [Step("torque", 40)]
    base = one(steps)
    for wider in ({"friction": (0.07, 0.18)}, {"torque_u_rel": 0.06}):
        other = one(steps, **wider)
        assert other.p95 - other.p05 > base.p95 - base.p05
    assert one(steps, correlation=0.0).u < base.u  # together is the safe assumption


def test_yield_before_the_torque_is_reached() -> None:
    # Exact: the torque at which it yields rises with friction; find the friction where they meet.
    band = one([Step("torque", 70)])
    z, w = hermegauss(200)
    w = w / w.sum()
    spread, middle = math.log(2.0) / 2.0 / Z975, math.sqrt(0.08 * 0.16)

    def onset(mu: float) -> float:
        return float(BOLT.yield_torque(mu_thread=mu, mu_bearing=mu))

    meets = [float(brentq(lambda mu, t=70 * (1 + 0.025 * e): onset(mu) - t, 1e-3, 0.9)) for e in z]
    shares = [NormalDist().cdf(math.log(mu / middle) / spread) for mu in meets]
    assert band.yield_probability == pytest.approx(float(np.dot(w, shares)), abs=1e-4)
    assert one([Step("torque", 20)]).yield_probability == 0.0
    assert one([Step("torque", 30), Step("angle", 120)]).yield_probability == pytest.approx(1.0)


def test_angle_past_yield_scatters_far_less_than_torque() -> None:
    by_torque = one([Step("torque", 60)])
    by_angle = one([Step("torque", 30), Step("angle", 90)], angle_u_deg=3.0)
    assert by_angle.u / by_angle.nominal < 0.4 * by_torque.u / by_torque.nominal


def test_the_largest_contribution_is_named() -> None:
    largest = one([Step("torque", 40)]).largest
    assert largest is not None
    assert (largest.key, str(largest.title)) == ("friction", "friction")
    measured = one([Step("torque", 40)], friction=(0.119, 0.121), torque_u_rel=0.05)
    assert measured.largest is not None
    assert measured.largest.key == "torque"
    turned = one([Step("torque", 8), Step("angle", 40)], friction=(0.119, 0.121), angle_u_deg=8.0)
    assert turned.largest is not None
    assert turned.largest.key == "angle"
    order = [part.u for part in one([Step("torque", 20), Step("angle", 30)]).contributions]
    assert order == sorted(order, reverse=True)


def test_a_loosened_fastener_is_certainly_loose() -> None:
    band = one([Step("torque", 40), Step("loosen")])
    assert (band.nominal, band.u, band.p05, band.p95) == (0.0, 0.0, 0.0, 0.0)
    assert band.contributions == ()
    assert band.largest is None


def test_each_step_may_have_its_own_wrench() -> None:
    steps = [Step("torque", 20), Step("torque", 40)]
    each = clamp_bands(BOLT, steps, friction=OILED, torque_u_rel=[0.1, 0.01])
    assert each[1].u == pytest.approx(one([Step("torque", 40)], torque_u_rel=0.01).u, rel=1e-3)
    assert each[0].u == pytest.approx(one([Step("torque", 20)], torque_u_rel=0.1).u, rel=1e-3)
    with pytest.raises(ClampwrightError, match="3 torque uncertainties for 2 steps"):
        clamp_bands(BOLT, steps, friction=OILED, torque_u_rel=[0.1, 0.1, 0.1])


def test_head_and_thread_may_have_their_own_range() -> None:
    apart = one([Step("torque", 40)], bearing_friction=(0.2, 0.3))
    assert apart.nominal == pytest.approx(
        40_000 / arm(math.sqrt(0.08 * 0.16), math.sqrt(0.2 * 0.3)), rel=1e-9
    )


def test_strength_scatters_what_yield_decides() -> None:
    steps = [Step("torque", 30), Step("angle", 120)]
    certain, scattered = one(steps), one(steps, yield_u_rel=0.04)
    assert scattered.u > certain.u
    assert any(part.key == "strength" for part in scattered.contributions)


def test_breaking_is_told_where_the_tensile_strength_is_known() -> None:
    known = replace(BOLT, tensile_strength=1040.0)
    assert one([Step("torque", 200)], known).break_probability == pytest.approx(1.0)
    assert one([Step("torque", 20)], known).break_probability == 0.0
    assert one([Step("torque", 20)]).break_probability is None
    between = one([Step("torque", 75)], known)
    assert between.break_probability is not None
    assert between.yield_probability is not None
    assert 0.0 < between.break_probability < between.yield_probability < 1.0


def test_without_strength_the_band_stands_and_yield_is_unknown() -> None:
    band = one([Step("torque", 40)], replace(BOLT, yield_stress=None))
    assert band.yielded is None
    assert band.yield_probability is None
    assert band.p05 == pytest.approx(one([Step("torque", 40)]).p05, rel=1e-9)


# --- the reading of a friction range ---


@given(low=st.floats(0.02, 0.3), width=st.floats(1.05, 3.0), part=st.floats(0.1, 0.9))
def test_a_range_has_its_ends_and_its_median_where_it_says(
    low: float, width: float, part: float
) -> None:
    high = low * width
    span = FrictionRange(low, high, low + part * (high - low))
    at = span.at(np.array([-Z975, 0.0, Z975]))
    assert at.tolist() == pytest.approx([low, span.median, high], rel=1e-7)
    z = np.linspace(-4, 4, 101)
    assert (np.diff(span.at(z)) > 0).all()


@pytest.mark.parametrize(
    ("friction", "error", "match"),
    [
        ((0.16, 0.08), OutOfRange, "friction high is 0.08; it must be greater than 0.16"),
        ((0.0, 0.1), OutOfRange, "friction low is 0"),
        ((0.1, 1.5), OutOfRange, "friction high is 1.5"),
        ((0.1, math.nan), OutOfRange, "friction high is nan"),
        ((0.1, 0.2, 0.3), OutOfRange, "friction typical is 0.3"),
        ((0.3, None), Missing, "no upper or lower end"),
        ((0.3, math.inf), Missing, "no upper or lower end"),
        ((0.1,), ClampwrightError, "not 1 numbers"),
    ],
)
def test_a_bad_range_is_refused(friction: Any, error: type[Exception], match: str) -> None:
    with pytest.raises(error, match=match):
        one([Step("torque", 40)], friction=friction)


@pytest.mark.parametrize(
    ("name", "value"),
    [("torque_u_rel", 0.3), ("torque_u_rel", -0.1), ("angle_u_deg", -1.0),
     ("angle_u_deg", math.nan),
     ("correlation", 1.5), ("rate_u_rel", 0.5), ("yield_u_rel", math.nan)],
)  # fmt: skip
def test_a_bad_uncertainty_is_refused_by_name(name: str, value: Any) -> None:
    with pytest.raises(OutOfRange, match=name):
        one([Step("torque", 40), Step("angle", 20)], **{name: value})


def test_a_torque_that_turns_nothing_is_refused() -> None:
    with pytest.raises(OutOfRange, match="greater than 5 N·m"):
        one([Step("torque", 4)], replace(BOLT, prevailing_torque=5.0))


# --- the quadrature itself ---


@pytest.mark.parametrize("count", [0, 1, 2, 3, 5, 12])
def test_outer_nodes_have_the_moments_of_the_normal_distribution(count: int) -> None:
    z, weight = _quadrature.outer(count)
    assert z.shape[0] == count
    assert weight.sum() == pytest.approx(1.0)
    for row in z:
        assert row @ weight == pytest.approx(0.0, abs=1e-9)
        assert row**2 @ weight == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize(
    "curve", [lambda z: z, lambda z: np.exp(0.3 * z), lambda z: np.maximum(z, -1.0)]
)
def test_quantile_of_one_variable_is_its_image(curve: Callable[[Any], Any]) -> None:
    values = curve(_quadrature.inner().z)[:, None]
    for share in (0.05, 0.5, 0.95):
        found = _quadrature.quantile(values, np.ones(1), share)
        assert found == pytest.approx(float(curve(NormalDist().inv_cdf(share))), abs=2e-3)


def test_share_above_counts_parts_of_cells_up_and_down() -> None:
    z = _quadrature.inner().z[:, None]
    inside = _quadrature.share_above(-np.abs(z), -1.0, np.ones(1))
    assert inside == pytest.approx(0.6826895, abs=1e-3)
    assert _quadrature.share_above(z, 10.0, np.ones(1)) == 0.0
    assert _quadrature.share_above(z, -10.0, np.ones(1)) == pytest.approx(1.0)


@pytest.mark.soak
def test_seven_inputs_agree_with_millions_of_random_samples() -> None:
    steps = (Step("torque", 30.0), Step("angle", 20.0), Step("angle", 15.0))
    span = FrictionRange(0.08, 0.16)
    inputs = Inputs(BOLT, steps, span, span, 0.5, (0.025,) * 3, 3.0, 0.05, 0.03)
    rng = np.random.default_rng(1)
    points = []
    for _ in range(6):
        drawn = {axis: rng.standard_normal(1_500_000) for axis in inputs.axes()}
        points.append(np.quantile(inputs.walk(drawn)[-1]["clamp"], (0.05, 0.95)))
    low, high = np.mean(points, axis=0)
    band = one(
        list(steps), angle_u_deg=3.0, correlation=0.5, yield_u_rel=0.03, friction=(0.08, 0.16)
    )
    assert band.p05 == pytest.approx(low, rel=1e-3)
    assert band.p95 == pytest.approx(high, rel=1e-3)
