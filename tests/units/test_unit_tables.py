"""The tables beside the code hold together, and loading them stays light."""

import subprocess
import sys
from typing import get_args

from clampwright.units import Kind, units
from clampwright.units.spelling import key_of
from clampwright.units.unit import KIND_WORDS, read_rows

TABLES = ("units", "spellings", "products", "asked")


def test_every_row_has_a_source() -> None:
    assert [(t, row) for t in TABLES for row in read_rows(t) if not row["source"].strip()] == []


def test_every_unit_is_of_a_known_kind() -> None:
    kinds = set(get_args(Kind))
    assert {unit.kind for unit in units().values()} == kinds == set(KIND_WORDS)


def test_every_kind_has_one_base_unit() -> None:
    base: dict[str, str] = {}
    for unit in units().values():
        if unit.factor == 1 and not unit.offset:
            base.setdefault(unit.kind, unit.name)
    assert base == {
        "torque": "N·m",
        "force": "N",
        "length": "mm",
        "stress": "MPa",
        "angle": "deg",
        "time": "s",
        "temperature": "°C",
        "mass": "kg",
    }


def test_every_unit_named_in_a_table_exists() -> None:
    named = {row["unit"] for table in ("spellings", "products") for row in read_rows(table)}
    named |= {name for row in read_rows("asked") for name in row["readings"].split()}
    assert named <= set(units())


def test_no_spelling_stands_for_two_units() -> None:
    asked = {key_of(s) for row in read_rows("asked") for s in row["spellings"].split()}
    seen: dict[str, str] = {}
    for row in read_rows("spellings"):
        for spelling in row["spellings"].split():
            assert seen.setdefault(key_of(spelling), row["unit"]) == row["unit"]
            assert key_of(spelling) not in asked


def test_reading_a_quantity_loads_nothing_heavy() -> None:
    code = (
        "import sys; from clampwright.units import parse_quantity; parse_quantity('30 Nm');"
        "import clampwright.standards as s; s.thread('M10'); s.friction('oiled');"
        "print(*sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    heavy = {"numpy", "scipy", "pydantic", "pint", "sqlalchemy", "sqlite3", "click", "difflib"}
    assert not set(done.stdout.split()) & heavy
