"""Student's t, line fit, distributions, propagation and Monte Carlo: second methods, bad input."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from uncertainties import (  # type: ignore[import-untyped] # the package ships no types
    correlated_values,
    ufloat,
)
from uncertainties.umath import exp  # type: ignore[import-untyped] # same

from clampwright.distributions import coverage_factor, t_probability, t_quantile
from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.joint._checks import Floats
from clampwright.joint.line_fit import bend, fit_line
from clampwright.joint.monte_carlo import Sampled, law_validated, monte_carlo, numerical_tolerance
from clampwright.joint.propagation import combined_u, propagate, truncated, welch_satterthwaite
from clampwright.joint.torque_tension import clamp_from_torque, torque_shares
from clampwright.joint.uncertain import (
    ArcSine,
    CurvilinearTrapezoid,
    Distribution,
    LogNormal,
    Normal,
    Rectangular,
    ScaledT,
    Triangular,
)
from clampwright.joint.uncertainty import clamp_u_rel, nut_factor_u_rel


@pytest.mark.parametrize("dof", [0.5, 1, 1.5, 2, 3, 5, 10, 16, 30, 31, 100, 1e3, 1e5, 1e6])
def test_t_against_scipy(dof: float) -> None:
    for probability in (1e-9, 0.01, 0.4, 0.500001, 0.6, 0.9, 0.975, 0.995, 0.9995, 1 - 1e-9):
        wanted = stats.t.ppf(probability, dof)
        assert t_quantile(probability, dof) == pytest.approx(wanted, rel=1e-10, abs=1e-13)
    for t in (0.1, 1.0, 3.0, 30.0):
        assert t_probability(-t, dof) == pytest.approx(stats.t.sf(t, dof), rel=1e-10)


def test_t_with_many_degrees_is_normal() -> None:
    assert t_quantile(0.975, math.inf) == pytest.approx(1.959963984540054)
    assert t_quantile(0.975, 1e10) == t_quantile(0.975, math.inf)
    assert t_quantile(0.975, 1e8) == pytest.approx(1.95996400826, abs=3e-9)
    assert t_probability(-1.0, math.inf) == pytest.approx(stats.norm.sf(1.0))


@given(st.floats(0.001, 0.999), st.floats(0.5, 1e5))
def test_t_quantile_there_and_back(probability: float, dof: float) -> None:
    t = t_quantile(probability, dof)
    assert t_probability(t, dof) == pytest.approx(probability, rel=1e-9)
    assert t_quantile(1 - probability, dof) == pytest.approx(-t, rel=1e-9, abs=1e-9)


@given(st.integers(1, 200))
def test_more_degrees_need_a_smaller_factor(dof: int) -> None:
    assert coverage_factor(0.95, dof) > coverage_factor(0.95, dof + 1) > 1.9599


points = st.lists(
    st.tuples(st.floats(-100, 100), st.floats(-10, 10)), min_size=3, max_size=20
).filter(lambda p: np.ptp([x for x, _ in p]) > 1)


@given(points)
def test_line_against_numpy_polyfit(data: list[tuple[float, float]]) -> None:
    x, y = np.array(data).T
    line = fit_line(x, y)
    slope, intercept = np.polyfit(x, y, 1)
    scale = max(1.0, np.abs(y).max())
    assert line.slope == pytest.approx(slope, abs=1e-8 * scale)
    assert line.intercept == pytest.approx(intercept, abs=1e-6 * scale)


def test_line_against_linregress() -> None:
    rng = np.random.default_rng(3)
    x = rng.uniform(10, 50, 25)
    y = 3 + 0.4 * x + rng.normal(0, 1, 25)
    other = stats.linregress(x, y)
    line = fit_line(x, y)
    assert line.u_slope == pytest.approx(other.stderr)
    assert line.u_intercept == pytest.approx(other.intercept_stderr)
    low, high = line.interval(0.95)
    half = stats.t.ppf(0.975, 23) * other.stderr
    assert (low, high) == pytest.approx((other.slope - half, other.slope + half))


@given(st.floats(-1e5, 1e5))
def test_line_does_not_care_where_x_starts(shift: float) -> None:
    x, y = np.array([1.0, 2, 3, 4.5]), np.array([2.0, 2.9, 4.2, 5.4])
    here, there = fit_line(x, y), fit_line(x + shift, y, x0=shift)
    assert there.slope == pytest.approx(here.slope, rel=1e-9)
    assert there.intercept == pytest.approx(here.intercept, rel=1e-9)
    assert there.correlation == pytest.approx(here.correlation, rel=1e-6)


def test_bend_is_the_t_test_of_a_square() -> None:
    rng = np.random.default_rng(8)
    x = np.linspace(3, 17, 15)
    y = 2 + 0.3 * x + 0.01 * x**2 + rng.normal(0, 0.2, 15)
    base = np.column_stack([np.ones_like(x), x, x**2])
    found, rest, _, _ = np.linalg.lstsq(base, y, rcond=None)
    u = math.sqrt(float(rest[0]) / 12 * np.linalg.inv(base.T @ base)[2, 2])
    bent = bend(x, y)
    assert bent.curvature == pytest.approx(2 * found[2], rel=1e-6)
    assert bent.u_curvature == pytest.approx(2 * u, rel=1e-6)
    assert bent.significance == pytest.approx(2 * stats.t.sf(abs(found[2]) / u, 12), rel=1e-6)


def test_bend_without_scatter() -> None:
    x = np.arange(6.0)
    assert bend(x, 2 * x + 1).significance == 1.0
    assert bend(x, 2 * x + 1).departure == pytest.approx(0.0, abs=1e-12)
    bent = bend(x, x**2)
    assert bent.significance == 0.0
    assert bent.curvature == pytest.approx(2.0)


def test_false_alarms_of_the_bend_are_as_many_as_promised() -> None:
    rng = np.random.default_rng(5)
    x = np.arange(10.0)
    alarms = sum(bend(x, x + rng.normal(0, 1, 10)).significance < 0.05 for _ in range(800))
    assert alarms / 800 == pytest.approx(0.05, abs=0.025)


KINDS: list[Distribution] = [
    Normal(3, 2),
    LogNormal(0.12, 0.2),
    Rectangular(-1, 5),
    Triangular(-1, 5),
    ArcSine(-1, 5),
    CurvilinearTrapezoid(-1, 5, 1.2),
]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: type(kind).__name__)
def test_samples_have_the_stated_mean_and_spread(kind: Distribution) -> None:
    drawn = kind.sample(np.random.default_rng(1), 400_000)
    assert drawn.mean() == pytest.approx(kind.value, abs=5 * kind.u / 600)
    assert drawn.std() == pytest.approx(kind.u, rel=0.01)
    assert kind.dof == math.inf


def test_samples_of_t() -> None:
    kind = ScaledT(10, 2, 8)
    drawn = kind.sample(np.random.default_rng(1), 400_000)
    assert drawn.std() == pytest.approx(2 * math.sqrt(8 / 6), rel=0.02)
    assert (kind.value, kind.u, kind.dof) == (10, 2, 8)


@given(st.lists(st.floats(-100, 100), min_size=1, max_size=6))
def test_full_correlation_adds_plainly(u: list[float]) -> None:
    ones = np.ones((len(u), len(u)))
    assert combined_u(u, correlation=ones) == pytest.approx(abs(sum(u)), abs=1e-5)
    assert combined_u(u, correlation=np.eye(len(u))) == pytest.approx(combined_u(u))


def test_effective_degrees_lie_between() -> None:
    dof = welch_satterthwaite([1, 1], [5, 9])
    assert 5 < dof <= 14
    assert welch_satterthwaite([1, 2], [math.inf, math.inf]) == math.inf
    assert welch_satterthwaite([3], [7]) == pytest.approx(7)
    assert truncated(math.inf) == math.inf


@given(st.floats(0.01, 0.2), st.floats(0.01, 0.2), st.floats(-1, 1))
def test_against_the_uncertainties_library(u: float, v: float, r: float) -> None:
    def model(x: float, y: float) -> float:
        return x**2 / y + math.exp(0.3 * x)

    covariance = [[u**2, r * u * v], [r * u * v, v**2]]
    x, y = correlated_values([2.0, 3.0], covariance)
    wanted = x**2 / y + exp(0.3 * x)
    given_inputs = {"x": Normal(2.0, u), "y": Normal(3.0, v)}
    found = propagate(model, given_inputs, correlation=[[1, r], [r, 1]])
    assert found.value == pytest.approx(wanted.n)
    assert found.u == pytest.approx(wanted.s, rel=1e-5, abs=1e-9)


def test_sensitivities_against_the_uncertainties_library() -> None:
    x, y = ufloat(5.0, 0.2), ufloat(2.0, 0.3)
    result = x * y**2
    found = propagate(lambda x, y: x * y**2, {"x": Normal(5, 0.2), "y": Normal(2, 0.3)})
    wanted = {"x": result.derivatives[x], "y": result.derivatives[y]}
    for part in found.parts:
        assert part.sensitivity == pytest.approx(wanted[part.name])
    assert sum(part.share for part in found.parts) == pytest.approx(1.0)
    assert found.parts[0].share >= found.parts[1].share


def long_form(T: Floats, mu_th: Floats, mu_b: Floats) -> Floats:
    return clamp_from_torque(
        T, P=1.5, d2=9.0257, bearing_diameter=12.815, mu_thread=mu_th, mu_bearing=mu_b
    )


PRELOAD: dict[str, Distribution] = {
    "T": Normal(37.62, 0.02363 * 37.62),
    "mu_th": Normal(0.12, 0.012),
    "mu_b": Normal(0.10, 0.010),
}


@pytest.mark.parametrize(("r", "published", "sampled"), [(0.0, 6.402, 6.46), (1.0, 8.739, 8.9)])
def test_preload_by_law_closed_form_and_sampling(
    r: float, published: float, sampled: float
) -> None:
    # Relative uncertainty in percent, computed apart from this project (2 million samples).
    matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, r], [0.0, r, 1.0]]
    law = propagate(long_form, PRELOAD, correlation=matrix)
    assert law.u / law.value * 100 == pytest.approx(published, abs=0.002)
    shares = torque_shares(
        P=1.5, d2=9.0257, bearing_diameter=12.815, mu_thread=0.12, mu_bearing=0.10
    )
    K = nut_factor_u_rel(shares, mu_thread_u_rel=0.1, mu_bearing_u_rel=0.1, correlation=r)
    closed = clamp_u_rel(torque=37.62, torque_u_rel=0.02363, nut_factor_u_rel=K)
    assert law.u / law.value == pytest.approx(float(closed), rel=1e-4)
    found = monte_carlo(long_form, PRELOAD, correlation=matrix, seed=2, samples=400_000)
    assert found.u / law.value * 100 == pytest.approx(sampled, abs=0.1)
    low, high = (x / law.value for x in found.symmetric())
    wanted = (0.887, 1.141) if r == 0.0 else (0.852, 1.204)
    assert (low, high) == pytest.approx(wanted, abs=0.003)


def test_same_seed_same_samples() -> None:
    one = monte_carlo(long_form, PRELOAD, seed=9, samples=1_000)
    again = monte_carlo(long_form, PRELOAD, seed=9, samples=1_000)
    other = monte_carlo(long_form, PRELOAD, seed=10, samples=1_000)
    assert (one.values == again.values).all()
    assert (one.values != other.values).any()


def test_correlated_samples_are_correlated() -> None:
    seen: dict[str, Floats] = {}

    def model(a: Floats, b: Floats) -> Floats:
        seen.update(a=a, b=b)
        return a + b

    inputs: dict[str, Distribution] = {"a": Normal(1, 2), "b": LogNormal(0.1, 0.2)}
    monte_carlo(model, inputs, correlation=[[1, -0.7], [-0.7, 1]], seed=4, samples=200_000)
    assert np.corrcoef(seen["a"], np.log(seen["b"]))[0, 1] == pytest.approx(-0.7, abs=0.01)


def test_shortest_interval_of_a_skewed_result() -> None:
    found = monte_carlo(lambda x: x, {"x": LogNormal(1.0, 0.8)}, seed=6, samples=300_000)
    first, last = found.shortest(0.9)
    low, high = found.symmetric(0.9)
    assert last - first < high - low
    assert first < low
    inside = ((found.values >= first) & (found.values <= last)).mean()
    assert inside == pytest.approx(0.9, abs=1e-4)
    assert found.quantile(0.5) == pytest.approx(1.0, rel=0.01)


@given(st.lists(st.floats(-1e3, 1e3), min_size=20, max_size=60), st.floats(0.1, 0.9))
def test_shortest_interval_is_the_shortest(values: list[float], coverage: float) -> None:
    found = Sampled(np.array(values)).shortest(coverage)
    ordered = sorted(values)
    inside = min(max(math.floor(coverage * len(values) + 0.5), 1), len(values) - 1)
    widths = [b - a for a, b in zip(ordered, ordered[inside:], strict=False)]
    assert found[1] - found[0] == pytest.approx(min(widths))


@pytest.mark.parametrize(
    ("u", "digits", "tolerance"),
    [(0.0539, 1, 0.005), (0.0539, 2, 0.0005), (32, 2, 0.5), (0.0996, 2, 0.005), (9.6, 1, 5)],
)
def test_numerical_tolerance(u: float, digits: int, tolerance: float) -> None:
    assert numerical_tolerance(u, digits=digits) == pytest.approx(tolerance)


def test_law_is_validated_at_its_tolerance() -> None:
    assert law_validated((1.0, 2.0), (1.004, 1.996), u=0.05, digits=1)
    assert not law_validated((1.0, 2.0), (1.004, 1.99), u=0.05, digits=1)


def test_unknown_degrees_of_freedom_are_said() -> None:
    inputs: dict[str, Distribution] = {"a": Normal(1, 0.1, 4), "b": Normal(1, 0.1)}
    found = propagate(lambda a, b: a + b, inputs, correlation=[[1, 0.5], [0.5, 1]])
    assert found.dof is None
    with pytest.raises(ClampwrightError, match="not defined for correlated inputs"):
        found.expanded()


def test_input_without_uncertainty_adds_nothing() -> None:
    found = propagate(lambda a, b: a * b, {"a": Normal(2, 0.1), "b": Normal(3, 0.0)})
    assert found.u == pytest.approx(0.3)
    assert found.parts[-1].u == 0.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: t_quantile(0.0, 3), "a share of 0 has no quantile"),
        (lambda: t_quantile(1.0, 3), "a share of 1 has no quantile"),
        (lambda: t_quantile(0.9, 0), "dof is 0"),
        (lambda: t_probability(math.nan, 3), "t is nan"),
        (lambda: coverage_factor(1.2, 3), "a share of 1.2"),
        (lambda: fit_line([1, 2], [1, 2]), "x has 2 numbers; at least 3"),
        (lambda: fit_line([1, 1, 1], [1, 2, 3]), "all points stand at the same x, 1"),
        (lambda: fit_line([1, 2, 3], [1, 2, 3, 4]), "shapes do not fit"),
        (lambda: bend([1, 1, 2, 2], [1, 2, 3, 4]), "at least 3 different places"),
        (lambda: bend([1, 2, 3, 4], [1, 1, 1, 1]), "all values are the same"),
        (lambda: Normal(1, -1), "u is -1"),
        (lambda: Normal(1, 1, 0), "dof is 0"),
        (lambda: LogNormal(0, 0.1), "median is 0"),
        (lambda: LogNormal(1, 2), "sigma is 2"),
        (lambda: Rectangular(2, 2), "high is 2; it must be greater than 2"),
        (lambda: CurvilinearTrapezoid(0, 1, 0.6), "doubt is 0.6"),
        (lambda: ScaledT(0, 1, 0), "dof is 0"),
        (lambda: combined_u([1, 2], correlation=np.eye(3)), "correlation matrix of 2 inputs"),
        (lambda: combined_u([1, 2], correlation=[[1, 2], [2, 1]]), "correlation is 2"),
        (
            lambda: combined_u([1] * 3, correlation=[[1, 1, -1], [1, 1, 1], [-1, 1, 1]]),
            "no impossible combination",
        ),
        (lambda: welch_satterthwaite([1, 2], [1, -1]), "dof is -1"),
        (lambda: truncated(0.7), "dof is 0.7"),
        (
            lambda: propagate(
                lambda a: a, {"a": Normal(0, 1)}, correlation=[[1]], second_order=True
            ),
            "uncorrelated inputs only",
        ),
        (lambda: propagate(lambda a: [a, a], {"a": Normal(0, 1)}), "must give one number"),
        (
            lambda: monte_carlo(lambda a: a, {"a": Normal(0, 1)}, seed=1, samples=10),
            "samples is 10",
        ),
        (lambda: monte_carlo(lambda a: a, {"a": Normal(0, 1)}, seed=-1), "seed is -1"),
        (
            lambda: monte_carlo(lambda a: 1.0, {"a": Normal(0, 1)}, seed=1, samples=1000),  # noqa: ARG005 - a model that forgets its samples
            "one result for each of 1000 samples",
        ),
        (
            lambda: monte_carlo(
                lambda a: a, {"a": Rectangular(0, 1)}, seed=1, samples=1000, correlation=[[1]]
            ),
            "a is correlated but neither normal nor log-normal",
        ),
        (lambda: Sampled(np.arange(9.0)).symmetric(0), "coverage is 0"),
        (lambda: numerical_tolerance(0), "u is 0"),
        (lambda: numerical_tolerance(1, digits=3), "digits is 3"),
    ],
)
def test_refuses(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ClampwrightError, match=message):
        call()


def test_refuses_a_model_without_inputs() -> None:
    with pytest.raises(Missing, match="at least one uncertain input"):
        propagate(lambda: 1.0, {})
    with pytest.raises(Missing, match="at least one uncertain input"):
        monte_carlo(lambda: 1.0, {}, seed=1)


def test_range_errors_name_the_guide() -> None:
    with pytest.raises(OutOfRange) as caught:
        truncated(0.5)
    assert "JCGM 100" in caught.value.source
