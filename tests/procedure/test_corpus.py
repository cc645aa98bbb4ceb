"""Reading against meanings written by hand: what has been reached is held, and none is silent."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

HERE = Path(__file__).parent


def _scoring() -> ModuleType:
    spec = importlib.util.spec_from_file_location("procedure_scoring", HERE / "scoring.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


scoring = _scoring()

# file, cases, whole cases and right statuses reached; to be raised, never lowered
REACHED = [
    ("corpus.jsonl", 99, 99, 99),
    ("own_cases.jsonl", 419, 419, 419),
    ("kept_cases.jsonl", 782, 782, 782),
    ("fresh_cases.jsonl", 1299, 1299, 1299),
    ("later_cases.jsonl", 465, 465, 465),
]


@pytest.mark.parametrize(("name", "count", "whole", "statuses"), REACHED)
@pytest.mark.no_cover
def test_what_has_been_reached_is_held(
    name: str, count: int, whole: int, statuses: int, capsys: pytest.CaptureFixture[str]
) -> None:
    scores = [scoring.score(case) for case in scoring.cases(name)]
    with capsys.disabled():
        print(f"\n{name}\n{scoring.table(scores)}")
    wrong = [f"{one.case}: {one.wrong}" for one in scores if not one.whole]
    assert len(scores) == count
    assert sum(one.status_right for one in scores) >= statuses, wrong
    assert sum(one.whole for one in scores) >= whole, wrong


@pytest.mark.parametrize("name", [row[0] for row in REACHED])
@pytest.mark.no_cover
def test_nothing_is_misread_silently_and_plain_lines_are_not_asked(name: str) -> None:
    scores = [scoring.score(case) for case in scoring.cases(name)]
    plain = [case for case in scoring.cases(name) if case["expect"]["status"] == "ok"]
    assert [one.case for one in scores if one.silent] == []
    assert sum(one.asked_plain for one in scores) <= 0.05 * len(plain)
    assert sum(one.extra_warnings for one in scores) <= 0.03 * len(scores)


def test_all_eight_languages_are_tried() -> None:
    tried = [case["locale"].partition("-")[0] for case in scoring.cases("own_cases.jsonl")]
    for language in ("en", "de", "fr", "es", "it", "pt", "nl", "ja"):
        assert tried.count(language) >= 8


@pytest.mark.parametrize(
    ("change", "remark"),
    [
        ({"value": 31.0}, "stages"),
        ({"unit": "ft·lbf"}, "stages"),
        ({"kind": "angle"}, "stages"),
        ({"fasteners": [1, 2]}, "stages"),
        ({"tolerance_high": 32}, "stages"),
        ({"exact": {"direction": "ccw"}}, "stages"),
    ],
)
def test_the_scorer_sees_a_wrong_stage(change: dict[str, Any], remark: str) -> None:
    stage = {"kind": "torque", "value": 30, "unit": "N·m", "tolerance_low": None}
    stage |= {"tolerance_high": None, "fasteners": "all"}
    expect = {"status": "ok", "stages": [stage | change], "lubrication": [], "reuse": None}
    case = {"id": "x", "text": "30 Nm", "locale": "en", "expect": expect | {"warnings": []}}
    result = scoring.score(case)
    assert remark in result.wrong
    assert result.silent
