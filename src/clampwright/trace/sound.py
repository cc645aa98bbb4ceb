"""Hearing a click wrench's click in a recording: when, and how probably; never certainty.

Every sudden sound is described by a few figures (`sound_onsets`) and weighed by a logistic model
whose weights lie beside the code (`sound_weights.csv`), counted on simulated benches by
``tools/sound_report.py``. How often it hears and mishears stands in
docs/validation/click-by-ear.md: measured on simulated sounds, and not good enough to judge a pull
by. A click that was heard is a hint that the setting was reached, no more.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike
from scipy import signal

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.trace.model import Floats
from clampwright.trace.sound_onsets import FEATURES, onsets
from clampwright.words import words

LOWEST_RATE, USUAL_RATE, HIGHEST_RATE = 15_000.0, 44_100.0, 400_000.0
"""Samples per second that are taken; above 50 000 the recording is resampled to the usual rate."""
_PIECE_S, _OVERLAP_S = 60.0, 1.5
_FURTHEST = 4.0  # standard deviations beyond which a figure counts no more


@dataclass(frozen=True, slots=True)
class Click:
    """A sudden sound that may be a wrench's click.

    Parameters
    ----------
    time : float
        When, s from the first sample.
    probability : float
        That it is a click, 0 to 1, if one as often clicks as on the simulated benches.
    level : float
        Power over the background in the loudest band, dB.
    """

    time: float
    probability: float
    level: float


def find_clicks(samples: ArrayLike, rate: float, *, least: float = 0.5) -> tuple[Click, ...]:
    """Find a click wrench's click in a recording of a microphone.

    Parameters
    ----------
    samples : array_like, shape (n,)
        One channel, in any unit; at least half a second.
    rate : float
        Samples per second, 15 000 to 400 000.
    least : float
        Probability below which a sound is not told, 0 to 1.

    Returns
    -------
    tuple of Click
        In the order of time.

    Raises
    ------
    OutOfRange
        For a rate or a probability that cannot be.
    ClampwrightError
        For samples that are no row of numbers, or too few.

    Notes
    -----
    Rates of hits and false alarms, and what they were measured on:
    docs/validation/click-by-ear.md. Memory beside the samples does not grow with their number.

    Examples
    --------
    >>> from clampwright.trace.sound_simulate import Bench, recorded_bench
    >>> heard = recorded_bench(4, Bench(seconds=4.0))
    >>> (click,) = find_clicks(heard.samples, heard.rate)
    >>> abs(click.time - heard.clicks[0]) < 0.01
    True
    """
    sound, rate = _checked(samples, rate, least)
    size, step = round(_PIECE_S * rate), round((_PIECE_S - _OVERLAP_S) * rate)
    found: list[Click] = []
    for start in range(0, max(len(sound) - round(_OVERLAP_S * rate), 1), step):
        begin = start / rate
        heard = onsets(sound[start : start + size], rate)
        for t, p, level in zip(
            heard.time, probabilities(heard.figures), heard.figures[:, :4].max(axis=1), strict=True
        ):
            last = found[-1].time if found else -1.0
            if p >= least and begin + t > last + 0.02:
                found.append(Click(begin + float(t), float(p), 10.0 * float(level) / math.log(10)))
    return tuple(found)


def probabilities(figures: Floats) -> Floats:
    """Return how probably each sudden sound is a click.

    Parameters
    ----------
    figures : ndarray, shape (n, k)
        From `clampwright.trace.sound_onsets.onsets`.

    Returns
    -------
    ndarray, shape (n,)
    """
    middle, spread, weights = model()
    return np.asarray(1.0 / (1.0 + np.exp(-(terms(figures, middle, spread) @ weights))))


def terms(figures: Floats, middle: Floats, spread: Floats) -> Floats:
    """Return what is weighed: one, each figure on its own scale, each product of two.

    Parameters
    ----------
    figures : ndarray, shape (n, k)
    middle, spread : ndarray, shape (k,)

    Returns
    -------
    ndarray, shape (n, 1 + k + k (k + 1) / 2)
    """
    z = np.clip((figures - middle) / spread, -_FURTHEST, _FURTHEST)
    one, other = np.triu_indices(figures.shape[1])
    return np.column_stack([np.ones(len(z)), z, z[:, one] * z[:, other]])


@lru_cache(maxsize=1)
def model() -> tuple[Floats, Floats, Floats]:
    """Return the middle and spread of each figure, and the weights, from the table.

    Returns
    -------
    tuple of ndarray
        Shapes (k,), (k,) and (1 + k + k (k + 1) / 2,).
    """
    text = resources.files("clampwright.trace").joinpath("sound_weights.csv").read_text("utf-8")
    rows: dict[str, list[float]] = {"middle": [], "spread": [], "weight": []}
    for row in csv.DictReader(text.splitlines()):
        rows[row["kind"]].append(float(row["value"]))
    middle, spread, weights = (np.array(rows[kind]) for kind in ("middle", "spread", "weight"))
    if len(middle) != len(FEATURES):
        raise ClampwrightError(words("sound_weights.csv does not belong to these figures"))
    return middle, spread, weights


def _checked(samples: ArrayLike, rate: float, least: float) -> tuple[Floats, float]:
    if not LOWEST_RATE <= rate <= HIGHEST_RATE:
        raise OutOfRange(
            words(
                "a recording of {rate:g} samples a second cannot be used; {low:g} to {high:g} can",
                rate=rate,
                low=LOWEST_RATE,
                high=HIGHEST_RATE,
            ),
            value=rate,
            low=LOWEST_RATE,
            high=HIGHEST_RATE,
        )
    if not 0.0 <= least <= 1.0:
        raise OutOfRange(
            words("a probability lies between 0 and 1; got {least:g}", least=least),
            value=least,
            low=0.0,
            high=1.0,
        )
    sound = np.asarray(samples, dtype=np.float64)
    if sound.ndim != 1 or len(sound) < 0.5 * rate:
        raise ClampwrightError(
            words("a recording is one row of samples (one channel), half a second or longer")
        )
    if not np.isfinite(sound).all():
        raise ClampwrightError(words("a recording must hold numbers only"))
    if float(np.ptp(sound)) == 0.0:
        raise ClampwrightError(words("the recording is silent: is the microphone on?"))
    if rate <= 50_000.0:
        return sound, rate
    down = math.ceil(rate / USUAL_RATE)
    return np.asarray(signal.decimate(sound, down, ftype="fir")), rate / down
