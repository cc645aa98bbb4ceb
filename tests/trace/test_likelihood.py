from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import ClampwrightError
from clampwright.trace.causes import CAUSES, causes, told
from clampwright.trace.causes import _table as table_of_causes
from clampwright.trace.drawn import drawn
from clampwright.trace.likelihood import EVIDENCE, likelihoods, table_of_priors
from clampwright.trace.patterns import PATTERNS, TITLES
from clampwright.trace.verdict import judge

evidence = st.dictionaries(st.sampled_from(EVIDENCE), st.floats(-10.0, 10.0))


@given(st.sampled_from(PATTERNS), evidence)
def test_likelihoods_are_shares_of_one(answer: str, seen: dict[str, float]) -> None:
    found = likelihoods(answer, seen)
    assert set(found) == set(PATTERNS)
    assert sum(found.values()) == pytest.approx(1.0)
    assert all(0.0 <= share <= 1.0 for share in found.values())


def test_priors_are_tunable_and_count() -> None:
    rare = dict(table_of_priors()) | {"galling": 1e-6}
    often = dict(table_of_priors()) | {"galling": 1e3}
    assert likelihoods("bottomed", {}, rare)["galling"] < likelihoods("bottomed", {})["galling"]
    assert likelihoods("bottomed", {}, often)["galling"] > likelihoods("bottomed", {})["galling"]
    assert likelihoods("normal", {}, {"normal": 1.0})["normal"] == 1.0
    with pytest.raises(ClampwrightError, match="prior above 0"):
        likelihoods("normal", {}, {})


def test_a_pattern_at_its_middle_is_likelier_than_far_from_it() -> None:
    near = likelihoods("slope_out_of_band", {"slope": 0.3})["slope_out_of_band"]
    far = likelihoods("slope_out_of_band", {"slope": 3.0})["slope_out_of_band"]
    assert near > far


def test_every_pattern_has_prior_and_title() -> None:
    assert set(table_of_priors()) == set(PATTERNS) == set(TITLES)


def test_causes_that_look_alike_are_listed_with_their_shares() -> None:
    steep, flat = causes("slope_out_of_band", 1.4), causes("slope_out_of_band", 0.7)
    assert set(steep) != set(flat)
    assert sum(steep.values()) == pytest.approx(1.0)
    assert [str(line) for line in told(steep)][-1] == "possible cause, 15%: a washer is missing"
    assert causes("normal", 1.0) == causes("soft_joint", None) == {}
    for row in table_of_causes():
        assert row["cause"] in CAUSES
        assert row["source"].startswith("ours")


def test_a_verdict_carries_both() -> None:
    case = drawn(1, "slope_out_of_band")
    verdict = judge(case.trace, case.given)
    assert verdict.pattern == "slope_out_of_band"
    assert verdict.likelihoods["slope_out_of_band"] > 0.5
    data = json.loads(json.dumps(verdict.as_json()))
    assert sum(data["likelihoods"].values()) == pytest.approx(1.0, abs=1e-3)
    assert sum(data["causes"].values()) == pytest.approx(1.0, abs=1e-3)
    assert any("possible cause" in reason for reason in data["reasons"])


def test_the_likeliest_pattern_is_nearly_always_the_one_answered() -> None:
    agree = []
    for pattern in PATTERNS:
        for seed in (11, 12):
            case = drawn(seed, pattern)
            verdict = judge(case.trace, case.given)
            best = max(verdict.likelihoods, key=lambda name: verdict.likelihoods[name])
            agree.append(best == verdict.pattern)
    assert np.mean(agree) > 0.9
