"""Sounds of a bench, made up: a click wrench's click, pawl ticks, and the noise around them.

What is made is the physics in short: a blow excites a few damped resonances of steel parts (a click
some thousand hertz for a few hundredths of a second over a duller thump of the handle; a pawl tick
lighter, higher and shorter, in a regular row), on hum with its overtones, a broad noise that falls
with frequency, hissing air, blows on other steel that ring longer, voices. What it leaves out: the
room and its echoes beyond one, the handling of the microphone itself, music, and everything nobody
thought of. Levels are relative; no recording stands behind the numbers (ours).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from clampwright.trace.model import Floats

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Bench:
    """From what the sounds of one recording are drawn; pairs are lowest and highest.

    Parameters
    ----------
    seconds : float
    rate : int
        Samples per second.
    click_level : pair of float
        Peak of the click over the effective value of the steady noise, dB.
    click_hz, click_ring_s : pair of float
        Resonances of the click and their decay (to 1/e), Hz and s.
    tick_below : pair of float
        How far a pawl tick lies below the click, dB.
    ticks_hz : pair of float
        Ticks a second while the handle goes back.
    blows : float
        Blows on other steel per second.
    echo : float
        Strength of one echo.
    clipped : bool
        Whether the microphone is driven too far.
    """

    seconds: float = 10.0
    rate: int = 44_100
    click_level: Range = (18.0, 40.0)
    click_hz: Range = (1_800.0, 6_000.0)
    click_ring_s: Range = (0.004, 0.018)
    tick_below: Range = (6.0, 20.0)
    ticks_hz: Range = (6.0, 16.0)
    blows: float = 0.3
    echo: float = 0.2
    clipped: bool = False


WIDER = Bench(
    click_level=(14.0, 44.0),
    click_hz=(1_400.0, 7_500.0),
    click_ring_s=(0.003, 0.026),
    tick_below=(4.0, 22.0),
    ticks_hz=(4.0, 22.0),
    blows=0.4,
    echo=0.35,
)
"""Wider than what the detector was made on: for measuring it."""


@dataclass(frozen=True, slots=True, eq=False)
class Recorded:
    """A recording, and the truth about it.

    Parameters
    ----------
    samples : ndarray, shape (n,)
        Between -1 and 1.
    rate : int
    clicks, ticks, blows : tuple of float
        When they happened, s.
    """

    samples: Floats
    rate: int
    clicks: tuple[float, ...]
    ticks: tuple[float, ...]
    blows: tuple[float, ...]


def recorded_bench(seed: int, bench: Bench | None = None, *, click: bool = True) -> Recorded:
    """Make a recording of one pull with a click wrench and ratchet.

    Parameters
    ----------
    seed : int
    bench : Bench, optional
    click : bool
        Whether the wrench clicks in it.

    Returns
    -------
    Recorded

    Examples
    --------
    >>> found = recorded_bench(1, Bench(seconds=3.0))
    >>> len(found.samples), len(found.clicks)
    (132300, 1)
    """
    bench = bench or Bench()
    rng = np.random.default_rng(seed)
    sound = _steady(rng, bench)
    loud = 10.0 ** (rng.uniform(*bench.click_level) / 20.0)
    at = float(rng.uniform(1.0, bench.seconds - 0.8))
    if click:
        _add(sound, bench, at, loud * _click(rng, bench))
    ticks = _ticks(rng, bench, sound, loud, at)
    blows = _blows(rng, bench, sound, loud, at if click else None)
    delay = round(bench.rate * rng.uniform(0.004, 0.03))
    sound[delay:] += bench.echo * rng.uniform(0.0, 1.0) * sound[:-delay]
    top = float(np.abs(sound).max())
    gain = rng.uniform(1.5, 4.0) if bench.clipped else rng.uniform(0.1, 0.9)
    samples = np.clip(sound * gain / top, -1.0, 1.0)
    samples = np.round(samples * 32767.0) / 32767.0
    return Recorded(samples, bench.rate, (at,) if click else (), tuple(ticks), tuple(blows))


def _steady(rng: np.random.Generator, bench: Bench) -> Floats:
    """Make broad noise, hum, hissing air and a voice; effective value about 1."""
    count = round(bench.seconds * bench.rate)
    white = np.fft.rfft(rng.normal(size=count))
    hertz = np.maximum(np.fft.rfftfreq(count, 1.0 / bench.rate), 20.0)
    broad = np.fft.irfft(white * hertz ** -rng.uniform(0.2, 0.9), count)
    sound = broad / broad.std()
    t = np.arange(count) / bench.rate
    mains = rng.choice([50.0, 60.0])
    for k in range(1, 8):
        sound += rng.uniform(0.0, 0.5) / k * np.sin(2.0 * np.pi * (k * mains * t + rng.uniform()))
    if rng.uniform() < 0.3:
        sound += _voice(rng, t)
    if rng.uniform() < 0.3:
        sound += _hiss(rng, bench, count)
    return np.asarray(sound / sound.std())


def _voice(rng: np.random.Generator, t: Floats) -> Floats:
    """Make a voice: overtones of a wandering pitch, in syllables."""
    pitch = rng.uniform(90.0, 230.0) * (
        1.0 + 0.08 * np.sin(2.0 * np.pi * rng.uniform(0.5, 2.0) * t)
    )
    phase = 2.0 * np.pi * np.cumsum(pitch) * (t[1] - t[0])
    syllables = np.clip(
        np.sin(2.0 * np.pi * rng.uniform(2.0, 4.5) * t + rng.uniform(0.0, 6.0)), 0, 1
    )
    tones = [rng.uniform(0.2, 1.0) / k * np.sin(k * phase) for k in range(1, 16)]
    return np.asarray(rng.uniform(0.5, 2.5) * syllables * np.sum(tones, axis=0))


def _hiss(rng: np.random.Generator, bench: Bench, count: int) -> Floats:
    """Let out air: high noise that begins and ends within hundredths of a second."""
    sound = np.zeros(count)
    long = round(bench.rate * rng.uniform(0.2, 1.5))
    start = int(rng.integers(0, max(count - long, 1)))
    noise = np.diff(rng.normal(size=long + 1))
    edge = np.minimum(np.arange(long), np.arange(long)[::-1]) / (bench.rate * 0.03)
    sound[start : start + long] = rng.uniform(0.5, 3.0) * noise * np.minimum(edge, 1.0)
    return sound


def _rung(rng: np.random.Generator, rate: int, hertz: Range, ring_s: Range, modes: int) -> Floats:
    """Make a blow on steel: a few damped resonances and the noise of contact; peak 1."""
    tau = rng.uniform(*ring_s, size=modes)
    t = np.arange(round(rate * 5.0 * tau.max())) / rate
    sound = np.zeros_like(t)
    for one in tau:
        tone = np.sin(2.0 * np.pi * rng.uniform(*hertz) * t + rng.uniform(0.0, 6.3))
        sound += rng.uniform(0.3, 1.0) * tone * np.exp(-t / one)
    sound += 0.8 * rng.normal(size=len(t)) * np.exp(-t / 0.0012)
    sound *= np.minimum(t / 0.0003, 1.0)
    return np.asarray(sound / np.abs(sound).max())


def _click(rng: np.random.Generator, bench: Bench) -> Floats:
    """Make a click: resonances over a thump of the handle, often a second, lighter contact."""
    sound = _rung(rng, bench.rate, bench.click_hz, bench.click_ring_s, int(rng.integers(3, 6)))
    thump = _rung(rng, bench.rate, (180.0, 700.0), (0.008, 0.03), 2)
    whole = np.zeros(round(bench.rate * 0.3))
    whole[: len(sound)] += sound
    whole[: len(thump)] += rng.uniform(0.1, 0.7) * thump
    if rng.uniform() < 0.6:
        at = round(bench.rate * rng.uniform(0.015, 0.06))
        whole[at : at + len(sound)] += rng.uniform(0.1, 0.5) * sound
    return whole


def _ticks(
    rng: np.random.Generator, bench: Bench, sound: Floats, loud: float, click: float
) -> list[float]:
    """Add rows of pawl ticks while the handle goes back, before the click and after it."""
    found: list[float] = []
    one = _rung(rng, bench.rate, (3_000.0, 9_000.0), (0.001, 0.005), 3)
    level = loud * 10.0 ** (-rng.uniform(*bench.tick_below) / 20.0)
    for start in np.arange(rng.uniform(0.1, 1.0), bench.seconds - 1.0, rng.uniform(1.2, 2.5)):
        pace = rng.uniform(*bench.ticks_hz)
        t = float(start)
        for _ in range(int(rng.integers(3, 12))):
            if abs(t - click) > 0.12:
                _add(sound, bench, t, level * rng.uniform(0.6, 1.3) * one)
                found.append(t)
            t += rng.uniform(0.85, 1.15) / pace
    return found


def _blows(
    rng: np.random.Generator, bench: Bench, sound: Floats, loud: float, click: float | None
) -> list[float]:
    """Add blows on other steel, and tools put down: they ring longer, or are duller."""
    found = []
    for t in rng.uniform(0.0, bench.seconds - 0.6, rng.poisson(bench.blows * bench.seconds)):
        if click is not None and abs(t - click) < 0.15:
            continue
        low, high = (300.0, 2_500.0) if rng.uniform() < 0.5 else (800.0, 7_000.0)
        blow = _rung(rng, bench.rate, (low, high), (0.02, 0.12), int(rng.integers(3, 8)))
        _add(sound, bench, float(t), loud * 10.0 ** (rng.uniform(-16.0, 10.0) / 20.0) * blow)
        found.append(float(t))
    return found


def _add(sound: Floats, bench: Bench, at: float, what: Floats) -> None:
    start = round(at * bench.rate)
    part = sound[start : start + len(what)]
    part += what[: len(part)]
