"""What holds for every relation of the registry: units, arrays, bad input. Found by the registry.

A relation that is added later is tested here without being named.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.formula import relations
from clampwright.formula.calculation import Calculation, _plain, _taken, calculate, compute
from clampwright.formula.relation import Input, Relation
from clampwright.formula.values import to_unit

ALL = relations()
OTHER_UNITS = {
    "mm": "in", "N": "lbf", "N·m": "ft·lbf", "MPa": "psi", "deg": "turn", "mm²": "in²",
    "µm": "in", "s": "min", "N/mm": "lbf/in", "mm/N": "in/lbf", "N/deg": "lbf/turn",
    "N·m/deg": "ft·lbf/turn", "N/mm²": "psi", "N/mm³": "lbf/in³",
}  # fmt: skip
"""Units of the inch, and of hours and turns, by the unit a relation computes in."""

PAST = 1.01


def name_of(one: Relation) -> str:
    return one.name


def example(one: Relation) -> Calculation:
    return calculate(one, one.example.given, decimal=".")


def numbers(done: Calculation) -> list[Input]:
    """Inputs of the example that are single numbers."""
    return [
        each
        for each in done.relation.inputs
        if each.shape == "number" and isinstance(done.values.get(each.name), float | int)
    ]


def flat(value: Any) -> list[float]:
    if isinstance(value, list):
        return [number for part in value for number in flat(part)]
    return [float(value)] if isinstance(value, int | float) else []


def results(values: Mapping[str, Any]) -> list[float]:
    return [number for value in values.values() for number in flat(value)]


def same(found: list[float], wanted: list[float], rel: float) -> bool:
    return len(found) == len(wanted) and all(
        math.isclose(a, b, rel_tol=rel, abs_tol=1e-12 * max(map(abs, wanted), default=1.0))
        for a, b in zip(found, wanted, strict=True)
    )


@pytest.mark.parametrize("one", ALL, ids=name_of)
def test_inch_units_give_the_same_as_metric_ones(one: Relation) -> None:
    """Within the exactness of the factors: both lead to the same numbers inside."""
    done = example(one)
    given: dict[str, str | float] = dict(done.values)  # type: ignore[arg-type]  # lists are handed on
    changed = 0
    for each in numbers(done):
        other = OTHER_UNITS.get(each.unit)
        value = float(done.values[each.name])  # type: ignore[arg-type]  # `numbers` has told
        if other is None:
            continue
        factor = calculate_factor(each, other)
        given[each.name] = f"{value / factor:.17g} {other}"
        changed += 1
    if not changed:
        return
    again = calculate(one, given, decimal=".")
    assert same(results(again.results), results(done.results), 1e-9)


def calculate_factor(each: Input, unit: str) -> float:
    return 1.0 / to_unit(1.0, each.unit, unit)


@pytest.mark.parametrize("one", ALL, ids=name_of)
@pytest.mark.parametrize("examples", [5, pytest.param(50, marks=pytest.mark.soak)])
@pytest.mark.no_cover
def test_an_array_is_as_its_elements(one: Relation, examples: int) -> None:
    @settings(max_examples=examples, suppress_health_check=[HealthCheck.too_slow])
    @given(data=st.data())
    def try_it(data: st.DataObject) -> None:
        as_its_elements(one, data)

    try_it()


def as_its_elements(one: Relation, data: st.DataObject) -> None:
    done = example(one)
    able = [each for each in numbers(done) if done.values[each.name]]
    if not able:
        return  # only lists, counts and choices
    each = data.draw(st.sampled_from(able))
    value = float(done.values[each.name])  # type: ignore[arg-type]  # `numbers` has told
    scales = data.draw(st.lists(st.floats(0.998, 1.0), min_size=2, max_size=4))
    places = [value * scale for scale in scales]
    single = []
    for place in places:
        try:
            each_result = compute(one, {**done.values, each.name: place})
        except ClampwrightError:
            assume(condition=False)
        single.append(each_result[one.outputs[0].name])
    if any(isinstance(value, list) for value in single):
        return  # a row or matrix: there an array means one value for each fastener
    try:
        whole = one.resolve()(**{**done.values, each.name: np.array(places)})
    except (ClampwrightError, TypeError, ValueError):
        return  # a relation between whole tables or counts takes one value only
    found = compute_like(one, whole)
    if isinstance(found, list) and len(found) == len(places):
        assert same(flat(found), flat(single), 1e-12)


def compute_like(one: Relation, whole: Any) -> Any:
    return _plain(_taken(whole, one.outputs[0]))


@pytest.mark.parametrize("one", ALL, ids=name_of)
def test_no_number_is_refused_by_name(one: Relation) -> None:
    done = example(one)
    for each in numbers(done):
        for bad in (math.nan, math.inf):
            with pytest.raises(ClampwrightError) as caught:
                calculate(one, {**done.values, each.name: bad}, decimal=".")  # type: ignore[dict-item]  # lists go through
            assert each.name in str(caught.value) or each.symbol in str(caught.value)


@pytest.mark.parametrize("one", ALL, ids=name_of)
def test_outside_its_range_a_value_is_refused_with_range_and_reason(one: Relation) -> None:
    """Never an extrapolation: name, value and limit stand in the sentence, the reason too."""
    done = example(one)
    for each in numbers(done):
        for limit, beyond in ((each.low, -1.0), (each.high, 1.0)):
            if limit is None or not math.isfinite(limit):
                continue
            bad = limit + beyond * max(abs(limit) * (PAST - 1.0), 1e-3)
            with pytest.raises(OutOfRange) as caught:
                calculate(one, {**done.values, each.name: bad}, decimal=".")  # type: ignore[dict-item]  # lists go through
            said = str(caught.value)
            assert each.name in said or each.symbol in said
            assert caught.value.value == pytest.approx(bad)
            assert caught.value.low is not None or caught.value.high is not None


@pytest.mark.parametrize("one", ALL, ids=name_of)
def test_the_same_values_give_the_same_result(one: Relation) -> None:
    assert results(example(one).results) == results(example(one).results)
