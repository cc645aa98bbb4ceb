"""Sudden sounds in a recording, and what each is like: level by band, how it dies away, its row."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage, signal

from clampwright.trace.model import Floats

BANDS = ((200.0, 800.0), (800.0, 2_000.0), (2_000.0, 4_500.0), (4_500.0, 7_500.0))
"""Bands in which a sound is looked at, Hz: all below half of the lowest sample rate taken."""
_FRAMES = 1_000.0  # a second
_WINDOW_S = 0.005
_BACKGROUND_S = 0.6
_APART_S = 0.012
_LEAST = 1.1  # of the onset strength: natural logarithm, mean over the bands
_ROW_S = 0.45
_LATER_S = (0.006, 0.015, 0.03, 0.06, 0.12)

FEATURES = (
    *(f"level{k}" for k in range(len(BANDS))),
    *(f"after{round(1000 * t)}ms" for t in _LATER_S),
    "attack",
    "alike",
    "louder",
)
"""Names of the figures of a sudden sound."""


@dataclass(frozen=True, slots=True, eq=False)
class Onsets:
    """The sudden sounds of a recording.

    Parameters
    ----------
    time : ndarray, shape (n,)
        When each began, s.
    figures : ndarray, shape (n, len(FEATURES))
        Levels are natural logarithms of power over the background.
    """

    time: Floats
    figures: Floats


def onsets(samples: Floats, rate: float) -> Onsets:
    """Find the sudden sounds.

    Parameters
    ----------
    samples : ndarray, shape (n,)
    rate : float
        Samples per second.

    Returns
    -------
    Onsets
    """
    level = _levels(samples, rate)
    frames = rate / round(rate / _FRAMES)
    mean = level.mean(axis=1)
    rise = np.zeros(len(mean))
    rise[3:] = mean[3:] - mean[:-3]
    places, _ = signal.find_peaks(rise, height=_LEAST, distance=round(_APART_S * _FRAMES))
    places = places[places < len(mean) - round(_LATER_S[-1] * _FRAMES) - 4]
    if not len(places):
        return Onsets(np.empty(0), np.empty((0, len(FEATURES))))
    peak = np.array([level[p : p + 5].max(axis=0) for p in places])
    figures = np.column_stack(
        [peak, *_after(mean, places, peak), _attack(mean, places, peak), *_row(places, peak)]
    )
    return Onsets((np.maximum(places - 2, 0)) / frames + 0.5 * _WINDOW_S, figures)


def _levels(samples: Floats, rate: float) -> Floats:
    """Log of power over the background, by frame and band, never below 0."""
    size, hop = round(_WINDOW_S * rate), round(rate / _FRAMES)
    window = np.hanning(size)
    frames = np.lib.stride_tricks.sliding_window_view(samples, size)[::hop]
    hertz = np.fft.rfftfreq(size, 1.0 / rate)
    chosen = [(hertz >= low) & (hertz < high) for low, high in BANDS]
    found = np.empty((len(frames), len(BANDS)))
    for start in range(0, len(frames), 4096):
        part = slice(start, start + 4096)
        power = np.abs(np.fft.rfft(frames[part] * window, axis=1)) ** 2
        for k, band in enumerate(chosen):
            found[part, k] = power[:, band].sum(axis=1)
    steady = ndimage.percentile_filter(
        found[::20], 40, size=(round(_BACKGROUND_S * _FRAMES / 20), 1), mode="nearest"
    )
    background = np.repeat(steady, 20, axis=0)[: len(found)] + 1e-9 * found.max() + 1e-30
    return np.asarray(np.log1p(found / background))


def _after(mean: Floats, places: np.ndarray, peak: Floats) -> list[Floats]:
    """Return how far it has died away after a while, as a share of its level."""
    top = peak.mean(axis=1)
    found = []
    for late in _LATER_S:
        k = round(late * _FRAMES)
        found.append(np.array([mean[p + k - 1 : p + k + 3].mean() for p in places]) / top)
    return found


def _attack(mean: Floats, places: np.ndarray, peak: Floats) -> Floats:
    """Return what there was just before, as a share of its level."""
    before = np.array([mean[max(p - 8, 0) : max(p - 3, 1)].mean() for p in places])
    return np.asarray(before / peak.mean(axis=1))


def _row(places: np.ndarray, peak: Floats) -> tuple[Floats, Floats]:
    """Return how many sounds like it stand near it, and how much louder the loudest near it is."""
    time, level = places / _FRAMES, peak.mean(axis=1)
    alike, louder = np.zeros(len(places)), np.zeros(len(places))
    for k, t in enumerate(time):
        gap = np.abs(time - t)
        near = (gap < _ROW_S) & (gap > 0.04)
        distance = np.abs(peak - peak[k]).mean(axis=1)
        alike[k] = np.exp(-((distance[near] / 1.2) ** 2)).sum()
        louder[k] = max(float(level[near].max(initial=0.0)) - float(level[k]), -3.0)
    return np.minimum(alike, 6.0), louder
