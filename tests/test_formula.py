"""The registry of published relations: true to its functions, its examples and its sources."""

from __future__ import annotations

import csv
import importlib
import inspect
import math
import pkgutil
import re
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

import clampwright.joint
from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.formula import Input, Relation, relation, relations
from clampwright.formula.calculation import calculate, compute, effects, rivals
from clampwright.formula.compound import conversion
from clampwright.formula.notation import mathml
from clampwright.formula.tables import about, files
from clampwright.formula.values import parse_value, to_unit
from clampwright.standards.printed import half_last_digit
from clampwright.units import Unreadable, factor
from clampwright.words import words

ALL = relations()


def name_of(one: Relation) -> str:
    return one.name


# --- true to the functions ---


@pytest.mark.parametrize("one", ALL, ids=name_of)
def test_inputs_are_the_functions_arguments(one: Relation) -> None:
    signature = inspect.signature(one.resolve())
    assert [each.name for each in one.inputs] == list(signature.parameters)
    for each in one.inputs:
        default = signature.parameters[each.name].default
        if each.optional:
            assert default == each.default
        else:
            assert default is inspect.Parameter.empty


SAID = {
    "deg": ("deg", "degrees"),
    "N/deg": ("N/deg", "N per degree"),
    "N·m/deg": ("N·m/deg", "N·m per degree"),
    "N/mm²": ("N/mm²", "N/mm per mm"),
    "%": ("%", "percent"),
}


ANY_TORQUE_UNIT = {"tool_deviation", "torque_given_by_tool", "torque_to_show_on_tool"}
"""Functions that take any unit as long as it is the same one; the registry fixes N·m."""


@pytest.mark.parametrize(
    "one", [one for one in ALL if one.name not in ANY_TORQUE_UNIT], ids=name_of
)
def test_units_are_those_of_the_docstring(one: Relation) -> None:
    function = one.resolve()
    for each in one.inputs:
        if each.unit:
            said = described(function, each.name)
            spelled = SAID.get(each.unit, (each.unit,))
            assert any(re.search(rf"(?<!\w){re.escape(unit)}(?!\w)", said) for unit in spelled), (
                f"{each.name}: {each.unit} not in: {said}"
            )


@pytest.mark.parametrize(
    ("name", "key", "table", "column"),
    [
        ("bearing_pressure_against_limit", "material", "standards/bearing_pressure", "material"),
        ("parts_stiffness_exponential", "material", "joint/exponential_stiffness", "material"),
        ("elongation_after_fracture", "strength_class", "joint/elongation", "strength_class"),
    ],
)
def test_choices_are_those_of_the_table(name: str, key: str, table: str, column: str) -> None:
    path = Path(clampwright.joint.__file__).parents[1] / f"{table}.csv"
    with path.open(encoding="utf-8") as file:
        known = {row[column] for row in csv.DictReader(file)}
    one = relation(name).input_named(key)
    assert one is not None
    assert set(one.choices) == known


def described(function: Any, name: str) -> str:
    """Return what a docstring says of an argument, following "As `other`"."""
    doc = inspect.getdoc(function) or ""
    section = doc.partition("Parameters\n----------\n")[2].partition("\n\n")[0]
    entries = re.findall(
        r"^(\S[^:\n]*?)(?: : [^\n]*)?\n((?:    [^\n]*\n?)+)", section, re.MULTILINE
    )
    for names, text in entries:
        if name in [each.strip() for each in names.split(",")]:
            other = re.search(r"As (?:in )?`([\w.]+)`", text)
            if other:
                return f"{text}{described(find(function, other[1]), name)}"
            return str(text)
    return ""


def find(function: Any, path: str) -> Any:
    module, _, name = path.rpartition(".")
    if not module:
        return getattr(sys.modules[function.__module__], name)
    return getattr(importlib.import_module(module), name)


@pytest.mark.parametrize("one", ALL, ids=name_of)
def test_worked_example_comes_back_to_its_printed_digits(one: Relation) -> None:
    assert one.example.source
    assert one.example.printed
    done = calculate(one, one.example.given, decimal=".")
    outputs = {out.name: out for out in one.outputs}
    for key, text in one.example.printed.items():
        printed = re.split(r"\s*[;|]\s*", text)
        unit = text.rpartition(" ")[2] if len(printed) == 1 and " " in text else ""
        values = flat(done.results[key])
        assert len(values) == len(printed)
        for value, number in zip(values, printed, strict=True):
            found = to_unit(value, outputs[key].unit, unit) if unit else value
            digits = number.removesuffix(unit).strip()
            off = abs(found - float(digits))
            assert off <= half_last_digit(digits) * (1 + 1e-9), (key, found)


