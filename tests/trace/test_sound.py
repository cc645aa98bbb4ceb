"""Hearing a click among ticks, blows and noise; rates are measured in docs/validation."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.trace.sound import find_clicks, model, probabilities
from clampwright.trace.sound_onsets import FEATURES, onsets
from clampwright.trace.sound_simulate import WIDER, Bench, recorded_bench

SHORT = Bench(seconds=5.0)


@pytest.mark.no_cover
def test_most_clicks_are_heard_in_their_place_and_little_else() -> None:
    heard, false = 0, 0
    for seed in range(700, 730):
        made = recorded_bench(seed, SHORT)
        found = find_clicks(made.samples, made.rate)
        right = [click for click in found if abs(click.time - made.clicks[0]) < 0.02]
        heard += bool(right)
        false += len(found) - len(right)
    assert heard >= 26
    assert false <= 2


def test_ticks_blows_and_noise_alone_are_no_click() -> None:
    false = 0
    for seed in range(800, 820):
        made = recorded_bench(seed, SHORT, click=False)
        assert len(made.ticks) + len(made.blows) > 0
        assert made.clicks == ()
        false += len(find_clicks(made.samples, made.rate))
    assert false <= 2


def test_neither_gain_nor_length_nor_place_changes_what_is_heard() -> None:
    made = recorded_bench(702, SHORT)
    (click,) = find_clicks(made.samples, made.rate)
    (louder,) = find_clicks(1000.0 * made.samples, made.rate)
    assert louder.time == click.time
    assert louder.probability == pytest.approx(click.probability, abs=1e-6)
    long = np.concatenate([np.tile(made.samples[: made.rate], 57), made.samples])
    later = [one for one in find_clicks(long, made.rate) if one.time > 57.0]
    assert [one.time for one in later] == [pytest.approx(57.0 + click.time, abs=0.005)]


@pytest.mark.parametrize("rate", [16_000, 48_000, 96_000])
@pytest.mark.no_cover
def test_other_rates_are_heard_too(rate: int) -> None:
    hits = 0
    for seed in range(900, 908):
        made = recorded_bench(seed, replace(SHORT, rate=rate))
        found = find_clicks(made.samples, rate)
        hits += any(abs(click.time - made.clicks[0]) < 0.02 for click in found)
    assert hits >= 6


@pytest.mark.no_cover
def test_a_probability_means_what_it_says() -> None:
    """Stated mean against what was right, over many sudden sounds drawn wider."""
    stated, right = [], []
    for seed in range(1_200, 1_230):
        made = recorded_bench(seed, replace(WIDER, seconds=5.0), click=seed % 3 != 0)
        found = onsets(made.samples, made.rate)
        stated += probabilities(found.figures).tolist()
        right += [any(abs(t - click) < 0.02 for click in made.clicks) for t in found.time]
    assert sum(stated) == pytest.approx(sum(right), abs=5.0)


def test_a_higher_demand_hears_less() -> None:
    made = recorded_bench(705, SHORT)
    counts = [len(find_clicks(made.samples, made.rate, least=p)) for p in (0.0, 0.5, 0.999999)]
    assert counts[0] >= counts[1] >= counts[2]
    assert counts[0] > 1


def test_the_table_of_weights_belongs_to_the_figures() -> None:
    middle, spread, weights = model()
    k = len(FEATURES)
    assert len(middle) == len(spread) == k
    assert len(weights) == 1 + k + k * (k + 1) // 2


@pytest.mark.parametrize(
    ("samples", "rate", "least", "error", "says"),
    [
        (np.zeros(40_000), 44_100, 0.5, ClampwrightError, "silent"),
        (np.ones((40_000, 2)), 44_100, 0.5, ClampwrightError, "one channel"),
        (np.ones(900), 44_100, 0.5, ClampwrightError, "half a second"),
        (np.full(40_000, np.nan), 44_100, 0.5, ClampwrightError, "numbers only"),
        (np.ones(40_000), 8_000, 0.5, OutOfRange, "cannot be used"),
        (np.ones(40_000), float("nan"), 0.5, OutOfRange, "cannot be used"),
        (np.ones(40_000), 44_100, 1.5, OutOfRange, "between 0 and 1"),
    ],
)
def test_what_is_no_recording_is_refused(
    samples: Any, rate: float, least: float, error: type[Exception], says: str
) -> None:
    with pytest.raises(error, match=says):
        find_clicks(samples, rate, least=least)


def test_digital_silence_around_a_click_is_no_trouble() -> None:
    made = recorded_bench(706, SHORT)
    start = round((made.clicks[0] - 0.002) * made.rate)
    alone = np.zeros_like(made.samples)
    alone[start : start + 3_000] = made.samples[start : start + 3_000]
    found = find_clicks(alone, made.rate, least=0.0)
    assert found
    for click in found:
        assert 0.0 <= click.probability <= 1.0
        assert np.isfinite(click.level)
