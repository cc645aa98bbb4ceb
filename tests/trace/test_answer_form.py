"""The answer as other programs read it: every member, its type and its unit's name."""

from __future__ import annotations

import json
from itertools import count

import numpy as np
import pytest

from clampwright.trace.drawn import Drawn, drawn
from clampwright.trace.patterns import PATTERNS
from clampwright.trace.verdict import VERDICTS, judge

COLUMNS = ("handle", "accumulated", "output", "rate")
ANGLES_AND_LOADS = (
    "snug_angle_deg",
    "turned_after_snug_deg",
    "turned_total_deg",
    "final_torque_nm",
    "slope_nm_per_deg",
)
STATED = {*ANGLES_AND_LOADS, "clamp_n", "yield_clamp_n", "yield_angle_deg"}
ENDS = {"back_swing", "released", "paused", "slipped", "end_of_trace"}


def recorded(pattern: str, column: str) -> Drawn:
    """Draw pulls until one was recorded with this column."""
    return next(c for c in (drawn(seed, pattern) for seed in count(300)) if c.column == column)


@pytest.mark.parametrize("column", COLUMNS)
@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.no_cover
def test_every_pattern_and_column_answers_in_the_agreed_form(pattern: str, column: str) -> None:
    case = recorded(pattern, column)
    answer = json.loads(json.dumps(judge(case.trace, case.given).as_json(), allow_nan=False))
    assert answer["verdict"] in VERDICTS
    assert answer["pattern"] in PATTERNS
    assert type(answer["fault"]) is bool
    assert set(answer["likelihoods"]) == set(PATTERNS)
    assert sum(answer["likelihoods"].values()) == pytest.approx(1.0, abs=0.002)
    assert all(isinstance(reason, str) and reason for reason in answer["reasons"])
    for name in ANGLES_AND_LOADS:
        assert answer[name] is None or type(answer[name]) is float, name
    _check_parts(answer)


def _check_parts(answer: dict[str, dict[str, float]]) -> None:
    bend = answer["yield"]
    assert set(bend) == {"reached", "angle_deg", "clamp_n"}
    assert type(bend["reached"]) is bool
    assert answer["strokes"]
    for stroke in answer["strokes"]:
        assert set(stroke) == {"t0_s", "t1_s", "turned_deg", "end"}
        assert stroke["t0_s"] < stroke["t1_s"]  # type: ignore[index]  # a stroke is an object
        assert stroke["end"] in ENDS  # type: ignore[index]  # same
    stated = answer["uncertainty"]
    assert set(stated) <= STATED
    values = {**answer, "yield_angle_deg": bend["angle_deg"], "yield_clamp_n": bend["clamp_n"]}
    assert {name for name in STATED if values[name] is not None} == set(stated)
    assert all(np.isfinite(u) and u > 0.0 for u in stated.values())