def flat(value: Any) -> list[float]:
    if isinstance(value, list):
        return [number for part in value for number in flat(part)]
    return [float(value)]


@pytest.mark.parametrize("one", ALL, ids=name_of)
def test_every_output_is_there(one: Relation) -> None:
    done = calculate(one, one.example.given, decimal=".")
    assert set(done.results) == {out.name for out in one.outputs}
    for out in one.outputs:
        value = done.results[out.name]
        if isinstance(value, float):
            assert math.isfinite(value)
        if out.unit:
            assert isinstance(value, float | int | list)


# --- complete and honest ---


def test_names_are_given_once_and_rivals_exist() -> None:
    names = [one.name for one in ALL]
    assert len(names) == len(set(names)) >= 55
    for one in ALL:
        assert set(one.rivals) <= set(names) - {one.name}
        for other in one.rivals:
            assert one.outputs[0].unit == relation(other).outputs[0].unit


@pytest.mark.parametrize("one", ALL, ids=name_of)
def test_every_relation_says_where_it_holds_and_who_says_so(one: Relation) -> None:
    assert one.basis in ("seen", "memory", "derived")
    assert len(one.source) > 8
    assert str(one.holds_for).endswith(".")
    assert str(one.title)
    for each in one.inputs:
        assert str(each.meaning)
        assert each.shape != "choice" or each.choices
        if each.low is not None or each.high is not None:
            assert each.why is not None
            assert str(each.why)


@pytest.mark.parametrize("one", ALL, ids=name_of)
def test_formula_is_set_in_type(one: Relation) -> None:
    root = ET.fromstring(one.mathml())  # noqa: S314 - our own output
    assert root.tag.endswith("math")
    letters = re.sub(r"\s|⁢|⁡", "", "".join(root.itertext()))
    for symbol in re.findall(r"[^\W\d_]+", one.formula):
        assert symbol.replace("'", "′") in letters


NOT_RELATIONS = {
    "band": "studies over whole procedures; their results are distributions",
    "curve": "builds the curve that the torque-angle relations follow",
    "distributions": "distributions of inputs",
    "outliers": "tests whole sets of readings",
    "finite_beam": "builds a matrix for a beam with ends",
    "free_plate": "builds a matrix for a cover with edges; reached through cover_flexibility",
    "friction_range": "makes a distribution from a range",
    "hardening": "builds curves; reached through plain_turning",
    "friction_fit": "evaluates a whole test",
    "line_fit": "fits a line to data",
    "monte_carlo": "samples a model",
    "narrowing": "says in words where a band comes from",
    "order": "an order of fasteners, no quantity",
    "order_study": "compares orders over whole passes",
    "passes": "follows whole passes",
    "propagation": "propagates any model",
    "slack": "follows whole passes",
    "spread": "lets the inputs of any relation be uncertain",
    "torque_angle": "follows a list of steps; reached through plain_turning",
    "uniform": "plans whole passes",
    "unusual": "judges whole sets of readings",
    "way": "follows a list of steps for a chart",
}
"""Modules whose functions are no closed relation between quantities, and why."""

NOT_REGISTERED = {
    "bearing.checked_face": "checks arguments",
    "loosening.breakaway_plausible": "a verdict on a ratio",
    "loosening.judge_breakaway": "a verdict in words",
    "outlier_limits.simulated_limit": "simulates",
    "frusta.frusta": "takes layers; registered in its plain form",
    "rival_stiffness.exponential_halves": "takes pairs; registered in its plain form",
    "pretension.inch_size": "reads a size",
    "turn_of_nut.rod_row": "a row of a table",
    "tightening_factor.published_scatter": "a table",
    "scatter.clamp_factors": "draws samples",
    "scatter.split_scatter": "evaluates measured joints",
    "reuse.length_check": "judges a used fastener in words",
    "reuse.reuse_budget": "follows a fastener use by use",
    "reuse.stretch_budget": "takes a fastening; a product of three numbers",
    "interaction.checked_matrix": "checks arguments",
    "stiffness.bolt_segments": "the pieces of bolt_resilience_vdi",
    "stiffness.bolt_resilience": "sums pieces; registered in its plain form",
    "stiffness.shank_twist": "takes pieces; registered in its plain form",
    "stress.checked_arm": "checks arguments",
    "stress.factor_from_arm": "inner form of combined_stress_factor",
    "stress.linear_arm": "inner form of combined_stress_factor",
    "uncertainty.nut_factor_u_rel": "takes shares; registered in its plain form",
    "relaxation.published_losses": "a table",
    "interaction.joint_compliance": "checks the matrices of the interaction",
    "interaction.interaction_from_pulls": "evaluates measured passes",
    "interaction.with_measured": "puts measured columns in place",
}
"""Public functions of the joint's room that are not in the registry, and why."""


