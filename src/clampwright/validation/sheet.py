"""Tables of worked figures: each row names what computes it, its inputs, and the printed result.

``function`` is the name of a relation of the registry, or ``case:name`` for one of
`clampwright.validation.cases`. ``given`` holds the inputs with their units, joined by `` & ``;
``thread=M10``, ``bolt=ISO 4014`` and ``hole_series=medium`` fill in what the tables know.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

from clampwright.errors import ClampwrightError
from clampwright.formula import relation
from clampwright.formula.calculation import calculate
from clampwright.formula.compound import compound
from clampwright.formula.values import to_unit
from clampwright.standards.named import NAMES, named_values
from clampwright.standards.printed import published
from clampwright.standards.tables import Row as Printed
from clampwright.standards.tables import cited
from clampwright.units import parse_quantity, units
from clampwright.validation.cases import CASES
from clampwright.validation.row import Row, tolerance
from clampwright.words import words

SHEETS = ("joint_worked", "textbook_examples", "metrology_worked", "uncertainty_guides")
JOINED = " & "
CASE = "case:"

_NUMBER = re.compile(r"[+-]?\d*\.?\d+(?:e[+-]?\d+)?")
_SCALE = re.compile(r"(1e[+-]?\d+) (.*)")


def sheet_rows(name: str) -> Iterator[Row]:
    """Compute all rows of a sheet.

    Parameters
    ----------
    name : str
        One of `SHEETS`.

    Yields
    ------
    Row
    """
    for line in published(name):
        yield _row(line)


def _row(line: Printed) -> Row:
    given = (
        dict(part.split("=", 1) for part in line["given"].split(JOINED)) if line["given"] else {}
    )
    return Row(
        id=line["id"],
        topic=line["topic"],
        quantity=line["quantity"],
        computed=computed(line["function"], given, line["take"], line["unit"]),
        printed=line["printed"],
        unit=line["unit"],
        tolerance=tolerance(line["printed"], line["tolerance"]),
        source=cited(line),
        explained=line["misprint"] or None,
        note=line["flag"],
    )


def computed(function: str, given: Mapping[str, str], take: str, unit: str) -> float:
    """Compute one figure.

    Parameters
    ----------
    function : str
        Relation, or ``case:name``.
    given : mapping of str to str
        Inputs as written.
    take : str
        Output, or key of the case's result; empty for the first or only one.
    unit : str
        Unit of the answer; a power of ten may stand before it.

    Returns
    -------
    float
    """
    if function.startswith(CASE):
        found = _case(function.removeprefix(CASE), tuple(sorted(given.items())))
        return _from_base(_taken(found, take), unit)
    one = relation(function)
    named = {key: text for key, text in given.items() if key in NAMES and not one.input_named(key)}
    rest = {key: text for key, text in given.items() if key not in named}
    done = calculate(one, rest, known=named_values(**named), decimal=".")
    out = next(each for each in one.outputs if each.name == (take or one.outputs[0].name))
    value = done.results[out.name]
    if not isinstance(value, int | float):
        raise ClampwrightError(words("{name} is no number", name=out.name))
    scale, plain = _scaled(unit)
    return (to_unit(value, out.unit, plain) if plain else value) / scale


@lru_cache(maxsize=512)
def _case(name: str, given: tuple[tuple[str, str], ...]) -> Any:
    values: dict[str, Any] = {}
    named = {}
    for key, text in given:
        if key in NAMES:
            named[key] = text
        else:
            values[key] = plain_value(text)
    return CASES[name](**named_values(**named), **values)


def plain_value(text: str) -> float | str | list[Any]:
    """Return a written value in the library's own unit: number, text, list or rows of numbers.

    Parameters
    ----------
    text : str

    Returns
    -------
    float, str or list

    Examples
    --------
    >>> plain_value("25 kN"), plain_value("0.12"), plain_value("steel"), plain_value("1; 2")
    (25000.0, 0.12, 'steel', [1.0, 2.0])
    """
    text = text.strip()
    if "|" in text:
        return [plain_value(part) for part in text.split("|")]
    if ";" in text:
        return [plain_value(part) for part in text.split(";")]
    match = _NUMBER.match(text)
    if not match:
        return text
    number, unit = match[0], text[match.end() :].strip()
    if not unit:
        return float(number)
    if unit == "%":
        return float(number) / 100.0
    if unit in units():
        return parse_quantity(f"{number} {unit}", decimal=".").value
    return float(number) * float(compound(unit).factor)


def _taken(found: Any, take: str) -> float:
    for part in take.split(".") if take else ():
        if isinstance(found, Mapping):
            found = found[part]
        elif isinstance(found, Sequence):
            found = found[int(part)]
        else:
            found = getattr(found, part)
    return float(found)


def _scaled(unit: str) -> tuple[float, str]:
    match = _SCALE.fullmatch(unit)
    return (float(match[1]), match[2]) if match else (1.0, unit)


def _from_base(value: float, unit: str) -> float:
    """Return a value of the library's own unit in a printed one."""
    scale, plain = _scaled(unit)
    if not plain:
        return value / scale
    simple = units().get(plain)
    size = float(simple.factor) if simple is not None else float(compound(plain).factor)
    return value / size / scale
