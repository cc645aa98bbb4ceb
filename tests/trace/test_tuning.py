"""Criteria and priors of a person's own."""

from __future__ import annotations

import pytest

from clampwright.errors import BadFile
from clampwright.trace.drawn import drawn
from clampwright.trace.likelihood import likelihoods
from clampwright.trace.limits import limit, limits
from clampwright.trace.tuning import in_force, tuning_from_toml
from clampwright.trace.verdict import judge

OWN = b"""
[limits.soft_slope_ratio]
value = 0.3
source = "forty own pulls on a rubber seat"

[priors.galling]
value = 900
source = "stainless bolts"
"""


def test_own_figures_hold_inside_the_block_only() -> None:
    usual = limit("soft_slope_ratio")
    with in_force(tuning_from_toml(OWN)):
        assert limit("soft_slope_ratio") == 0.3
        assert limit("band_high") == limits()["band_high"].value
        galled = likelihoods("normal", {})["galling"]
    assert limit("soft_slope_ratio") == usual
    assert galled > 5.0 * likelihoods("normal", {})["galling"]


def test_a_failure_inside_the_block_puts_the_table_back() -> None:
    usual = limit("soft_slope_ratio")
    with pytest.raises(ZeroDivisionError), in_force(tuning_from_toml(OWN)):
        raise ZeroDivisionError
    assert limit("soft_slope_ratio") == usual


def test_a_verdict_follows_the_own_figure() -> None:
    case = drawn(11, "soft_joint")
    assert judge(case.trace, case.given).pattern == "soft_joint"
    strict = OWN.replace(b"value = 0.3", b"value = 0.05")
    with in_force(tuning_from_toml(strict)):
        assert judge(case.trace, case.given).pattern != "soft_joint"
    assert judge(case.trace, case.given).pattern == "soft_joint"


def test_what_differs_is_told_with_its_source() -> None:
    says = [str(one) for one in tuning_from_toml(OWN).told()]
    assert says == [
        "own limit soft_slope_ratio: 0.3 1 instead of 0.6 (forty own pulls on a rubber seat)",
        "own prior of galling: 900 instead of 3 (stainless bolts)",
    ]


def test_nothing_own_changes_nothing() -> None:
    with in_force(None), in_force(tuning_from_toml(b"")):
        assert limit("soft_slope_ratio") == limits()["soft_slope_ratio"].value


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (b"[limits.soft_slop_ratio]\nvalue = 1\nsource = 'x'", "soft_slope_ratio"),
        (b"[limits.soft_slope_ratio]\nvalue = 1", "source"),
        (b"[limits.soft_slope_ratio]\nvalue = -1\nsource = 'x'", "must have the sign"),
        (b"[limits.soft_slope_ratio]\nvalue = 0\nsource = 'x'", "must have the sign"),
        (b"[limits.soft_slope_ratio]\nvalue = inf\nsource = 'x'", "soft_slope_ratio"),
        (b"[limits]\nsoft_slope_ratio = 0.4", "soft_slope_ratio"),
        (b"[priors.galling]\nvalue = -1\nsource = 'x'", "galling"),
        (b"[priors.gallling]\nvalue = 1\nsource = 'x'", "galling"),
        (b"[limit.galling]\nvalue = 1\nsource = 'x'", "limits"),
        (b"this is not toml", "TOML"),
        (b"\xff\xfe\x00", "tuning.toml"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name(text: bytes, says: str) -> None:
    with pytest.raises(BadFile) as refused:
        tuning_from_toml(text)
    assert says in str(refused.value)
