"""Text to quantity, with what was written kept."""

import contextlib
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.errors import Ambiguous, ClampwrightError
from clampwright.units import Kind, Quantity, Unit, Unreadable, parse_quantity, units

UNITS = st.sampled_from(sorted(units().values(), key=lambda unit: unit.name))
NUMBERS = st.decimals(-9999, 9999, allow_nan=False, allow_infinity=False, places=4)


def _text(value: Decimal, unit: Unit) -> str:
    return f"{value:f} {unit.name}"


@pytest.mark.parametrize(
    ("text", "value", "kind", "written_value", "unit"),
    [
        ("30 Nm", 30.0, "torque", "30", "N·m"),
        ("8,50 N·m", 8.5, "torque", "8.50", "N·m"),
        ("75 ft. lbs.", 101.68634612485504, "torque", "75", "ft·lbf"),
        ("9,5 mkg", 93.163175, "torque", "9.5", "kgf·m"),
        ("6,5 daN·m.", 65.0, "torque", "6.5", "daN·m"),
        ("２５ Ｎ・ｍ", 25.0, "torque", "25", "N·m"),
        ("90°", 90.0, "angle", "90", "deg"),
        ("+90 deg", 90.0, "angle", "90", "deg"),
        ("1½ turns", 540.0, "angle", "1.5", "turn"),
        ("1/4 turn", 90.0, "angle", "0.25", "turn"),
        ("1 1/2 turns", 540.0, "angle", "1.5", "turn"),
        ("2 flats", 120.0, "angle", "2", "flat"),
        ("0.0055 in", 0.1397, "length", "0.0055", "in"),
        ('1-1/2"', 38.1, "length", "1.5", "in"),
        ("2 kip", 8896.443230521, "force", "2", "kip"),
        ("12 ksi", 82.73708751802034, "stress", "12", "ksi"),
        ("2 hours", 7200.0, "time", "2", "h"),
        ("212 °F", 100.0, "temperature", "212", "°F"),
        ("50 km", 5e7, "length", "50", "km"),
        ("-40 Nm", -40.0, "torque", "-40", "N·m"),
    ],
)
def test_a_quantity_is_converted_and_what_was_written_is_kept(
    text: str, value: float, kind: str, written_value: str, unit: str
) -> None:
    quantity = parse_quantity(text)
    assert quantity.value == pytest.approx(value, rel=1e-13)
    assert (quantity.kind, quantity.written, quantity.written_unit) == (kind, text, unit)
    assert str(quantity.written_value) == written_value


@pytest.mark.parametrize(
    ("text", "kind", "readings"),
    [
        ("25 lbs.", None, ("25 ft·lbf", "25 in·lbf", "25 lbf", "25 lb")),
        ("25 lbs.", "torque", ("25 ft·lbf", "25 in·lbf")),
        ("2,5 kg", "torque", ("2,5 kgf·m", "2,5 kgf·cm")),
        ("25 N/m", "torque", ("25 N·m",)),
        ("1.200 Nm", None, ("1.2 N·m", "1200 N·m")),
        ("45", "angle", ("45 deg", "45 turn", "45 flat")),
        ("45", "temperature", ("45 °C", "45 °F")),
    ],
)
def test_what_can_be_read_in_several_ways_is_asked(
    text: str, kind: Kind | None, readings: tuple[str, ...]
) -> None:
    with pytest.raises(Ambiguous) as caught:
        parse_quantity(text, kind)
    assert caught.value.readings == readings


def test_a_missing_unit_offers_every_torque_and_angle_unit() -> None:
    with pytest.raises(Ambiguous, match="45 has no unit") as caught:
        parse_quantity("45")
    wanted = {f"45 {u.name}" for u in units().values() if u.kind in {"torque", "angle"}}
    assert set(caught.value.readings) == wanted


@given(NUMBERS, UNITS)
def test_each_offered_reading_can_be_taken(value: Decimal, unit: Unit) -> None:
    with pytest.raises(Ambiguous) as caught:
        parse_quantity(f"{value:f}", unit.kind)
    for reading in caught.value.readings:
        assert parse_quantity(reading, unit.kind).written_value == value


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("", None, "missing"),
        ("Nm", None, "does not start with a number"),
        ("nan Nm", None, "finite"),
        ("Infinity°", None, "finite"),
        ("٣ Nm", None, "digits 0 to 9"),
        ("1 200 N·m", None, "write 1200"),
        ("25-30 N·m", None, "more than one number"),
        ("45 ± 5 Nm", None, "more than one number"),
        ("25/30 N·m", None, "is not a number"),
        ("90/180°", None, "is not a number"),
        ("3/2 turns", None, "not taken as a fraction"),
        ("30 furlongs", None, "is not a known unit"),
        ("30 mm", "torque", "is a length, but a torque is wanted"),
        ("10² Nm", None, "is not a known unit"),
        ("5\x00 N", None, "is not a known unit"),
        ("1" * 100 + " Nm", None, "too long"),
    ],
)
def test_what_is_no_quantity_is_refused_in_words(text: str, kind: Kind | None, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        parse_quantity(text, kind)


def test_the_decimal_mark_of_the_text_settles_a_thousands_mark() -> None:
    assert parse_quantity("1.200 Nm", decimal=",").value == 1200
    assert parse_quantity("1,200 lb-ft", decimal=".").written_value == 1200


@given(NUMBERS, UNITS)
def test_what_was_written_comes_back(value: Decimal, unit: Unit) -> None:
    quantity = parse_quantity(_text(value, unit), unit.kind)
    assert quantity.written_value == value
    assert quantity.to(unit) == float(value)


@given(NUMBERS, UNITS, UNITS)
def test_a_conversion_is_rounded_once_from_exact_fractions(
    value: Decimal, unit: Unit, other: Unit
) -> None:
    quantity = parse_quantity(_text(value, unit), unit.kind)
    base = (Fraction(value) + unit.offset) * unit.factor
    assert quantity.value == float(base)
    if other.kind == unit.kind:
        assert quantity.to(other) == float(base / other.factor - other.offset)
    else:
        with pytest.raises(Unreadable):
            quantity.to(other)


def test_a_third_of_a_turn_is_exactly_120_degrees() -> None:
    third = parse_quantity("1/3 turn")
    assert third.value == third.to("deg") == 120.0
    assert third.to("flat") == 2.0


def test_a_quantity_made_by_hand_converts_too() -> None:
    made = Quantity(30.0, "torque", "30 Nm", Decimal(30), "N·m")
    assert made.to("cN·m") == 3000.0
    assert made == parse_quantity("30 Nm")


@given(st.text(max_size=90) | st.from_regex(r"[\d.,/½ -]{0,8} ?[a-zA-Z·°/\"#]{0,6}"))
@settings(max_examples=300)
def test_any_text_is_a_quantity_or_refused_in_words(text: str) -> None:
    quantity = None
    with contextlib.suppress(ClampwrightError):
        quantity = parse_quantity(text)
    assert quantity is None or quantity.written == text.strip()
