"""What the joint's bands and tables cost, beside the random numbers or single calls they replace.

Compare within one run: a band against ``draws`` (a million random numbers for each of its inputs),
the table of 1,000 rows against ``one_row``. Sampling is compared with drawing its numbers alone.
"""

from typing import Any

import numpy as np
import pytest

from clampwright.joint.assembly import assembly
from clampwright.joint.band import clamp_bands
from clampwright.joint.distributions import Distribution, Normal
from clampwright.joint.model import Fastening
from clampwright.joint.monte_carlo import monte_carlo
from clampwright.joint.torque_angle import Step
from conftest import Compare

BOLT = Fastening(
    d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63, bearing_inner=11,
    yield_stress=940, clamp_rate=829.66, plastic_length=22,
)  # fmt: skip
CASES: dict[str, tuple[list[Step], int]] = {
    "torque": ([Step("torque", 45.0)], 2),
    "torque_angle": ([Step("torque", 30.0), Step("angle", 90.0)], 4),
}


@pytest.mark.parametrize("case", CASES)
def test_bench_band(benchmark: Any, case: str) -> None:
    steps, _ = CASES[case]
    bands = benchmark(
        lambda: clamp_bands(BOLT, steps, friction=(0.08, 0.16), torque_u_rel=0.025, angle_u_deg=2.0)
    )
    assert bands[-1].p05 < bands[-1].nominal < bands[-1].p95


@pytest.mark.parametrize("case", CASES)
def test_bench_draws(benchmark: Any, case: str) -> None:
    _, inputs = CASES[case]
    rng = np.random.default_rng(1)
    drawn = benchmark(lambda: rng.standard_normal((inputs, 1_000_000)))
    assert drawn.shape == (inputs, 1_000_000)


@pytest.mark.parametrize("rows", [1, 1000], ids=["one_row", "thousand_rows"])
def test_bench_assembly_table(benchmark: Any, rows: int) -> None:
    mu: Any = 0.12 if rows == 1 else np.linspace(0.05, 0.3, rows)
    found = benchmark(
        lambda: assembly(
            yield_stress=940, stress_area=57.99, P=1.5, d2=9.0257, bearing_diameter=12.815,
            mu_thread=mu, mu_bearing=mu,
        )
    )  # fmt: skip
    assert np.size(found.clamp) == rows


SAMPLES = 1_000_000
FRICTION: dict[str, Distribution] = {
    "mu_thread": Normal(0.12, 0.012),
    "mu_bearing": Normal(0.12, 0.012),
}

TORQUE: dict[str, Distribution] = {"torque": Normal(45.0, 1.1)}


@pytest.mark.parametrize(
    "inputs", [FRICTION, TORQUE | FRICTION], ids=["fixed_torque", "uncertain_torque"]
)
def test_samples_of_the_long_form_with_its_band(
    compare: Compare, inputs: dict[str, Distribution]
) -> None:
    """With the torque taken as exact there are fewest numbers to draw: the harder comparison."""

    def clamp(mu_thread: Any, mu_bearing: Any, torque: Any = 45.0) -> Any:
        return BOLT.clamp_from_torque(torque, mu_thread=mu_thread, mu_bearing=mu_bearing)

    def ours() -> object:
        sampled = monte_carlo(clamp, inputs, seed=1, samples=SAMPLES)
        return sampled.value, sampled.u, sampled.symmetric(0.90)

    def reference() -> object:
        rng = np.random.default_rng(1)
        return [one.sample(rng, SAMPLES) for one in inputs.values()]

    name = f"1e6 samples of the long form, {len(inputs)} inputs, band / draws"
    assert compare(name, ours, reference, figure=2.5) > 0
