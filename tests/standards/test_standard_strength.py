"""Strength classes and grades by name and size."""

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import Ambiguous, ClampwrightError, Missing, OutOfRange
from clampwright.standards import strength, strength_classes, thread


@pytest.mark.parametrize(
    ("text", "d", "name"),
    [
        ("8.8", 10, "8.8"),
        ("8,8", 10, "8.8"),
        ("class 10.9", 10, "10.9"),
        ("ISO 898-1 12.9", 10, "12.9"),
        ("Property class 5.8", 10, "5.8"),
        ("grade 8.8", 10, "8.8"),
        ("SAE grade 5", 9.525, "SAE J429 grade 5"),
        ("SAE J429 Grade 5", 9.525, "SAE J429 grade 5"),
        ("Gr. 8", 9.525, "SAE J429 grade 8"),
        ("grade 2", 9.525, "SAE J429 grade 2"),
        ("SAE 8", 9.525, "SAE J429 grade 8"),
        ("A325", 19.05, "ASTM A325"),
        ("ASTM A193 B7", 19.05, "ASTM A193 B7"),
        ("B7", 19.05, "ASTM A193 B7"),
        ("A2-70", 10, "A2-70"),
        ("a2 70", 10, "A2-70"),
        ("A4 - 80", 10, "A4-80"),
        ("ISO 3506-1 A4-50", 10, "A4-50"),
        ("stainless steel A2-70", 10, "A2-70"),
    ],
)
def test_a_name_people_write_is_known(text: str, d: float, name: str) -> None:
    assert strength(text, d=d).name == name


@pytest.mark.parametrize(
    ("name", "d", "Rp"),
    [
        ("8.8", 16, 640),
        ("8.8", 16.5, 660),
        ("8.8", 18, 660),
        ("8.8", 3, 640),
        ("8.8", 39, 660),
    ],
)
def test_class_8_8_changes_above_16_mm(name: str, d: float, Rp: float) -> None:
    assert strength(name, d=d).Rp == Rp


@pytest.mark.parametrize(
    ("name", "size", "proof_psi"),
    [
        ("grade 2", "3/4-10", 55000),
        ("grade 2", "7/8-9", 33000),
        ("grade 5", "1-8", 85000),
        ("grade 5", "1-1/8-7", 74000),
        ("grade 5", "1-1/2-6", 74000),
        ("A325", "1-8", 85000),
        ("A325", "1-1/8-7", 74000),
    ],
)
def test_inch_grades_change_at_their_sizes(name: str, size: str, proof_psi: float) -> None:
    proof = strength(name, d=thread(size).d).proof_stress
    assert proof == pytest.approx(proof_psi * 0.006894757293168, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "d"),
    [
        ("8.8", 42),
        ("9.8", 18),
        ("grade 5", 4.8),
        ("grade 5", 44.45),
        ("A325", 6.35),
        ("A325", 27),
        ("A2-70", 30),
        ("A2-50", 42),
        ("8.8", -1),
        ("8.8", math.nan),
    ],
)
def test_a_size_that_the_standard_leaves_out_is_refused(name: str, d: float) -> None:
    with pytest.raises(OutOfRange, match="is given for nominal diameters"):
        strength(name, d=d)


@pytest.mark.parametrize(("name", "d"), [("8.8", 16.0), ("SAE J429 grade 5", 25.4)])
def test_a_size_at_a_step_belongs_to_one_row(name: str, d: float) -> None:
    assert len([c for c in strength_classes() if c.name == name and c.holds_for(d)]) == 1


def test_the_size_is_asked_for_only_where_it_matters() -> None:
    with pytest.raises(Missing, match="give the nominal diameter"):
        strength("8.8")
    assert strength("10.9").Rp == 940


def test_a_bare_grade_number_is_asked() -> None:
    with pytest.raises(Ambiguous) as caught:
        strength("8", d=10)
    assert "SAE J429 grade 8" in caught.value.readings


@pytest.mark.parametrize(
    "name", ["14.9", "A2-60", "A9-70", "A270", "A2", "banana", "", "8.8.8", "grade 55", "٨.٨"]
)
def test_an_unknown_class_is_refused_in_words(name: str) -> None:
    with pytest.raises(ClampwrightError, match="strength class"):
        strength(name, d=10)


@given(st.text(max_size=20), st.floats(allow_nan=True) | st.none())
def test_any_text_is_a_class_or_refused_in_words(text: str, d: float | None) -> None:
    found = None
    with contextlib.suppress(ClampwrightError):
        found = strength(text, d=d)
    assert found is None or found in strength_classes()


def test_yield_lies_between_proof_and_tensile() -> None:
    for one in strength_classes():
        assert one.Rp < one.Rm
        assert one.proof_stress is None or one.proof_stress < one.Rp


@pytest.mark.parametrize("name", ["B7", "A2-70"])
def test_a_standard_without_proof_load_says_so(name: str) -> None:
    assert strength(name, d=20).proof_stress is None


@pytest.mark.parametrize("grade", ["A1", "A2", "A3", "A4", "A5"])
@pytest.mark.parametrize(("property_class", "Rp"), [(50, 210), (70, 450), (80, 600)])
def test_stainless_classes_name_a_tenth_of_their_tensile_strength(
    grade: str, property_class: int, Rp: float
) -> None:
    """ISO 3506-1: Rp0.2 as printed with the published stainless assembly table."""
    found = strength(f"{grade}-{property_class}", d=10)
    assert (found.Rm, found.Rp, found.yield_kind) == (10 * property_class, Rp, "Rp0.2")
    assert "ISO 3506-1" in found.source
