"""Threads by the names people give them."""

import contextlib
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.errors import Ambiguous, ClampwrightError, Missing
from clampwright.standards import Thread, profile, thread, threads
from clampwright.units import Unreadable

METRIC = [t for t in threads() if t.system == "metric"]
UNIFIED = [t for t in threads() if t.system == "unified"]


@pytest.mark.parametrize("wanted", threads(), ids=lambda t: t.name)
def test_a_canonical_name_leads_back_to_its_thread(wanted: Thread) -> None:
    assert thread(wanted.name) is wanted


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("M10", "M10"),
        ("m10", "M10"),
        ("M 10", "M10"),
        ("M10x1.5", "M10"),
        ("M10-1.5", "M10"),
        ("M10 x 1.5-6g", "M10"),
        ("M10-6g", "M10"),
        ("M10 coarse", "M10"),
        ("m10 x 1.25", "M10x1.25"),
        ("M10×1.25", "M10x1.25"),
        ("M10*1,25", "M10x1.25"),
        ("M10 X 1.25 mm", "M10x1.25"),
        ("M10x1.25 LH", "M10x1.25"),
        ("MF10x1", "M10x1"),
        ("Ｍ１０×１．２５", "M10x1.25"),
        ("M8 fine", "M8x1"),
        ("3/8 UNC", "3/8-16 UNC"),
        ("3/8-16", "3/8-16 UNC"),
        ("3/8 x 16", "3/8-16 UNC"),
        ('3/8"-16 UNC', "3/8-16 UNC"),
        ("3/8–16", "3/8-16 UNC"),
        ("⅜-16", "3/8-16 UNC"),
        ("0.375-16", "3/8-16 UNC"),
        (".375-24 UNF", "3/8-24 UNF"),
        ("3/8-24UNF-2A", "3/8-24 UNF"),
        ("3/8 in - 24", "3/8-24 UNF"),
        ("7/16 fine", "7/16-20 UNF"),
        ("#10-24", "#10-24 UNC"),
        ("No. 10-24 UNC", "#10-24 UNC"),
        ("10-32", "#10-32 UNF"),
        ("0.190-32", "#10-32 UNF"),
        ("6-40 unf", "#6-40 UNF"),
        ("1-8", "1-8 UNC"),
        ('1"-12', "1-12 UNF"),
        ("1 1/8-7", "1-1/8-7 UNC"),
        ("1-1/8 UNF", "1-1/8-12 UNF"),
        ("1½-6", "1-1/2-6 UNC"),
    ],
)
def test_a_name_people_write_is_known(text: str, name: str) -> None:
    assert thread(text).name == name


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("3/8", ("3/8-16 UNC", "3/8-24 UNF")),
        ("#10", ("#10-24 UNC", "#10-32 UNF")),
        ("M18 fine", ("M18x2", "M18x1.5")),
    ],
)
def test_a_name_without_its_pitch_is_asked(text: str, readings: tuple[str, ...]) -> None:
    with pytest.raises(Ambiguous) as caught:
        thread(text)
    assert caught.value.readings == readings


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("M10x3", "of this size they have M10, M10x1.25, M10x1"),
        ("1-14", "of this size they have 1-8 UNC, 1-12 UNF"),
        ("3/8-16 UNF", "of this size they have"),
        ("M40", "nearest in size are M36"),
        ("M5.5", "nearest in size are M5"),
        ("3-4 UNC", "not a thread's name"),
    ],
)
def test_a_thread_that_is_not_in_the_tables_is_refused(text: str, says: str) -> None:
    with pytest.raises((Missing, Unreadable), match=says):
        thread(text)


@pytest.mark.parametrize("text", ["M8x35", "M8 x 1.25 x 35", "M10x100"])
def test_a_bolt_with_its_length_is_not_taken_for_a_pitch(text: str) -> None:
    with pytest.raises(Unreadable, match="has a length in it"):
        thread(text)


