"""The guided job is killed at random moments: nothing acknowledged is lost, and it goes on.

The process is the command, forked from one that has it loaded and fed through its standard input;
an answer counts as acknowledged when its verdict was printed.
"""

from __future__ import annotations

import json
import os
import random
import time
from typing import Any

import pytest
from forked import Forked

from clampwright.bench.folder import Workshop, open_store
from clampwright.work.fold import fold

JOB = "propeller-coupling"
PULLS = 12


class Bench:
    """One run of the command until it is killed or the job is done."""

    def __init__(self, forked: Forked, place: Workshop) -> None:
        asks, reads = os.pipe(), os.pipe()
        self.call = forked.call(
            "tighten", "--json", place.jobs / f"{JOB}.toml", streams=(asks[0], reads[1], 2)
        )
        os.close(asks[0])
        os.close(reads[1])
        self.stdin = os.fdopen(asks[1], "w", encoding="utf-8")
        self.stdout = os.fdopen(reads[0], encoding="utf-8")

    def line(self) -> dict[str, Any] | None:
        text = self.stdout.readline()
        if not text.endswith("\n"):
            return None
        data: dict[str, Any] = json.loads(text)
        return data

    def answer(self, asked: dict[str, Any]) -> None:
        """Hand in what is right for the tool that is asked for."""
        click = asked["tool_kind"] == "click"
        self.stdin.write("c\n" if click else f"{asked['setting']['value']:g}\n")
        self.stdin.flush()

    def kill(self) -> None:
        self.call.kill()
        for pipe in (self.stdin, self.stdout):
            try:
                pipe.close()
            except BrokenPipeError:
                continue  # what was not read any more died with the process


def acknowledged_until_killed(forked: Forked, place: Workshop, chance: random.Random) -> list[str]:
    """Answer pulls until a random moment, kill, and return the ids that were acknowledged."""
    bench, seen = Bench(forked, place), []
    answers = chance.randrange(3)
    delay = chance.uniform(0.0, 0.02)
    try:
        for _ in range(answers):
            asked = bench.line()
            if asked is None:
                break
            bench.answer(asked)
            verdict = bench.line()
            if verdict is None:
                break
            seen.append(verdict["entry"])
        asked = bench.line()
        if asked is not None:
            bench.answer(asked)
            time.sleep(delay)
    finally:
        bench.kill()
    return seen


def entries(place: Workshop) -> list[dict[str, Any]]:
    with open_store(place) as store:
        assert store.check() > 0
        return list(store.entries(job=JOB))


def killed_again_and_again(forked: Forked, place: Workshop, moments: int, seed: int) -> int:
    """Kill the job at random moments, starting it anew when it is done; return acknowledgements."""
    chance, acknowledged, total = random.Random(seed), [], 0
    for _ in range(moments):
        acknowledged += acknowledged_until_killed(forked, place, chance)
        if place.folder.joinpath("workshop.sqlite").exists():
            stored = [one["id"] for one in entries(place) if one["kind"] == "pull"]
            assert len(stored) == len(set(stored))
            assert set(acknowledged) <= set(stored)
            state = fold(entries(place))
            assert all(pull.settled for pull in state.pulls)
            if len(stored) >= PULLS - 3:
                total += len(acknowledged)
                acknowledged = []
                for file in place.folder.glob("workshop.*"):
                    file.unlink()
    return total + len(acknowledged)


def test_twenty_random_moments(forked: Forked, workshop: Workshop) -> None:
    assert killed_again_and_again(forked, workshop, 20, seed=7) > 8


@pytest.mark.soak
def test_five_hundred_random_moments(forked: Forked, workshop: Workshop) -> None:
    acknowledged = killed_again_and_again(forked, workshop, 500, seed=9)
    print(f"\n500 kills of the guided job, {acknowledged} acknowledged pulls, none lost or doubled")
    assert acknowledged > 200


def test_after_a_kill_it_goes_on_where_it_was(forked: Forked, workshop: Workshop) -> None:
    bench = Bench(forked, workshop)
    first = bench.line()
    assert first is not None
    bench.answer(first)
    assert bench.line() is not None
    bench.kill()
    again = Bench(forked, workshop)
    now = again.line()
    again.kill()
    assert now is not None
    assert now["left"] == first["left"] - 1