def public_functions() -> dict[str, Any]:
    found = {}
    for info in pkgutil.iter_modules(clampwright.joint.__path__):
        if info.name.startswith("_"):
            continue
        module = importlib.import_module(f"clampwright.joint.{info.name}")
        for name, value in vars(module).items():
            own = inspect.isfunction(value) and value.__module__ == module.__name__
            if own and not name.startswith("_"):
                found[f"{info.name}.{name}"] = value
    return found


def test_every_public_function_of_the_joint_is_registered_or_excused() -> None:
    registered = {one.function.replace("clampwright.joint.", "").replace(":", ".") for one in ALL}
    functions = set(public_functions())
    excused = set(NOT_REGISTERED) | {
        name for name in functions if name.partition(".")[0] in NOT_RELATIONS
    }
    assert not functions - registered - excused
    assert not registered & excused
    assert set(NOT_REGISTERED) <= functions


# --- reading values ---

LENGTH = Input("d", "d", "mm", words("Diameter"), low=0.0, high=300.0, low_open=True)
RATE = Input("clamp_rate", "c", "N/deg", words("Rate"))
PLAIN = Input("mu_thread", "μ_th", "", words("Friction"), low=0.0, high=1.0)


@pytest.mark.parametrize(
    ("text", "one", "value"),
    [
        ("10 mm", LENGTH, 10.0),
        ("1/2 in", LENGTH, 12.7),
        ("12.815 mm", LENGTH, 12.815),  # 12 815 mm lies outside the range
        ("12,815 mm", LENGTH, 12.815),
        ("829,66 N/deg", RATE, 829.66),
        ("67 lbf/deg", RATE, 67 * 4.4482216152605),
        ("300 kN/turn", RATE, 300_000 / 360),
        ("0,12", PLAIN, 0.12),
        ("12 %", PLAIN, 0.12),
    ],
)
def test_values_in_any_unit(text: str, one: Input, value: float) -> None:
    assert parse_value(text, one) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "one", "said"),
    [
        ("10", LENGTH, "no unit"),
        ("10 kN", LENGTH, "a length is wanted"),
        ("ten mm", LENGTH, "does not start with a number"),
        ("25", RATE, "no unit"),
        ("25 N/mm", RATE, "measure different things"),
        ("25 N/", RATE, "measure different things"),
        ("0.12 mm", PLAIN, "measure different things"),
        ("25.000 N/deg", RATE, "may be"),
        ("nan", PLAIN, "finite"),
        ("", PLAIN, "missing"),
    ],
)
def test_bad_values_name_their_input(text: str, one: Input, said: str) -> None:
    with pytest.raises(ClampwrightError, match=said) as caught:
        parse_value(text, one)
    assert str(caught.value).startswith(f"{one.name} ({one.symbol})")


def test_lists_and_matrices_share_the_last_unit() -> None:
    row = Input("lengths", "l", "mm", words("Lengths"), shape="list")
    square = Input("flexibility", "G", "mm/N", words("Flexibility"), shape="matrix")
    assert parse_value("28; 2,2; 1 in", row) == pytest.approx([28 * 25.4, 2.2 * 25.4, 25.4])
    assert parse_value("28 mm; 22 mm", row) == [28.0, 22.0]
    assert parse_value("2e-6; 1e-6 | 1e-6; 2e-6 mm/N", square) == [[2e-6, 1e-6], [1e-6, 2e-6]]


def test_too_long_a_list_is_refused() -> None:
    row = Input("lengths", "l", "mm", words("Lengths"), shape="list")
    with pytest.raises(Unreadable, match="at most"):
        parse_value(";".join(["1"] * 500) + " mm", row)