@pytest.mark.parametrize(
    "text", ["", "banana", "M", "10x1.25", "M1²", "M٣", "-", "M10x", "#", "1/7-20"]
)
def test_what_is_no_thread_is_refused_in_words(text: str) -> None:
    with pytest.raises(Unreadable, match=r"thread|fraction"):
        thread(text)


@given(
    st.sampled_from(METRIC),
    st.sampled_from(["x", " x ", "X", "×", " × ", "*", "-", " - "]),
    st.sampled_from([".", ","]),
    st.sampled_from(["M", "m", "M ", " m"]),
)
def test_odd_spellings_of_metric_threads(
    wanted: Thread, cross: str, mark: str, letter: str
) -> None:
    text = f"{letter}{wanted.d:g}{cross}{wanted.P:g}".replace(".", mark)
    assert thread(text) is wanted


@given(
    st.sampled_from(UNIFIED),
    st.sampled_from(["-", " - ", " x ", " ", "–"]),
    st.sampled_from(["", " {}", "{}", "-{}", " {}-2A"]),
)
def test_odd_spellings_of_unified_threads(wanted: Thread, dash: str, series: str) -> None:
    size = wanted.name.rpartition("-")[0]
    text = f"{size}{dash}{wanted.threads_per_inch}{series.format(wanted.series)}"
    for spelled in (text, text.lower(), text.replace("#", "No. "), text.replace("1-1/", "1 1/")):
        assert thread(spelled) is wanted


@given(st.text(max_size=60) | st.from_regex(r"[M#]?[0-9 /.,x×-]{0,12}(UN[CF])?", fullmatch=True))
@settings(max_examples=300)
def test_any_text_is_a_thread_or_refused_in_words(text: str) -> None:
    found = None
    with contextlib.suppress(ClampwrightError):
        found = thread(text)
    assert found is None or found in threads()


@pytest.mark.parametrize("one", threads(), ids=lambda t: t.name)
def test_diameters_stand_in_their_order(one: Thread) -> None:
    assert 0 < one.d3 < one.d1 < one.d2 < one.d
    assert math.pi / 4 * one.d3**2 < one.stress_area < math.pi / 4 * one.d2**2


@pytest.mark.parametrize("one", METRIC, ids=lambda t: t.name)
def test_metric_area_by_its_second_formula(one: Thread) -> None:
    """ISO 898-1 prints the same area as pi/4 (d - 0.9382 P)²."""
    assert one.stress_area == pytest.approx(math.pi / 4 * (one.d - 0.9382 * one.P) ** 2, rel=1e-5)


@pytest.mark.parametrize("one", UNIFIED, ids=lambda t: t.name)
def test_unified_area_by_its_second_formula(one: Thread) -> None:
    """pi (d2/2 - 3H/16)², the other form of ASME B1.1 (from memory); 0.9743 is 0.974279 rounded."""
    height = math.sqrt(3) / 2 * one.P
    area = math.pi * (one.d2 / 2 - 3 * height / 16) ** 2
    assert one.stress_area == pytest.approx(area, rel=1.5e-5)


def test_the_two_rules_for_the_stress_area_differ() -> None:
    """M10 by the inch rule would come out 0.9 % small: the paths are kept apart."""
    by_inch_rule = profile.unified_stress_area(10 / 25.4, 25.4 / 1.5) * 25.4**2
    assert 0.985 < by_inch_rule / thread("M10").stress_area < 0.995


def test_the_range_of_the_tables() -> None:
    coarse = [t.d for t in METRIC if t.series == "coarse"]
    assert (min(coarse), max(coarse)) == (3, 39)
    for series in ("UNC", "UNF"):
        inches = [t.d / 25.4 for t in UNIFIED if t.series == series]
        assert min(inches) == pytest.approx(0.138)
        assert max(inches) == pytest.approx(1.5)


def test_one_coarse_pitch_for_each_metric_size_and_it_is_the_largest() -> None:
    for one in METRIC:
        coarse = [t for t in METRIC if t.d == one.d and t.series == "coarse"]
        assert len(coarse) == 1
        assert one.P <= coarse[0].P
