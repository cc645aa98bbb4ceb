"""The edge of the house: text to quantity to text, with exact factors.

Inside the library torque is in N·m, force in N, length in mm, stress in MPa, angle in degrees,
time in s, temperature in °C and mass in kg. What a person wrote is kept beside the converted value.

Which spellings are known, and what one unit is in another, stands in the tables beside this code.
"""

from clampwright.units.naming import unit_named, unit_remark
from clampwright.units.number import parse_fraction, parse_number
from clampwright.units.quantity import Quantity, parse_quantity
from clampwright.units.scale import convert, factor, format_quantity
from clampwright.units.spelling import spellings
from clampwright.units.text import Unreadable
from clampwright.units.unit import Kind, Unit, units

__all__ = [
    "Kind",
    "Quantity",
    "Unit",
    "Unreadable",
    "convert",
    "factor",
    "format_quantity",
    "parse_fraction",
    "parse_number",
    "parse_quantity",
    "spellings",
    "unit_named",
    "unit_remark",
    "units",
]