def test_whole_numbers_and_choices() -> None:
    count = Input("faces", "n", "", words("Faces"), shape="whole")
    kind = Input("head", "head", "", words("Head"), shape="choice", choices=("hexagon", "socket"))
    assert parse_value("2", count) == 2
    assert parse_value(" socket ", kind) == "socket"
    with pytest.raises(Unreadable, match="whole number"):
        parse_value("2.5", count)
    with pytest.raises(Unreadable, match="hexagon, socket"):
        parse_value("square", kind)


@pytest.mark.parametrize(
    ("one", "two", "value"),
    [
        ("kN/mm", "N/mm", 1000.0),
        ("in²", "mm²", 645.16),
        ("in^2", "mm²", 645.16),
        ("mm2", "mm²", 1.0),
        ("ft·lbf/turn", "N·m/deg", 1.3558179483314004 / 360),
        ("1/in", "1/mm", 1 / 25.4),
        ("N/mm²", "MPa", 1.0),
        ("MPa", "N/mm²", 1.0),
        ("N·m", "N·mm", 1000.0),
        ("lbf in", "N·m", 0.1129848290276167),
        ("%", "", 0.01),
        ("mm/N", "in/lbf", 4.4482216152605 / 25.4),
    ],
)
def test_compound_units_are_exact(one: str, two: str, value: float) -> None:
    assert float(conversion(one, two)) == pytest.approx(value, rel=1e-14)
    assert conversion(one, two) * conversion(two, one) == 1


@given(st.sampled_from(["ft·lbf", "in·lbf", "kgf·m", "cN·m"]))
def test_compound_units_agree_with_simple_ones(unit: str) -> None:
    assert float(conversion(unit, "N·m")) == pytest.approx(factor(unit, "N·m"), rel=1e-15)


# --- running ---

LONG = relation("torque_from_clamp_long_form")
GIVEN = dict(LONG.example.given)


def test_symbols_and_names_are_both_taken() -> None:
    by_name = calculate(LONG, GIVEN, decimal=".")
    by_symbol = calculate(
        LONG,
        {
            "F": "25 kN",
            "P": "1.5 mm",
            "d2": "9.02572 mm",
            "D_b": "12.8150 mm",
            "mu_th": "0.12",
            "μ_b": "0.10",
        },
    )
    assert by_name.result == by_symbol.result


@given(factor=st.floats(0.1, 100), mu=st.floats(0.01, 0.5))
def test_the_unit_a_value_is_written_in_does_not_matter(factor: float, mu: float) -> None:
    newton = calculate(LONG, {**GIVEN, "clamp": factor * 1000, "mu_thread": mu}, decimal=".")
    text = f"{factor:.12f} kN"
    kilo = calculate(LONG, {**GIVEN, "clamp": text, "mu_thread": mu}, decimal=".")
    assert kilo.result == pytest.approx(newton.result, rel=1e-9)


@pytest.mark.parametrize(
    ("change", "error", "said"),
    [
        ({"clamp": "-1 N"}, OutOfRange, r"F \(clamp\) is -1 N.*≥ 0 N.*Motosh"),
        ({"mu_thread": "1.5"}, OutOfRange, "μ_th.*≤ 1.*gall.*Motosh"),
        ({"P": "0 mm"}, OutOfRange, "> 0 mm"),
        ({"P": "12 mm"}, OutOfRange, "must be smaller than d2"),
        ({"clamps": "1 N"}, Unreadable, "did you mean clamp"),
        ({"xyz": "1 N"}, Unreadable, "it has"),
        ({"F": "1 N"}, Unreadable, "given twice"),
    ],
)
def test_bad_input_is_one_sentence(
    change: dict[str, str], error: type[ClampwrightError], said: str
) -> None:
    with pytest.raises(error, match=said):
        calculate(LONG, GIVEN | change, decimal=".")


def test_what_is_missing_is_named_with_its_unit() -> None:
    with pytest.raises(Missing, match=r"bearing_diameter \(D_b, mm\); mu_thread \(μ_th\)"):
        calculate(LONG, {"F": "1 kN", "P": "1.5 mm", "d2": "9 mm", "mu_b": "0.1"})


