from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint.model import Fastening
from clampwright.joint.torque_angle import Step, follow
from clampwright.trace.simulate import FAULTS, Condition, SimulatedFastener, SimulatedWrench

PLAIN = Condition(mu_thread=0.12, mu_bearing=0.10, roughness=0.0, snug_zone=0.0, breakaway=0.0)


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def test_the_fastener_follows_the_mechanics_of_the_joint(m10: Fastening) -> None:
    """Second way: the step-by-step rule of the joint room, which knows nothing of traces."""
    steps = [Step("snug", 30.0), Step("angle", 90.0), Step("angle", 90.0)]
    states = follow(m10, steps, mu_thread=0.12, mu_bearing=0.10)
    bolt = SimulatedFastener(m10, PLAIN)
    bolt.turn_to_torque(30.0)
    assert bolt.clamp == pytest.approx(float(states[0].clamp), rel=0.002)
    bolt.turn_to(bolt.angle + 90.0)
    assert bolt.clamp == pytest.approx(float(states[1].clamp), rel=0.002)
    assert bolt.torque == pytest.approx(float(states[1].torque), rel=0.002)
    bolt.turn_to(bolt.angle + 90.0)
    assert bolt.clamp == pytest.approx(float(states[2].clamp), rel=0.002)
    assert bolt.yielded


def test_stretch_stays_after_loosening_and_it_yields_again_only_above(m10: Fastening) -> None:
    bolt = SimulatedFastener(m10, PLAIN)
    bolt.turn_to(120.0)
    clamp, stretch = bolt.clamp, bolt.stretch
    assert stretch > 0.0
    bolt.loosen()
    assert bolt.clamp == 0.0
    assert bolt.stretch == stretch
    bolt.turn_to(90.0)
    assert bolt.stretch == stretch
    assert bolt.clamp == pytest.approx(829.66 * (90.0 - stretch), rel=1e-6)
    bolt.turn_to(120.0)
    assert bolt.clamp == pytest.approx(clamp, rel=1e-6)
    assert bolt.stretch == pytest.approx(stretch, rel=1e-6)
    bolt.turn_to(150.0)
    assert bolt.stretch > stretch


def test_loosening_takes_less_than_tightening_by_the_lead(m10: Fastening) -> None:
    bolt = SimulatedFastener(m10, PLAIN)
    bolt.turn_to_torque(37.62)
    clamp, tightening = bolt.clamp, bolt.torque
    assert tightening - bolt.loosen() == pytest.approx(clamp * 1.5 / np.pi / 1000.0, rel=1e-6)


def test_loosening_by_an_angle_keeps_the_rest(m10: Fastening) -> None:
    bolt = SimulatedFastener(m10, PLAIN)
    bolt.turn_to_torque(37.62)
    clamp = bolt.clamp
    bolt.loosen(10.0)
    assert bolt.clamp == pytest.approx(clamp - 10.0 * 829.66, rel=1e-6)


def test_embedding_takes_its_share(m10: Fastening) -> None:
    bolt = SimulatedFastener(m10, PLAIN)
    bolt.turn_to_torque(37.62)
    clamp = bolt.clamp
    bolt.settle(0.05)
    assert bolt.clamp == pytest.approx(0.95 * clamp, rel=1e-6)


def test_a_pull_stops_at_its_torque_and_the_next_goes_on_from_there(m10: Fastening) -> None:
    bolt, wrench, dice = SimulatedFastener(m10, PLAIN), SimulatedWrench(), rng()
    for target in (20.0, 35.0, 50.0):
        pull = wrench.pull(bolt, torque=target, rng=dice)
        assert pull.clicked
        assert pull.moved
        assert bolt.torque == pytest.approx(target, rel=0.02)
        assert pull.reading == pytest.approx(target, abs=1.5)


def test_an_angle_is_counted_from_the_snug_torque(m10: Fastening) -> None:
    bolt = SimulatedFastener(m10, PLAIN)
    pull = SimulatedWrench().pull(bolt, torque=30.0, angle=90.0, rng=rng())
    assert bolt.clamp == pytest.approx(49_550.0, rel=0.01)
    assert pull.angle_reading == pytest.approx(90.0, abs=3.0)


def test_a_wrench_that_is_off_makes_the_torque_off(m10: Fastening) -> None:
    bolt = SimulatedFastener(m10, PLAIN)
    pull = SimulatedWrench(deviation=0.08).pull(bolt, torque=50.0, rng=rng())
    assert bolt.torque == pytest.approx(50.0 / 1.08, rel=0.02)
    assert pull.reading == pytest.approx(50.0, abs=1.5)
    assert pull.clicked


@pytest.mark.parametrize("seed", range(10))
def test_faults_do_what_they_say(m10: Fastening, seed: int) -> None:
    done: dict[str, SimulatedFastener] = {}
    pulls: dict[str, Any] = {}
    for fault in FAULTS:
        done[fault] = SimulatedFastener(m10, PLAIN, seed)
        pulls[fault] = SimulatedWrench().pull(done[fault], torque=50.0, fault=fault, rng=rng(seed))
    assert done["slip"].torque < 0.95 * 50.0
    assert not pulls["slip"].clicked
    assert done["yield"].yielded
    assert done["strip"].stripped
    assert done["strip"].clamp < 25_000.0
    assert done["wrong_unit"].torque == pytest.approx(67.8, rel=0.03)
    assert done["stop_early"].torque < 0.88 * 50.0
    assert not pulls["stop_early"].clicked
    assert done["cross_thread"].clamp == 0.0
    assert pulls["cross_thread"].clicked
    assert pulls["rehit"].clicked
    assert not pulls["rehit"].moved


def test_the_same_seed_gives_the_same_pull(m10: Fastening) -> None:
    def once() -> tuple[bytes, float]:
        bolt = SimulatedFastener(m10, Condition(), seed=4)
        pull = SimulatedWrench(pauses=1).pull(bolt, torque=50.0, rng=rng(9))
        return pull.trace.torque.tobytes(), bolt.angle

    assert once() == once()


def test_a_wrench_too_soft_for_its_room_gives_up(m10: Fastening) -> None:
    bolt = SimulatedFastener(m10, PLAIN)
    pull = SimulatedWrench(stiffness=1.0, stroke=30.0).pull(bolt, torque=50.0, rng=rng())
    assert bolt.torque == pytest.approx(30.0, rel=0.1)
    assert not pull.clicked


def test_a_pull_needs_something_to_stop_at(m10: Fastening) -> None:
    with pytest.raises(Missing, match="a torque or an angle"):
        SimulatedWrench().pull(SimulatedFastener(m10), rng=rng())
    with pytest.raises(ClampwrightError, match="slip, yield, strip"):
        SimulatedWrench().pull(
            SimulatedFastener(m10),
            torque=10.0,
            fault="rust",  # type: ignore[arg-type]  # wrong on purpose
            rng=rng(),
        )


def test_nothing_of_the_truth_is_in_what_a_pull_gives_away(m10: Fastening) -> None:
    pull = SimulatedWrench().pull(SimulatedFastener(m10), torque=50.0, rng=rng())
    assert set(pull.__dataclass_fields__) == {
        "trace",
        "reading",
        "clicked",
        "moved",
        "angle_reading",
    }
    assert [step.name for step in pull.trace.steps] == ["simulated"]
    assert set(pull.trace.steps[0].arguments) == {"sample_rate_hz"}
