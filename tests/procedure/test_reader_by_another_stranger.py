"""Texts by a second stranger to the reader: manuals, scans, typed notes, in eight languages.

Own texts, invented. ``another_stranger.jsonl`` holds each with what a mechanic takes from it: the
stages of a text that has one meaning, written ``kind figure unit @fasteners``, or only that it
has to be asked about (``ambiguous``) or holds no tightening (``refused``).
"""

import json
from pathlib import Path
from typing import Any

import pytest

from clampwright.procedure.reader import read

LINES = (Path(__file__).parent / "another_stranger.jsonl").read_text(encoding="utf-8").splitlines()
MEANT = [json.loads(line) for line in LINES]


def told(stage: dict[str, Any]) -> str:
    low, high, value = stage["tolerance_low"], stage["tolerance_high"], stage["value"]
    words = [stage["kind"]]
    if low is not None or high is not None:
        ends = ("" if end is None else f"{end:g}" for end in (low, high))
        words += ["..".join(ends), stage["unit"]]
    elif value is not None:
        words += [f"{value:g}", stage["unit"]]
    fasteners = stage["fasteners"]
    if fasteners != "all":
        listed = isinstance(fasteners, list)
        words.append("@" + (",".join(map(str, fasteners)) if listed else fasteners))
    return " ".join(words)


@pytest.mark.parametrize("case", MEANT, ids=[case["id"] for case in MEANT])
def test_it_is_read_as_it_is_meant_or_asked_about(case: dict[str, Any]) -> None:
    found: dict[str, Any] = read(case["text"], case["locale"]).as_json()
    assert found["status"] == case["status"], found["why"]
    if case["status"] == "ok":
        assert [told(stage) for stage in found["stages"]] == case["stages"]


def test_every_language_is_among_them() -> None:
    assert {case["locale"] for case in MEANT} == {"en", "de", "fr", "es", "it", "pt", "nl", "ja"}