def test_known_values_stand_in_but_what_is_given_goes_first() -> None:
    known = {"P": 1.5, "d2": 9.02572, "bearing_diameter": 12.815, "unknown": 3.0}
    done = calculate(LONG, {"F": "25 kN", "mu_th": 0.12, "mu_b": 0.10}, known=known)
    assert done.result == pytest.approx(37.620, abs=5e-4)
    finer = calculate(
        LONG, {"F": "25 kN", "P": "1.25 mm", "mu_th": 0.12, "mu_b": 0.10}, known=known
    )
    assert isinstance(finer.result, float)
    assert isinstance(done.result, float)
    assert finer.result < done.result


def test_effects_of_ten_per_cent() -> None:
    found = {one.input.name: one for one in effects(calculate(LONG, GIVEN, decimal="."))}
    assert found["clamp"].more == pytest.approx(0.1)
    # The shares of the torque are the sensitivities: 41.55 % thread, 42.58 % head.
    assert found["mu_thread"].less == pytest.approx(-0.04155, abs=5e-6)
    assert found["mu_bearing"].more == pytest.approx(0.04258, abs=5e-6)
    assert "prevailing_torque" not in found


def test_an_effect_beyond_the_range_is_none() -> None:
    done = calculate(LONG, {**GIVEN, "mu_thread": "0.95"}, decimal=".")
    found = {one.input.name: one for one in effects(done)}
    assert found["mu_thread"].more is None
    assert found["mu_thread"].less is not None


def test_rivals_use_the_same_values_or_say_what_they_lack() -> None:
    found = {one.relation.name: one for one in rivals(calculate(LONG, GIVEN, decimal="."))}
    assert found["torque_from_clamp_power_screw"].result == pytest.approx(37.780, abs=5e-4)
    lacking = found["torque_from_clamp_nut_factor"]
    assert lacking.result is None
    assert str(lacking.why) == "needs also d, nut_factor"


def test_functions_give_the_same_directly() -> None:
    values: dict[str, Any] = {"clamp": 25_000.0, "d": 10.0, "nut_factor": 0.2}
    assert compute(relation("torque_from_clamp_nut_factor"), values) == {"torque": 50.0}


# --- looking up ---


def test_an_unknown_relation_is_answered_with_near_ones() -> None:
    with pytest.raises(Missing, match="torque_from_clamp_long_form"):
        relation("torque_from_clamp_long")
    with pytest.raises(Missing, match="did you mean"):
        relation("embedding")
    with pytest.raises(Missing, match="formula list"):
        relation("zzzzqqqq")


def test_relations_are_found_by_a_word() -> None:
    assert LONG in about("clamp load")
    assert {one.topic for one in about("stripping")} >= {"threads_and_losses"}
    assert not about("no such word here")


def test_every_table_is_read() -> None:
    assert {path.stem for path in files()} == {one.topic for one in ALL}


def test_listing_needs_no_numbers() -> None:
    code = "import sys; from clampwright.formula import relations; relations(); print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "clampwright.formula.tables" in loaded
    assert not loaded & {"numpy", "scipy", "pydantic", "sqlalchemy", "clampwright.joint"}


# --- formulas in type ---


PARTS = {"mfrac": 2, "msub": 2, "msup": 2, "msubsup": 3}
"""How many parts an element has; with more of them a browser draws something else."""


@pytest.mark.parametrize("one", ALL, ids=name_of)
def test_every_fraction_and_index_has_its_parts(one: Relation) -> None:
    for element in ET.fromstring(one.mathml()).iter():  # noqa: S314 - our own text
        tag = element.tag.rpartition("}")[2]
        if tag in PARTS:
            assert len(element) == PARTS[tag], ET.tostring(element, "unicode")


def test_mathml_of_small_formulas() -> None:
    inside = mathml("K = T/(F d_2)").partition(">")[2]
    assert inside == (
        "<mrow><mi>K</mi><mo>=</mo><mfrac><mi>T</mi><mrow><mi>F</mi><mo>&#x2062;</mo>"
        "<msub><mi>d</mi><mn>2</mn></msub></mrow></mfrac></mrow></math>"
    )
    assert "<msqrt>" in mathml("q = √(1 + 3 k^2)")
    assert "<msubsup>" in mathml("x_a^2")
    assert mathml("(a + b)/c").count("<mo>(</mo>") == 0
    assert mathml("(a + b) (c + d)/e").count("<mo>(</mo>") == 2


@pytest.mark.parametrize("text", ["a + (b", "a)", "a /", "= /", "a_{b", "{a}", "√"])
def test_a_formula_that_cannot_be_read_is_refused(text: str) -> None:
    with pytest.raises(ClampwrightError, match="formula"):
        mathml(text)
