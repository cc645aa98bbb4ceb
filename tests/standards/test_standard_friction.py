"""Friction conditions: named, with a range, never a default."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.standards import friction, friction_conditions, nut_factors
from clampwright.standards.friction import TITLES
from clampwright.standards.printed import published
from clampwright.standards.tables import Row, rows


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("oiled", "oiled"),
        ("Engine oil", "oiled"),
        ("oiled threads and under head", "oiled"),
        ("oil_threads", "oiled_threads"),
        ("dry", "dry"),
        ("clean and dry", "dry"),
        ("lightly oiled", "as_delivered"),
        ("as delivered", "as_delivered"),
        ("anti-seize", "solid_lubricant_paste"),
        ("Zinc plated, dry", "zinc_dry"),
        ("thread locker", "thread_locker_wet"),
        ("CLASS B", "class_b"),
    ],
)
def test_a_condition_is_found_by_what_a_mechanic_calls_it(text: str, name: str) -> None:
    assert friction(text).name == name


def test_every_condition_has_a_range_a_title_and_a_source() -> None:
    for one in friction_conditions():
        assert 0 < one.low < one.high < 1
        assert str(one.title)
        assert "VDI 2230" in one.source
        assert one.typical is None


def test_titles_and_rows_belong_together() -> None:
    assert set(TITLES) == {row["name"] for row in rows("friction")}


def test_no_name_leads_to_two_conditions() -> None:
    names = [n for row in rows("friction") for n in (row["name"], *row["also"].split())]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("name", ["", "  ", "slippery", "oilled"])
def test_an_unknown_condition_lists_those_there_are(name: str) -> None:
    with pytest.raises(Missing) as caught:
        friction(name)
    for condition in friction_conditions():
        assert condition.name in str(caught.value)


def test_a_near_miss_names_the_nearest() -> None:
    with pytest.raises(Missing, match="did you mean oiled"):
        friction("oilled")


@pytest.mark.parametrize("name", ["class E", "stainless dry", "aluminium dry"])
def test_a_lower_bound_alone_gives_no_range(name: str) -> None:
    with pytest.raises(OutOfRange, match="no upper end") as caught:
        friction(name)
    assert caught.value.value == 0.30


def test_our_own_mappings_say_so() -> None:
    ours = [row for row in rows("friction") if row["basis"] == "ours"]
    assert ours
    assert all("our own reading" in row["source"] for row in ours)


@pytest.mark.parametrize("row", [r for r in rows("friction") if r["high"]], ids=lambda r: r["name"])
def test_a_range_spans_the_classes_it_names(row: Row) -> None:
    """Classes as printed in VDI 2230 Part 1 (2003), Table A5."""
    printed = [
        r
        for r in published("friction_classes")
        if r["kind"] == "mu class" and r["name"] in row["class"].split(" and ")
    ]
    found = friction(row["name"])
    assert found.low == min(float(r["value_min"]) for r in printed)
    assert found.high == max(float(r["value_max"]) for r in printed)


def test_zinc_warns_of_reuse() -> None:
    assert "climbs" in str(friction("zinc dry").caution)
    assert friction("oiled").caution is None


def test_nut_factors_disagree_about_zinc_and_are_all_kept() -> None:
    zinc = {k.typical for k in nut_factors() if "zinc" in k.name}
    assert zinc == {0.2, 0.295}


@given(st.text(max_size=40))
def test_any_text_is_a_condition_or_refused_in_words(text: str) -> None:
    found = None
    with contextlib.suppress(ClampwrightError):
        found = friction(text)
    assert found is None or found in friction_conditions()
