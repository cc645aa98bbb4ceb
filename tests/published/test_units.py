"""Units against figures from outside: exact fractions, NIST SP 811 as printed, another library.

Sources: 1 lb = 0.45359237 kg, 1 in = 25.4 mm (international yard and pound agreement), standard
gravity 9.80665 m/s² (3rd CGPM, 1901); NIST SP 811 Appendix B, printed figures; pint's registry.
"""

from fractions import Fraction

import pint
import pytest

from clampwright.standards.printed import half_last_digit, published
from clampwright.standards.tables import Row
from clampwright.units import Unit, convert, factor, unit_named, units

ROWS = published("units")
POUND, GRAVITY, INCH = Fraction("0.45359237"), Fraction("9.80665"), Fraction("0.0254")
LBF, FOOT = POUND * GRAVITY, 12 * INCH

FROM_DEFINITIONS = {
    "lbf": LBF,
    "ozf": LBF / 16,
    "kip": LBF * 1000,
    "kgf": GRAVITY,
    "ft·lbf": FOOT * LBF,
    "in·lbf": INCH * LBF,
    "in·ozf": INCH * LBF / 16,
    "kgf·m": GRAVITY,
    "kgf·cm": GRAVITY / 100,
    "gf·cm": GRAVITY / 100_000,
    "dyn·cm": Fraction(1, 10**7),
    "psi": LBF / INCH**2 / 10**6,
    "ksi": LBF / INCH**2 / 1000,
    "kgf/mm²": GRAVITY,
    "kgf/cm²": GRAVITY / 100,
    "in": INCH * 1000,
    "ft": FOOT * 1000,
    "mi": 5280 * FOOT * 1000,
    "lb": POUND,
    "oz": POUND / 16,
}


def _exact(row: Row) -> Fraction:
    return unit_named(row["from"]).factor / unit_named(row["to"]).factor


def _id(row: Row) -> str:
    return f"{row['from']} to {row['to']}"


@pytest.mark.parametrize("row", ROWS, ids=_id)
def test_factor_is_the_exact_fraction(row: Row) -> None:
    assert _exact(row) == Fraction(row["exact_fraction"])


@pytest.mark.parametrize("row", ROWS, ids=_id)
def test_factor_agrees_with_the_decimal_figure(row: Row) -> None:
    printed = Fraction(row["factor"])
    if row["digits_note"] == "exact decimal":
        assert _exact(row) == printed
    assert factor(row["from"], row["to"]) == pytest.approx(float(printed), rel=2e-16)


@pytest.mark.parametrize("row", [r for r in ROWS if r["nist_sp811_printed"]], ids=_id)
def test_factor_agrees_with_nist_sp_811(row: Row) -> None:
    printed = row["nist_sp811_printed"]
    difference = abs(factor(row["from"], row["to"]) - float(printed))
    assert difference <= half_last_digit(printed)


@pytest.mark.parametrize("name", sorted(FROM_DEFINITIONS))
def test_factor_follows_from_the_definitions(name: str) -> None:
    assert units()[name].factor == FROM_DEFINITIONS[name]


IN_PINT = {
    "N·m": "newton * meter",
    "cN·m": "centinewton * meter",
    "dN·m": "decinewton * meter",
    "daN·m": "decanewton * meter",
    "kN·m": "kilonewton * meter",
    "mN·m": "millinewton * meter",
    "MN·m": "meganewton * meter",
    "ft·lbf": "foot * pound_force",
    "in·lbf": "inch * pound_force",
    "in·ozf": "inch * ounce_force",
    "kgf·m": "kilogram_force * meter",
    "kgf·cm": "kilogram_force * centimeter",
    "gf·cm": "gram_force * centimeter",
    "dyn·cm": "dyne * centimeter",
    "lbf": "pound_force",
    "ozf": "ounce_force",
    "kip": "kip",
    "kgf": "kilogram_force",
    "daN": "decanewton",
    "kN": "kilonewton",
    "in": "inch",
    "ft": "foot",
    "mi": "mile",
    "km": "kilometer",
    "m": "meter",
    "cm": "centimeter",
    "µm": "micrometer",
    "psi": "psi",
    "ksi": "ksi",
    "bar": "bar",
    "Pa": "pascal",
    "kPa": "kilopascal",
    "GPa": "gigapascal",
    "kgf/mm²": "kilogram_force / millimeter**2",
    "kgf/cm²": "kilogram_force / centimeter**2",
    "turn": "turn",
    "min": "minute",
    "h": "hour",
    "lb": "pound",
    "oz": "ounce",
    "g": "gram",
}
BASE_IN_PINT = {
    "torque": "newton * meter",
    "force": "newton",
    "length": "millimeter",
    "stress": "megapascal",
    "angle": "degree",
    "time": "second",
    "mass": "kilogram",
}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[Fraction]:
    return pint.UnitRegistry(non_int_type=Fraction)


def _with_other_library() -> list[Unit]:
    return [units()[name] for name in IN_PINT]


@pytest.mark.parametrize("unit", _with_other_library(), ids=lambda u: u.name)
def test_factor_agrees_with_pint(unit: Unit, registry: pint.UnitRegistry[Fraction]) -> None:
    one = registry.Quantity(Fraction(1), IN_PINT[unit.name])
    assert float(one.to(BASE_IN_PINT[unit.kind]).magnitude) == pytest.approx(
        float(unit.factor), rel=1e-14
    )


def test_only_units_pint_does_not_have_are_left_out() -> None:
    bases = {"N", "mm", "MPa", "deg", "s", "kg"}
    assert set(units()) - set(IN_PINT) == bases | {"flat", "°C", "°F"}


@pytest.mark.parametrize("fahrenheit", [-40.0, 0.0, 32.0, 68.0, 212.0, 451.0])
def test_temperature_agrees_with_pint(
    fahrenheit: float, registry: pint.UnitRegistry[Fraction]
) -> None:
    theirs = registry.Quantity(Fraction(fahrenheit), "degF").to("degC").magnitude
    assert convert(fahrenheit, "°F", "°C") == pytest.approx(float(theirs), abs=1e-12)
