"""The phone as angle gauge against a simulated sensor with bias, noise, scale and misalignment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from clampwright.errors import ClampwrightError
from clampwright.trace.model import Floats
from clampwright.trace.phone import PhoneAngle, angle_from_phone
from clampwright.trace.phone_simulate import Phone, recorded_phone

RATE = 100.0


@dataclass(frozen=True)
class Recording:
    """What a phone reports, and the truth."""

    time: Floats
    rates: Floats
    gravity: Floats
    turned: float


def rotation(rng: np.random.Generator) -> Floats:
    """Any way round: a random rotation from the bolt's frame to the phone's."""
    q, r = np.linalg.qr(rng.normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q if np.linalg.det(q) > 0 else -q


def recording(
    seed: int, strokes: tuple[float, ...] = (70.0, 60.0, 50.0), *, upright: bool = True
) -> Recording:
    """Swing forward slowly, back quickly, with rocking, and record it as a phone's sensor does."""
    rng = np.random.default_rng(seed)
    pieces = [np.zeros(round(0.7 * RATE))]
    for way in strokes:
        for size, speed in ((way, 35.0), (-way, 90.0)):
            count = round(1.5 * abs(size) / speed * RATE)
            x = np.arange(1, count + 1) / count
            pieces += [np.gradient(size * x * x * (3.0 - 2.0 * x)) * RATE, np.zeros(25)]
    pieces.append(np.zeros(round(0.7 * RATE)))
    about = np.concatenate(pieces)
    time = np.arange(len(about)) / RATE
    moving = (np.abs(about) > 0).astype(float)
    rock = 3.0 * np.sin(2.0 * np.pi * 1.3 * time + rng.uniform(0.0, 6.0)) * moving
    bolt_frame = np.c_[rock, 0.5 * rock, about]
    to_phone = rotation(rng)
    true_rates = bolt_frame @ to_phone.T
    scale = np.eye(3) + np.diag(rng.normal(0.0, 0.005, 3)) + rng.normal(0.0, 0.005, (3, 3))
    drift = np.outer(time / time[-1], rng.normal(0.0, 0.03, 3))
    rates = true_rates @ scale.T + rng.normal(0.0, 0.8, 3) + drift
    rates = np.round(rates + rng.normal(0.0, 0.12, rates.shape), 3)
    plumb = np.array([0.0, 0.0, 9.81]) if upright else np.array([0.0, 9.81, 0.0])
    gravity = np.tile(plumb @ to_phone.T, (len(time), 1)) + rng.normal(0.0, 0.05, rates.shape)
    return Recording(time, rates, gravity, float(sum(strokes)))


def found(one: Recording) -> PhoneAngle:
    return angle_from_phone(one.time, one.rates, one.gravity)


@pytest.mark.parametrize("upright", [True, False])
def test_strokes_are_stitched_whichever_way_the_phone_is_strapped(*, upright: bool) -> None:
    errors, inside = [], []
    for seed in range(40):
        one = recording(seed, upright=upright)
        angle = found(one)
        assert len(angle.swings) == 3
        errors.append(abs(angle.turned - one.turned))
        inside.append(errors[-1] <= 1.96 * angle.u)
    assert np.quantile(errors, 0.95) < 5.0
    assert np.mean(inside) >= 0.9


def test_one_long_swing_needs_no_back_swing_to_know_its_way() -> None:
    for seed in range(10):
        one = recording(seed, (150.0,))
        angle = angle_from_phone(one.time[:735], one.rates[:735])
        assert angle.turned == pytest.approx(150.0, abs=4.0)
        assert angle.tilt is None


def test_gravity_tells_the_tilt_of_the_axis() -> None:
    for seed in range(10):
        assert found(recording(seed)).tilt == pytest.approx(0.0, abs=3.0)
        level = found(recording(seed, upright=False)).tilt
        assert level == pytest.approx(90.0, abs=6.0)


def test_the_bias_is_taken_from_rest_and_its_lack_is_said() -> None:
    one = recording(3)
    moved = slice(75, 75 + 200)  # in the middle of the first swing
    without = angle_from_phone(one.time[moved], one.rates[moved])
    assert any("never at rest" in str(says) for says in without.remarks)
    assert without.u > found(one).u / 3.0
    assert not any("never at rest" in str(says) for says in found(one).remarks)


def test_uncertainty_grows_with_time_and_angle() -> None:
    short, long = found(recording(5, (30.0,))), found(recording(5, (90.0,) * 6))
    assert long.u > 2.0 * short.u


def test_the_angle_does_not_depend_on_how_the_phone_was_strapped() -> None:
    one = recording(8)
    turn = rotation(np.random.default_rng(99))
    other = angle_from_phone(one.time, one.rates @ turn.T, one.gravity @ turn.T)
    assert other.turned == pytest.approx(found(one).turned, abs=0.05)


@pytest.mark.parametrize(
    ("time", "rates", "gravity", "says"),
    [
        (np.arange(5.0), np.zeros((5, 3)), None, "at least 20 times"),
        (np.arange(50.0), np.zeros((50, 2)), None, "three rates"),
        (np.arange(50.0), np.ones((50, 3)), np.ones((49, 3)), "three rates"),
        (np.arange(50.0), np.full((50, 3), np.nan), None, "numbers only"),
        (np.zeros(50), np.eye(50, 3) * 50, None, "must rise"),
        (np.arange(50.0), np.ones((50, 3)), None, "did not turn"),
    ],
)
def test_what_is_no_recording_is_refused(
    time: Floats, rates: Floats, gravity: Floats | None, says: str
) -> None:
    with pytest.raises(ClampwrightError, match=says):
        angle_from_phone(time, rates, gravity)


HARDER = (
    Phone(),
    Phone(bias_dps=0.2, drift_dps=0.01, scale=0.002, cross=0.002, rock_dps=(0.0, 2.0)),
    Phone(bias_dps=2.0, drift_dps=0.1, density=(0.02, 0.05), lost=0.03),
    Phone(scale=0.012, cross=0.012),
    Phone(rate_hz=(25.0, 50.0), jitter_s=0.004),
)


@pytest.mark.parametrize("phone", HARDER)
def test_the_stated_interval_covers_whatever_the_sensor(phone: Phone) -> None:
    """Bias, drift, noise, scale, crossed axes, uneven clock, lost samples, any tilt of the bolt."""
    inside, counted = [], []
    for seed in range(9_000, 9_060):
        made = recorded_phone(seed, phone)
        angle = angle_from_phone(made.time, made.rates, made.gravity)
        inside.append(abs(angle.turned - made.turned) <= 1.96 * angle.u)
        counted.append(len(angle.swings) == made.swings)
    assert np.mean(inside) >= 0.92
    assert np.mean(counted) >= 0.98


def test_slow_turning_is_not_taken_for_rest() -> None:
    """A quiet sensor and a hand that stops softly: the last degrees are as steady as a rest."""
    made = recorded_phone(4_003, HARDER[1])
    found = angle_from_phone(made.time, made.rates, made.gravity)
    assert found.turned == pytest.approx(made.turned, abs=5.0)
