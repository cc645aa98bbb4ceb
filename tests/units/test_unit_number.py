"""Numbers as people write them."""

import contextlib
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.errors import Ambiguous, ClampwrightError, OutOfRange
from clampwright.units import Unreadable, parse_fraction, parse_number
from clampwright.units.number import Mark

MARKS: tuple[Mark, ...] = (".", ",")
READERS: tuple[Callable[[str], Decimal | Fraction], ...] = (parse_number, parse_fraction)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("35", "35"),
        ("8,50", "8.50"),
        ("8.50", "8.50"),
        ("0,0055", "0.0055"),
        (".5", "0.5"),
        (",5", "0.5"),
        ("-40", "-40"),
        ("−40", "-40"),
        ("+5", "5"),
        ("1,200.5", "1200.5"),
        ("1.200,5", "1200.5"),
        ("1,200,300", "1200300"),
        ("0.200", "0.200"),
        ("0,125", "0.125"),
        ("1234.567", "1234.567"),
        ("1e-3", "0.001"),
        ("３５．５", "35.5"),
        ("\u00a035\u202f", "35"),
    ],
)
def test_a_number_is_read_and_keeps_its_last_zeros(text: str, value: str) -> None:
    assert str(parse_number(text)) == str(Decimal(value))


@pytest.mark.parametrize(
    ("text", "point", "comma"), [("1.200", "1.200", "1200"), ("12,500", "12500", "12.500")]
)
def test_a_thousands_mark_is_asked_unless_the_decimal_mark_is_known(
    text: str, point: str, comma: str
) -> None:
    with pytest.raises(Ambiguous) as caught:
        parse_number(text)
    assert {Decimal(r) for r in caught.value.readings} == {Decimal(point), Decimal(comma)}
    assert parse_number(text, decimal=".") == Decimal(point)
    assert parse_number(text, decimal=",") == Decimal(comma)


def test_the_other_mark_is_taken_when_only_one_reading_is_left() -> None:
    assert parse_number("8,5", decimal=".") == Decimal("8.5")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "missing"),
        ("nan", "finite"),
        ("-Infinity", "finite"),
        ("∞", "finite"),
        ("٣٥", "digits 0 to 9"),
        ("10²", "digits 0 to 9"),
        ("½", "digits 0 to 9"),
        ("1 200", "write 1200"),
        ("1'200", "write 1200"),
        ("5,", "is not a number"),
        ("1.2.3", "is not a number"),
        ("1,20,0", "is not a number"),
        ("O.5", "is not a number"),
        ("+", "is not a number"),
        ("e5", "is not a number"),
        ("0x10", "is not a number"),
        ("1_000", "is not a number"),
        ("3\x00", "is not a number"),
        ("9" * 200, "too long"),
    ],
)
def test_what_is_no_number_is_refused_in_words(text: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        parse_number(text)


@pytest.mark.parametrize("text", ["1e999", "-1e13", "9999999999999", "1e-999", "1e-13"])
def test_sizes_no_instrument_has_are_refused(text: str) -> None:
    with pytest.raises(OutOfRange, match="too large or too small"):
        parse_number(text)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1/4", Fraction(1, 4)),
        ("¼", Fraction(1, 4)),
        ("1½", Fraction(3, 2)),
        ("1 ½", Fraction(3, 2)),
        ("12½", Fraction(25, 2)),
        ("1 1/2", Fraction(3, 2)),
        ("1-1/2", Fraction(3, 2)),
        ("⅓", Fraction(1, 3)),
        ("2⁄3", Fraction(2, 3)),
        ("-1/2", Fraction(-1, 2)),
        ("0.25", Fraction(1, 4)),
    ],
)
def test_a_fraction_is_read_exactly(text: str, value: Fraction) -> None:
    assert parse_fraction(text) == value


@pytest.mark.parametrize("text", ["1/0", "25/30", "3/2", "90/180", "1/7"])
def test_two_figures_with_a_slash_are_no_fraction(text: str) -> None:
    with pytest.raises(Unreadable, match="not taken as a fraction"):
        parse_fraction(text)


@given(
    st.decimals(-99999, 99999, allow_nan=False, allow_infinity=False, places=6),
    st.sampled_from(MARKS),
)
def test_there_and_back_with_either_mark(value: Decimal, mark: Mark) -> None:
    assert parse_number(f"{value:f}".replace(".", mark), decimal=mark) == value


@given(st.integers(1, 999), st.integers(0, 999))
def test_three_digits_after_one_mark_always_have_two_readings(whole: int, group: int) -> None:
    for mark in ".,":
        with pytest.raises(Ambiguous) as caught:
            parse_number(f"{whole}{mark}{group:03d}")
        assert {Decimal(r) for r in caught.value.readings} == {
            Decimal(whole * 1000 + group),
            Decimal(whole) + Decimal(group) / 1000,
        }


@given(st.text(max_size=90))
@settings(max_examples=300)
def test_any_text_is_a_number_or_refused_in_words(text: str) -> None:
    for read in READERS:
        value: Decimal | Fraction = Decimal(0)
        with contextlib.suppress(ClampwrightError):
            value = read(text)
        assert abs(float(value)) <= 1e13
