"""Spoilt contents for every reader: a sentence or an answer, nothing else, and in bounded time."""

from __future__ import annotations

import contextlib
import resource
import signal
import sys
from collections.abc import Iterator, Mapping
from types import FrameType

import pytest
from fuzzers import FUZZERS, Fuzzer
from hypothesis import example, given, settings
from hypothesis import strategies as st
from spoilt import spoilt

from clampwright.errors import ClampwrightError

LONGEST_S = 5
"""Processor seconds for one content; the largest that the gate lets through take about one."""
MOST_MEMORY = 6 << 30
"""Bytes of address space in the large runs; libraries take the first two of them."""
EACH = [(row, number) for row, found in FUZZERS.items() for number in range(len(found))]


class TooLong(BaseException):
    """Not an Exception, so that no reader can take it for its own."""


@contextlib.contextmanager
def in_time() -> Iterator[None]:
    def stop(_signal: int, _frame: FrameType | None) -> None:
        raise TooLong

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, LONGEST_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def taken(one: Fuzzer, data: bytes) -> bool:
    """Read it; a declared refusal is an answer too."""
    with in_time():
        try:
            one.read(data)
        except ClampwrightError as error:
            sentence = str(error.message)
        else:
            return True
    assert sentence
    return False


@pytest.mark.parametrize(("row", "number"), EACH)
def test_spoilt_contents_are_read_or_refused(row: str, number: int) -> None:
    one = FUZZERS[row][number]
    seeds = one.seeds()
    assert seeds

    @settings(max_examples=20)
    @given(change=st.integers(0, 2**32 - 1))
    @example(change=0)
    def spoil(change: int) -> None:
        taken(one, spoilt(seeds, change))

    spoil()


def bombs(size: int) -> Mapping[str, bytes]:
    """What is made to cost more than it is long."""
    return {
        "deep": b"[" * size,
        "deep objects": b'{"a":' * (size // 6),
        "deep and closed": b"[" * (size // 2) + b"]" * (size // 2),
        "deep TOML": b"a = " + b"[" * size,
        "a key of many parts": b".".join([b"a"] * (size // 2)) + b" = 1",
        "a table of many parts": b"[" + b".".join([b"a"] * (size // 2)) + b"]",
        "a number of many digits": b'{"a": ' + b"9" * size + b"}",
        "a TOML number of many digits": b"a = " + b"9" * size,
        "half a character": b'{"a": "\\ud800"}',
        "not finite": b'{"a": 1e999, "b": NaN}',
        "one long line": b"a" * size,
        "many blanks": b"a = [\n[" + b" " * size + b"\n1]]\nb =",
        "many quotes": b'"' * size,
        "many lines": b"\n" * size,
        "many commas": b"," * size,
        "nothing": b"",
        "zeros": bytes(size),
    }


def explode(size: int) -> None:
    """Give each to every reader: what explodes in one format may be harmless in another."""
    for bomb in bombs(size).values():
        for found in FUZZERS.values():
            for one in found:
                taken(one, bomb[: one.longest])


def test_what_is_made_to_cost_much_costs_little() -> None:
    explode(20_000)


@pytest.mark.soak
def test_much_of_it_costs_little_too() -> None:
    explode(900_000)


@pytest.mark.soak
@pytest.mark.parametrize(("row", "number"), EACH)
def test_many_spoilt_contents(row: str, number: int) -> None:
    """Prints how many, for the kept table of counts."""
    one = FUZZERS[row][number]
    seeds = one.seeds()
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, hard))
    try:
        good = sum(taken(one, spoilt(seeds, change)) for change in range(one.many))
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
    sys.stdout.write(f"\n{row},{number},{one.many},{good},{one.many - good}\n")
