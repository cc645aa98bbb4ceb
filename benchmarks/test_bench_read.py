"""Reading procedures: lines a second in one process, and how time grows with length."""

from __future__ import annotations

import json
import time
from itertools import cycle, islice
from pathlib import Path
from typing import Any

from pytest_benchmark.fixture import BenchmarkFixture

from clampwright.procedure.reader import read

CASES = Path(__file__).parents[1] / "tests" / "procedure" / "corpus.jsonl"
WANTED_PER_SECOND = 400
MEGABYTE = 1_000_000


def _cases() -> list[dict[str, Any]]:
    lines = CASES.read_text(encoding="utf-8").splitlines()
    return [json.loads(line) for line in lines if not line.startswith("#")]


def _page(characters: int) -> str:
    """Return the wordings of the cases, one after the other, as long as is wanted."""
    told = [one["text"] for one in _cases() if one["expect"]["status"] != "refused"]
    return "\n".join(islice(cycle(told), characters // 50))[:characters]


def _seconds(text: str) -> float:
    begin = time.process_time()
    read(text)
    return time.process_time() - begin


def test_one_line_procedures_in_batch(benchmark: BenchmarkFixture) -> None:
    cases = _cases()

    def batch() -> float:
        begin = time.process_time()
        for case in cases:
            read(case["text"], case["locale"])
        return len(cases) / (time.process_time() - begin)

    batch()
    rate = benchmark(batch)
    benchmark.extra_info["lines_per_second"] = round(rate)
    assert rate >= WANTED_PER_SECOND


def test_time_grows_linearly_up_to_a_megabyte(benchmark: BenchmarkFixture) -> None:
    texts = {share: _page(MEGABYTE // share) for share in (32, 16, 8, 4, 1)}
    seconds = {share: _seconds(texts[share]) for share in (32, 16, 8, 4)}
    begin = time.process_time()
    benchmark.pedantic(read, args=(texts[1],), rounds=1)  # type: ignore[no-untyped-call]  # the plugin has no types for it
    seconds[1] = time.process_time() - begin
    # A straight line through the origin by least squares: seconds = rate x length.
    lengths = {share: len(text) for share, text in texts.items()}
    products = sum(lengths[share] * seconds[share] for share in seconds)
    rate = products / sum(length**2 for length in lengths.values())
    benchmark.extra_info["microseconds_per_character"] = round(rate * 1e6, 2)
    benchmark.extra_info["seconds"] = {
        lengths[one]: round(spent, 2) for one, spent in seconds.items()
    }
    for share, spent in seconds.items():
        assert spent < 2 * rate * lengths[share] + 0.2
