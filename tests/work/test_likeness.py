"""Pulls of a joint beside one another, as the log holds them."""

from __future__ import annotations

from typing import Any

import numpy as np

from clampwright.trace.verdict import TraceVerdict
from clampwright.work.fold import JobState, PullKey, fold
from clampwright.work.likeness import learned_here, odd_ones, with_the_unusual

PLAN: dict[str, Any] = {
    "machine": "test rig",
    "joints": [
        {
            "id": "cover",
            "thread": "M8",
            "strength": "8.8",
            "friction": "oiled",
            "fasteners": 12,
            "stages": [{"text": "torque 25 N·m", "limits": {"low": 24.0, "high": 26.0}}],
        }
    ],
}


def job(
    slopes: list[float], *, verdict: str = "within", plan: dict[str, Any] | None = None
) -> JobState:
    entries: list[dict[str, Any]] = [
        {"kind": "job_opened", "id": "o", "body": {"plan": plan or PLAN}}
    ]
    for number, slope in enumerate(slopes, 1):
        found = {
            "pattern": "normal",
            "fault": False,
            "slope_nm_per_deg": f"{slope:.6g}",
            "turned_after_snug_deg": f"{25.0 / slope:.6g}",
            "final_torque_nm": "25.1",
            "clamp_n": None,
            "uncertainty": {"slope_nm_per_deg": "0.01", "turned_after_snug_deg": "0.2"},
        }
        body = {
            "joint": "cover",
            "stage": 1,
            "fastener": number,
            "verdict": verdict,
            "reasons": [],
            "limits": {"quantity": "torque"},
            "found": found,
        }
        entries.append({"kind": "pull", "id": f"p{number}", "body": body})
    return fold(entries)


def slopes(count: int, seed: int = 1) -> list[float]:
    rng = np.random.default_rng(seed)
    return [1.0 + float(x) for x in rng.normal(0.0, 0.03, count)]


KEY = PullKey("cover", 1, 12)
PULL = TraceVerdict(
    "within",
    "normal",
    fault=False,
    reasons=(),
    final_torque=25.0,
    turned_after_snug=25.0,
    slope=1.0,
)


def test_too_few_good_pulls_leave_a_verdict_as_it_is() -> None:
    assert with_the_unusual(PULL, job(slopes(9)), KEY) is PULL
    assert with_the_unusual(PULL, job(slopes(11), verdict="doubtful"), KEY) is PULL


def test_a_pull_unlike_the_good_ones_before_keeps_its_verdict_and_says_so() -> None:
    state = job(slopes(11))
    assert with_the_unusual(PULL, state, KEY).reasons == ()
    steep = TraceVerdict(
        "within", "normal", fault=False, reasons=(), turned_after_snug=17.0, slope=1.5
    )
    told = with_the_unusual(steep, state, KEY)
    assert told.verdict == "within"
    assert len(told.reasons) == 2
    assert "11 good pulls lay between" in str(told.reasons[0])


def test_other_jobs_on_the_same_joint_count_and_others_do_not() -> None:
    few = job(slopes(5))
    other = job(slopes(6, seed=2))
    assert learned_here(few, KEY) is None
    known = learned_here(few, KEY, other, few)
    assert known is not None
    assert known.features["slope"].count == 11
    machine = job(slopes(6), plan={**PLAN, "machine": "another rig"})
    changed = {**PLAN["joints"][0], "stages": [{"text": "torque 30 N·m", "limits": {}}]}
    stage = job(slopes(6), plan={**PLAN, "joints": [changed]})
    assert learned_here(few, KEY, machine, stage, JobState()) is None


def test_the_odd_fastener_of_a_joint_is_named() -> None:
    assert odd_ones(job(slopes(10)), "cover", 1) == []
    told = odd_ones(job([*slopes(9), 1.6]), "cover", 1)
    assert told
    assert "fastener 10 differs from the others of this joint" in str(told[0])
    assert odd_ones(job([1.0, 1.0, 2.0]), "cover", 1) == []
    assert odd_ones(job([*slopes(9), 1.6]), "cover", 2) == []
