"""The tables of the check: known units and conditions, a source for every row, a reason for all."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import clampwright
from clampwright import standards
from clampwright.procedure import check_tables
from clampwright.procedure.check_tables import limit, lubricants, unit_pairs
from clampwright.procedure.check_why import WHY
from clampwright.units import factor

ROOMS = Path(clampwright.__file__).parent


def codes_in_use() -> set[str]:
    """Every code a finding is made with: the first argument, or the keyword where it is passed."""
    found: set[str] = set()
    modules = [*(ROOMS / "procedure").glob("check*.py"), *(ROOMS / "work").glob("check*.py")]
    for module in modules:
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            made = isinstance(node.func, ast.Name) and node.func.id == "Finding"
            first = node.args[:1] if made else []
            passed = [keyword.value for keyword in node.keywords if keyword.arg == "code"]
            for argument in (*first, *passed):
                if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                    found.add(argument.value)
    return found


def test_every_finding_has_a_reason_and_every_reason_a_finding() -> None:
    assert codes_in_use() == set(WHY)


def test_every_pair_of_units_converts_and_leaves_another_torque() -> None:
    for pair in unit_pairs():
        assert factor(pair.written, "N·m") != factor(pair.meant, "N·m")
        assert pair.source


@pytest.mark.parametrize("unit", ["N·m", "ft·lbf", "in·lbf", "kgf·m", "kgf·cm"])
def test_every_unit_of_a_reading_has_others_it_is_taken_for(unit: str) -> None:
    assert any(pair.written == unit for pair in unit_pairs())


def test_every_condition_named_is_a_known_one() -> None:
    known = {one.name for one in standards.friction_conditions()}
    unusable = {"stainless_dry", "light_alloy_dry"}  # refused for want of an upper end
    for row in lubricants():
        assert row.condition in known
        assert row.agrees <= known | unusable
        assert row.condition in row.agrees


def test_every_limit_says_where_it_comes_from() -> None:
    names = [row["name"] for row in check_tables._rows("check_limits.csv")]  # noqa: SLF001 - the rows themselves are looked at
    assert names
    for name in names:
        assert limit(name).meaning
        assert limit(name).source
