"""What the joint's bands and tables cost, beside the random numbers or the calls they replace."""

from typing import Any

import numpy as np
import pytest

from clampwright.joint.assembly import assembly
from clampwright.joint.band import clamp_bands
from clampwright.joint.model import Fastening
from clampwright.joint.monte_carlo import monte_carlo
from clampwright.joint.torque_angle import Step
from clampwright.joint.uncertain import Distribution, Normal
from conftest import Compare

BOLT = Fastening(
    d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63, bearing_inner=11,
    yield_stress=940, clamp_rate=829.66, plastic_length=22,
)  # fmt: skip
SAMPLES = 1_000_000
CASES: dict[str, tuple[list[Step], int]] = {
    "torque": ([Step("torque", 45.0)], 2),
    "torque and angle": ([Step("torque", 30.0), Step("angle", 90.0)], 4),
}


@pytest.mark.parametrize("case", CASES)
def test_band_without_sampling_noise(compare: Compare, case: str) -> None:
    steps, inputs = CASES[case]

    def ours() -> object:
        return clamp_bands(BOLT, steps, friction=(0.08, 0.16), torque_u_rel=0.025, angle_u_deg=2.0)

    def reference() -> object:
        return np.random.default_rng(1).standard_normal((inputs, SAMPLES))

    name = f"band by quadrature, {inputs} inputs / 1e6 random numbers for each"
    assert compare(name, ours, reference, figure=0.1, rounds=21) > 0


def test_band_of_seven_inputs(compare: Compare) -> None:
    """Thread and bearing friction apart, wrench, two angles, stiffness, strength."""
    steps = [Step("torque", 30.0), Step("angle", 60.0), Step("angle", 60.0)]

    def ours() -> object:
        return clamp_bands(
            BOLT, steps, friction=(0.08, 0.16), torque_u_rel=0.025, angle_u_deg=2.0,
            correlation=0.5, yield_u_rel=0.03,
        )  # fmt: skip

    def reference() -> object:
        return np.random.default_rng(1).standard_normal((7, SAMPLES))

    name = "bands of three steps, 7 inputs / 1e6 random numbers for each"
    assert compare(name, ours, reference, figure=0.1, rounds=9) > 0


def test_table_of_a_thousand_rows(compare: Compare) -> None:
    def table(mu: Any) -> object:
        return assembly(
            yield_stress=940, stress_area=57.99, P=1.5, d2=9.0257, bearing_diameter=12.815,
            mu_thread=mu, mu_bearing=mu,
        )  # fmt: skip

    mu = np.linspace(0.05, 0.3, 1000)
    name = "preload and torque at 90 % of yield, 1,000 rows / one"
    assert compare(name, lambda: table(mu), lambda: table(0.12), figure=20.0, rounds=51) > 0


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
