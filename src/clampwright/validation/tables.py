"""Whole printed tables: threads, strength, heads and holes, friction, units."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from clampwright.errors import Missing, OutOfRange
from clampwright.formula import relation
from clampwright.formula.calculation import calculate
from clampwright.standards import (
    across_flats,
    friction,
    head,
    hole,
    nut_factors,
    profile,
    strength,
    washer,
)
from clampwright.standards.printed import half_last_digit, published
from clampwright.standards.tables import Row as Printed
from clampwright.standards.tables import cited
from clampwright.units import convert, factor
from clampwright.validation.cases.textbook import nut_factor_by_root
from clampwright.validation.row import Row
from clampwright.words import words

EXACT = 1e-9
"""Relative; for figures that are looked up or exact."""

MM_PER_INCH = profile.MM_PER_INCH
METRIC_ROOT = 1.226869
"""Root diameter d − 1.226869 P, as the textbook takes it."""

LOADS = "proof and tensile loads"


@lru_cache(maxsize=1)
def misprints() -> dict[tuple[str, str, str], str]:
    """Return why a printed figure is wrong, by table, row and column.

    Returns
    -------
    dict of tuple of str to str
    """
    return {(r["table"], r["row"], r["figure"]): r["reason"] for r in published("misprints")}


def figure(
    table: str, row: str, column: str, line: Printed, computed: float, *, tolerance: float,
    topic: str, unit: str = "",
) -> Row:  # fmt: skip
    """Return a row for one figure of a printed table.

    Parameters
    ----------
    table, row, column : str
        Where it stands; they make its name.
    line : dict
        The printed row, with source, basis and flag.
    computed : float
    tolerance : float
    topic : str
    unit : str

    Returns
    -------
    Row
    """
    return Row(
        id=f"{table}/{row}/{column}",
        topic=topic,
        quantity=f"{row}, {column}",
        computed=computed,
        printed=line[column],
        unit=unit,
        tolerance=tolerance,
        source=cited(line),
        explained=misprints().get((table, row, column)),
        note=line.get("flag", ""),
    )


def threads() -> Iterator[Row]:
    """Diameters and stress areas of metric and unified threads from size and pitch alone.

    Yields
    ------
    Row
    """
    for line in published("threads_metric"):
        d, P = float(line["d_mm"]), float(line["P_mm"])
        found = {
            "d2_mm": profile.pitch_diameter(d, P),
            "d1_mm": profile.minor_diameter(d, P),
            "d3_mm": profile.metric_root_diameter(d, P),
        }
        for column, value in found.items():
            yield figure("threads_metric", line["thread"], column, line, value, unit="mm",
                         tolerance=half_last_digit(line[column], least_places=3),
                         topic="metric threads")  # fmt: skip
        column = "As_published_mm2"
        yield figure("threads_metric", line["thread"], column, line,
                     profile.metric_stress_area(d, P), tolerance=half_last_digit(line[column]),
                     topic="metric threads", unit="mm²")  # fmt: skip
    for line in published("threads_unified"):
        yield from _unified(line)


def _unified(line: Printed) -> Iterator[Row]:
    inches, n = float(line["d_in"]), float(line["tpi"])
    d, P = inches * MM_PER_INCH, MM_PER_INCH / n
    root = profile.unified_root_diameter(d, P) / MM_PER_INCH
    found = {
        "pitch_dia_in": profile.pitch_diameter(d, P) / MM_PER_INCH,
        "As_published_in2": profile.unified_stress_area(inches, n),
        "minor_area_published_in2": math.pi / 4.0 * root**2,
    }
    for column, value in found.items():
        # Four decimals of diameters and of areas below 0.2 in², three above; the copy has dropped
        # last zeros.
        places = 4 if column == "pitch_dia_in" or float(line[column]) < 0.2 else 3
        yield figure("threads_unified", line["size"], column, line, value,
                     tolerance=half_last_digit(line[column], least_places=places),
                     topic="unified threads",
                     unit="in" if column == "pitch_dia_in" else "in²")  # fmt: skip


SIZE_OF = {"all": 12.0, "d<=16 mm": 16.0, "d>16 mm": 20.0}


def strengths() -> Iterator[Row]:
    """Property classes and grades as looked up, their ratios, and the loads of coarse threads.

    Yields
    ------
    Row
    """
    for line in published("strength_metric"):
        if line["record"] == "class":
            yield from _property_class(line)
        else:
            yield _load(line)
    for line in published("strength_inch"):
        yield from _grade(line)


def _property_class(line: Printed) -> Iterator[Row]:
    name = f"{line['property_class']} {line['size_range']}"
    found = strength(line["property_class"], d=SIZE_OF[line["size_range"]])
    proof = found.proof_stress or math.nan
    looked_up = {"Rm_min_MPa": found.Rm, "yield_min_MPa": found.Rp, "Sp_MPa": proof}
    for column, value in looked_up.items():
        yield figure("strength_metric", name, column, line, value, tolerance=EXACT * value,
                     topic="property classes", unit="MPa")  # fmt: skip
    column = "Sp_over_yield_published"
    yield figure("strength_metric", name, column, line, proof / found.Rp,
                 tolerance=half_last_digit(line[column], least_places=2),
                 topic="property classes")  # fmt: skip


def _load(line: Printed) -> Row:
    name = f"{line['property_class']} {line['thread']}"
    column = {"proof_load": "proof_load_N", "tensile_load": "min_tensile_load_N"}[line["record"]]
    stress = float(line["Sp_MPa"] or line["Rm_min_MPa"])
    # The standard rounds irregularly, by up to 0.5 % (its rows so flagged are the largest).
    return figure("strength_metric", name, column, line, stress * float(line["As_mm2"]),
                  tolerance=0.005 * float(line[column]), topic=LOADS, unit="N")  # fmt: skip


def _grade(line: Printed) -> Iterator[Row]:
    grade = " ".join(part for part in (line["spec"], line["grade"]) if part)
    name = f"{grade} {line['size_range_in']}"
    found = strength(_grade_name(line), d=_largest_size(line["size_range_in"]))
    proof = found.proof_stress or math.nan
    stresses = {"proof_psi": proof, "yield_psi": found.Rp, "tensile_psi": found.Rm}
    for column, value in stresses.items():
        if line[column]:
            psi = convert(value, "MPa", "psi")
            yield figure("strength_inch", name, column, line, psi, tolerance=EXACT * psi,
                         topic="bolt grades", unit="psi")  # fmt: skip
    ratios = {"proof_over_yield": proof / found.Rp, "yield_over_tensile": found.Rp / found.Rm}
    for column, value in ratios.items():
        if line[column]:
            yield figure("strength_inch", name, column, line, value, topic="bolt grades",
                         tolerance=half_last_digit(line[column], least_places=3))  # fmt: skip


def _grade_name(line: Printed) -> str:
    known = {"SAE J429": f"SAE grade {line['grade']}", "ASTM A193": "A193 B7"}
    return known.get(line["spec"], line["spec"])


def _largest_size(text: str) -> float:
    """Return the upper end of a range of inch sizes, mm."""
    whole, _, part = text.rpartition(" ")[2].rpartition("-")
    top, _, bottom = part.partition("/")
    return MM_PER_INCH * (int(whole or 0) + int(top) / int(bottom or 1))


def heads() -> Iterator[Row]:
    """Heads, holes and washers that the tables keep, looked up.

    Yields
    ------
    Row
    """
    for line in published("head_geometry"):
        value = _size(line)
        if value is not None:
            yield figure("head_geometry", f"{line['item']} {line['thread']} {line['parameter']}",
                         "value_mm", line, value, tolerance=EXACT * value,
                         topic="heads, holes and washers", unit="mm")  # fmt: skip


def _size(line: Printed) -> float | None:
    item, size, parameter = line["item"], line["thread"], line["parameter"]
    if item == "ISO 273":
        return hole(size, parameter.split("_")[1]).diameter
    if item == "ISO 7089":
        found = washer(size)
        return {"d1_nom_min": found.inner, "d2_nom_max": found.outer,
                "h_nom": found.thickness}[parameter]  # fmt: skip
    if parameter == "dw_min":
        return head(item, size).bearing_diameter
    if parameter in {"s", "s_max", "hex_key_s"}:
        return across_flats(item, size)
    return None  # widths of heads that no relation uses are not kept


def frictions() -> Iterator[Row]:
    """Friction classes and nut factors as looked up, and K computed for friction and from pairs.

    Yields
    ------
    Row
    """
    seen: dict[str, int] = {}
    for number, line in enumerate(published("friction_classes"), 1):
        kind, name = line["kind"], line["name"]
        if kind == "mu class":
            yield from _friction_class(line, number)
        elif kind == "nut factor K":
            yield from _nut_factor(line, number)
        elif kind == "K from mu=0.15":
            yield _k_from_friction(line)
        else:
            label = f"{name} {line['surface']}"
            seen[label] = seen.get(label, 0) + 1
            yield _k_from_pair(line, label)


def _friction_class(line: Printed, number: int) -> Iterator[Row]:
    low: float | None
    high: float | None = None
    try:
        found = friction(f"class {line['name']}")
        low, high = found.low, found.high
    except OutOfRange as error:  # a class without upper end is refused, with its lower one
        low = error.low
    for column, value in (("value_min", low), ("value_max", high)):
        if line[column] and value is not None:
            yield figure("friction_classes", f"class {line['name']} ({number})", column, line,
                         value, tolerance=EXACT, topic="friction")  # fmt: skip


def _nut_factor(line: Printed, number: int) -> Iterator[Row]:
    name = line["name"].partition(" (")[0]
    fitting = [one for one in nut_factors() if one.name.partition(" (")[0] == name]
    columns = {"value_min": "low", "value_max": "high", "typical_value": "typical"}
    for column, attribute in columns.items():
        if not line[column]:
            continue
        values = [getattr(one, attribute) for one in fitting]
        if not values:
            raise Missing(words("the tables have no nut factor for {name}", name=line["name"]),
                          line["name"])  # fmt: skip
        nearest = min(values, key=lambda value: abs((value or math.inf) - float(line[column])))
        yield figure("friction_classes", f"K {line['name']} ({number})", column, line,
                     float(nearest), tolerance=EXACT, topic="nut factors")  # fmt: skip


def _k_from_friction(line: Printed) -> Row:
    size = next(t for t in published("threads_metric") if t["thread"] == line["name"])
    value = nut_factor_by_root(d=float(size["d_mm"]), P=float(size["P_mm"]),
                               root_rule=METRIC_ROOT, f=0.15, collar=1.25)  # fmt: skip
    return figure("friction_classes", f"K at 0.15 {line['name']}", "typical_value", line, value,
                  tolerance=half_last_digit(line["typical_value"], least_places=4),
                  topic="nut factors")  # fmt: skip


def _k_from_pair(line: Printed, label: str) -> Row:
    """K = M_A/(F_M d) of a pair of the assembly table."""
    thread, strength_class = line["name"].split()
    mu = line["surface"].removeprefix("mu=")
    pair = next(
        row
        for row in published("vdi2230_table_a1")
        if (row["table"], row["thread"], row["property_class"])
        == ("VDI2230-coarse", thread, strength_class)
        and float(row["mu_G_equals_mu_K"]) == float(mu)
    )
    value = (
        1000.0 * float(pair["MA_Nm"]) / (1000.0 * float(pair["FM_Tab_kN"]) * float(pair["d_mm"]))
    )
    return figure("friction_classes", f"K of the pair {label}", "typical_value", line, value,
                  tolerance=half_last_digit(line["typical_value"], least_places=4),
                  topic="nut factors")  # fmt: skip


def scatters() -> Iterator[Row]:
    """Tightening factor and scatter, each from the other.

    Yields
    ------
    Row
    """
    for line in published("tightening_scatter"):
        name = f"{line['scheme']}: {line['method']}"
        for end in ("min", "max"):
            pairs = (
                (f"scatter_from_alpha_{end}", f"alpha_A_{end}", "scatter_from_tightening_factor",
                 "alpha", 100.0),
                (f"alpha_from_scatter_{end}", f"scatter_pct_{end}",
                 "tightening_factor_from_scatter", "scatter", 1.0),
            )  # fmt: skip
            for column, given, function, key, size in pairs:
                if line[column]:
                    value = float(line[given]) / (100.0 if key == "scatter" else 1.0)
                    found = calculate(relation(function), {key: value}).result
                    assert_number = float(found) if isinstance(found, float) else math.nan
                    yield figure("tightening_scatter", name, column, line, size * assert_number,
                                 tolerance=half_last_digit(line[column], least_places=1),
                                 topic="tightening factor",
                                 unit="%" if size > 1.0 else "")  # fmt: skip


def units() -> Iterator[Row]:
    """Units: exact factors, and the figures that NIST SP 811 prints.

    Yields
    ------
    Row
    """
    for line in published("units"):
        name = f"{line['from']} in {line['to']}"
        value = factor(line["from"], line["to"])
        sourced = {**line, "source": line["basis"], "basis": "seen"}
        yield figure("units", name, "factor", sourced, value, topic="units",
                     tolerance=4e-16 * abs(value))  # fmt: skip
        column = "nist_sp811_printed"
        if line[column]:
            yield figure("units", name, column, sourced, value, topic="units",
                         tolerance=half_last_digit(line[column]))  # fmt: skip
