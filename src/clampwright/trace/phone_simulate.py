"""A phone strapped to a handle, made up: what its sensors report of strokes that are known.

Swings forward slowly and back quickly, with the handle rocking, the phone strapped on any way
round and the bolt at any tilt. The sensor has a bias that drifts, noise, an error of scale and of
the alignment of its axes, rounding, uneven clocks and lost samples. The sizes are those of usual
micromechanical sensors (from memory of their data sheets: noise 0.005 to 0.02 deg/s per root hertz,
scale and cross-axis 1 to 3 % at most, bias after the phone's own calibration within 1 deg/s). What
it leaves out: the phone slipping in its strap, and a body that turns while the handle rests.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from clampwright.trace.model import Floats

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Phone:
    """From what a recording is drawn.

    Parameters
    ----------
    rate_hz : pair of float
        Samples a second, lowest and highest.
    bias_dps, drift_dps : float
        Standard deviations of the bias of each axis, and of its change until the end, deg/s.
    density : pair of float
        Noise, deg/s per root hertz.
    scale, cross : float
        Standard deviations of the error of scale, and of the pick-up from the other axes.
    jitter_s : float
        Standard deviation of the clock of a sample, s.
    lost : float
        Share of samples that are missing.
    rock_dps : pair of float
        Rocking of the handle across the bolt's axis, deg/s.
    """

    rate_hz: Range = (50.0, 200.0)
    bias_dps: float = 0.7
    drift_dps: float = 0.04
    density: Range = (0.005, 0.02)
    scale: float = 0.006
    cross: float = 0.006
    jitter_s: float = 0.001
    lost: float = 0.005
    rock_dps: Range = (0.0, 8.0)


@dataclass(frozen=True, slots=True, eq=False)
class PhoneRecording:
    """What a phone reports, and the truth.

    Parameters
    ----------
    time : ndarray, shape (n,)
        s.
    rates, gravity : ndarray, shape (n, 3)
        deg/s and m/s².
    turned : float
        Forward swings added up, degrees.
    swings : int
    """

    time: Floats
    rates: Floats
    gravity: Floats
    turned: float
    swings: int


def recorded_phone(seed: int, phone: Phone | None = None) -> PhoneRecording:
    """Make a recording of one pull with a ratchet, or of a single long swing.

    Parameters
    ----------
    seed : int
    phone : Phone, optional

    Returns
    -------
    PhoneRecording

    Examples
    --------
    >>> made = recorded_phone(1)
    >>> made.rates.shape == made.gravity.shape == (len(made.time), 3)
    True
    """
    phone = phone or Phone()
    rng = np.random.default_rng(seed)
    rate = rng.uniform(*phone.rate_hz)
    swings = rng.uniform(25.0, 100.0, int(rng.integers(1, 8)))
    about = _about_the_bolt(rng, rate, swings)
    time = np.arange(len(about)) / rate
    clock = time + rng.normal(0.0, phone.jitter_s, len(time)).clip(-0.4 / rate, 0.4 / rate)
    moving = np.abs(about) > 0.0
    rock = rng.uniform(*phone.rock_dps, 2)[:, None] * np.sin(
        2.0 * np.pi * (rng.uniform(0.5, 3.0, 2)[:, None] * clock + rng.uniform(size=2)[:, None])
    )
    exact = np.column_stack([*(rock * moving), np.interp(clock, time, about)])
    strapped = _rotation(rng)
    sensor = np.eye(3) + rng.normal(0.0, phone.cross, (3, 3))
    sensor[np.diag_indices(3)] = 1.0 + rng.normal(0.0, phone.scale, 3)
    noise = rng.uniform(*phone.density) * np.sqrt(rate / 2.0)
    bias = rng.normal(0.0, phone.bias_dps, 3)
    drift = np.outer(time / time[-1], rng.normal(0.0, phone.drift_dps, 3))
    rates = exact @ strapped.T @ sensor.T + bias + drift
    rates = np.round((rates + rng.normal(0.0, noise, rates.shape)) / 0.01) * 0.01
    tilt = np.radians(rng.choice([0.0, 0.0, 90.0, rng.uniform(0.0, 180.0)]))
    gravity = _gravity(rng, clock, np.cumsum(exact[:, 2]) / rate, tilt) @ strapped.T
    gravity += rng.normal(0.0, 0.05, gravity.shape)
    kept = rng.uniform(size=len(time)) >= phone.lost
    return PhoneRecording(clock[kept], rates[kept], gravity[kept], float(swings.sum()), len(swings))


def _about_the_bolt(rng: np.random.Generator, rate: float, swings: Floats) -> Floats:
    """Return rates about the bolt's axis: rest, swings forward and back, rest."""
    pieces = [np.zeros(round(rate * rng.uniform(0.5, 1.5)))]
    for k, size in enumerate(swings):
        ways = [(size, rng.uniform(15.0, 60.0))]
        if k < len(swings) - 1:
            ways.append((-size, rng.uniform(50.0, 150.0)))
        for way, speed in ways:
            count = max(round(1.5 * abs(way) / speed * rate), 8)
            x = np.linspace(0.0, 1.0, count + 1)
            angle = way * x * x * (3.0 - 2.0 * x)
            pieces += [np.diff(angle) * rate, np.zeros(round(rate * rng.uniform(0.05, 0.4)))]
    return np.concatenate([*pieces, np.zeros(round(rate * rng.uniform(0.5, 1.5)))])


def _gravity(rng: np.random.Generator, time: Floats, turned: Floats, tilt: float) -> Floats:
    """Return gravity in the handle's frame: it goes round as a handle turns on a tilted bolt."""
    phase = np.radians(turned) + rng.uniform(0.0, 6.3)
    level = np.sin(tilt)
    push = 0.15 * np.sin(2.0 * np.pi * rng.uniform(0.5, 2.0) * time)  # the hand's own acceleration
    return 9.81 * np.column_stack(
        [level * np.cos(phase) + push, -level * np.sin(phase), np.full(len(time), np.cos(tilt))]
    )


def _rotation(rng: np.random.Generator) -> Floats:
    """Any way round: a random rotation from the bolt's frame to the phone's."""
    q, r = np.linalg.qr(rng.normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q if np.linalg.det(q) > 0 else -q
