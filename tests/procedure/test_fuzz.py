"""Generated and changed texts: an answer each, in time, with no number lost."""

from __future__ import annotations

import gc
import importlib.util
import json
import sys
import time
import unicodedata
from collections import Counter
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clampwright.procedure import spans
from clampwright.procedure.reader import read
from clampwright.procedure.reading import Reading

HERE = Path(__file__).parent
SLICE, WHOLE = 500, 60_000
EXAMPLES = 40_000
SECONDS = 1.0


def _beside(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(f"procedure_{name}", HERE / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


mutation, scoring = _beside("mutation"), _beside("scoring")


def corpus() -> list[tuple[str, str]]:
    names = ("corpus.jsonl", "own_cases.jsonl", "kept_cases.jsonl", "fresh_cases.jsonl")
    return [(one["text"], one["locale"]) for name in names for one in scoring.cases(name)]


def lost(text: str, reading: Reading) -> list[str]:
    """Return the digits and fractions that stand in no span but that of plain words."""
    return [
        text[place]
        for piece in spans(text, reading)
        if piece.role == "plain"
        for place in range(piece.start, piece.end)
        if unicodedata.category(text[place]) in {"Nd", "No"} and text[place] not in "²³"
    ]


def timed(text: str, locale: str) -> tuple[Reading, float]:
    begin = time.process_time()
    return read(text, locale), time.process_time() - begin


def check(text: str, locale: str) -> Reading:
    """Read a text and hold it to what every text must get."""
    reading, spent = timed(text, locale)
    if spent >= SECONDS:  # the collector may have gone through all that a long run has kept
        gc.collect()
        reading, spent = timed(text, locale)
    assert spent < SECONDS, (spent, text, locale)
    assert (reading.error is not None) == (reading.status == "refused"), (text, locale)
    assert bool(reading.why) == (reading.status == "ambiguous"), (text, locale)
    pieces = spans(text, reading)
    assert "".join(text[one.start : one.end] for one in pieces) == text, (text, locale)
    assert lost(text, reading) == [], (text, locale)
    json.dumps(reading.as_json())
    return reading


def test_the_same_seed_makes_the_same_texts() -> None:
    cases = corpus()
    assert list(mutation.mutated(cases, 20, 3)) == list(mutation.mutated(cases, 20, 3))
    assert list(mutation.mutated(cases, 20, 3)) != list(mutation.mutated(cases, 20, 4))


def test_a_slice_of_changed_texts() -> None:
    statuses = Counter(check(*one).status for one in mutation.mutated(corpus(), SLICE, 11))
    assert sum(statuses.values()) == SLICE
    assert len(statuses) == 3  # the changes reach every kind of answer


@pytest.mark.soak
def test_many_changed_texts(capsys: pytest.CaptureFixture[str]) -> None:
    statuses = Counter(check(*one).status for one in mutation.mutated(corpus(), WHOLE, 2026))
    with capsys.disabled():
        print(f"\nchanged texts: {dict(statuses)}")
    assert sum(statuses.values()) == WHOLE


PIECES = st.sampled_from(sorted({word for text, _ in corpus() for word in text.split()}))
MARKS = st.sampled_from([" ", " ", " ", "\n", ", ", ". ", "; ", ": ", " (", ") ", "-", "/", ""])
LOCALES = st.sampled_from(
    ["en", "de-DE", "fr-FR", "es-ES", "it-IT", "pt-BR", "nl-NL", "ja-JP", "und"]
)
TEXTS = st.lists(st.tuples(PIECES, MARKS), max_size=30).map(
    lambda parts: "".join(word + mark for word, mark in parts)
)


@given(TEXTS, LOCALES)
@settings(max_examples=100, deadline=None)
def test_words_of_all_languages_mixed(text: str, locale: str) -> None:
    check(text, locale)


@pytest.mark.soak
def test_many_words_of_all_languages_mixed() -> None:
    counted = Counter[str]()

    @given(TEXTS, LOCALES)
    @settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
    def every(text: str, locale: str) -> None:
        counted[check(text, locale).status] += 1

    every()
    assert sum(counted.values()) >= EXAMPLES
