"""Running a relation: its result, the effect of each input, and the rivals' results beside it."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from clampwright.errors import ClampwrightError, Missing
from clampwright.formula.relation import Input, Output, Relation
from clampwright.formula.tables import relation as relation_named
from clampwright.formula.values import Value, parse_value
from clampwright.units import Unreadable
from clampwright.units.text import shown
from clampwright.words import Words, words

if TYPE_CHECKING:
    from clampwright.units.number import Mark

STEP = 0.1
"""Each input is changed by ten per cent, one at a time."""


@dataclass(frozen=True, slots=True)
class Calculation:
    """A relation with the values that went in and came out.

    Parameters
    ----------
    relation : Relation
    values : mapping of str to Value
        By input name, in the input's unit; defaults included.
    written : mapping of str to str
        What a person wrote, by input name; nothing for defaults.
    results : mapping of str to Value
        By output name, in the output's unit.
    known : mapping of str to float
        Values that stood in where nothing was given; rivals may use them too.
    """

    relation: Relation
    values: Mapping[str, Value]
    written: Mapping[str, str]
    results: Mapping[str, Value]
    known: Mapping[str, float] = field(default_factory=dict)

    @property
    def result(self) -> Value:
        """The first output."""
        return self.results[self.relation.outputs[0].name]


@dataclass(frozen=True, slots=True)
class Effect:
    """What ten per cent more or less of one input does to the first output.

    Parameters
    ----------
    input : Input
    less, more : float or None
        Relative change of the output with the input 10 % lower and higher; None where the relation
        does not hold there.
    """

    input: Input
    less: float | None
    more: float | None


@dataclass(frozen=True, slots=True)
class Rival:
    """Another relation for the same question, with the same inputs as far as it has them.

    Parameters
    ----------
    relation : Relation
    result : float or None
        Its first output; None where it cannot be computed from what is given.
    output : Output
    why : Words or None
        Why there is no result.
    """

    relation: Relation
    result: float | None
    output: Output
    why: Words | None = None


def calculate(
    relation: Relation,
    given: Mapping[str, str | float],
    *,
    known: Mapping[str, float] | None = None,
    decimal: Mark | None = None,
) -> Calculation:
    """Run a relation.

    Parameters
    ----------
    relation : Relation
    given : mapping of str to str or float
        By input name or symbol: text with a unit, or a number in the input's own unit.
    known : mapping of str to float, optional
        Values by input name in the relation's units that stand in where nothing is given, such as
        the dimensions of a thread; names that the relation does not have are passed over.
    decimal : {".", ","}, optional
        The decimal mark of the texts, where it is known.

    Returns
    -------
    Calculation

    Raises
    ------
    Unreadable
        A name is not an input of this relation, or a value cannot be read.
    Missing
        An input is missing.
    OutOfRange
        A value lies outside the input's range, or the relation does not hold for these together.

    Examples
    --------
    >>> done = calculate(relation_named("torque_from_clamp_nut_factor"),
    ...                  {"F": "25 kN", "d": "10 mm", "K": "0.2"})
    >>> done.result
    50.0
    """
    values: dict[str, Value] = {}
    written: dict[str, str] = {}
    for key, text in given.items():
        one = _input(relation, key)
        if one.name in values:
            raise Unreadable(words("{name} is given twice", name=one.name), key)
        if isinstance(text, str):
            values[one.name] = parse_value(text, one, decimal=decimal)
        else:
            values[one.name] = text
        written[one.name] = str(text).strip()
    for one in relation.inputs:
        if one.name in values:
            continue
        if known and one.name in known:
            values[one.name] = known[one.name]
        elif one.default is not None:
            values[one.name] = one.default
    _check(relation, values)
    return Calculation(relation, values, written, compute(relation, values), dict(known or {}))


def compute(relation: Relation, values: Mapping[str, Value]) -> dict[str, Value]:
    """Call a relation's function with values in its own units.

    Parameters
    ----------
    relation : Relation
    values : mapping of str to Value
        By input name; the function checks them itself.

    Returns
    -------
    dict of str to Value
        By output name.
    """
    found = relation.resolve()(**values)
    return {one.name: _plain(_taken(found, one)) for one in relation.outputs}


def effects(done: Calculation) -> tuple[Effect, ...]:
    """Change every number that went in by ten per cent, one at a time.

    Parameters
    ----------
    done : Calculation

    Returns
    -------
    tuple of Effect
        For inputs that are single numbers other than 0, in the order of the relation; nothing
        where the first output is no single number, or is 0.

    Examples
    --------
    >>> done = calculate(relation_named("torque_from_clamp_nut_factor"),
    ...                  {"F": "25 kN", "d": "10 mm", "K": "0.2"})
    >>> [(one.input.symbol, round(one.more, 3)) for one in effects(done)]
    [('F', 0.1), ('d', 0.1), ('K', 0.1)]
    """
    base = done.result
    if not _number(base) or base == 0:
        return ()
    found = []
    for one in done.relation.inputs:
        value = done.values.get(one.name)
        if one.shape == "number" and _number(value) and value:
            less, more = (_changed(done, one, float(value) * f) for f in (1 - STEP, 1 + STEP))  # type: ignore[arg-type]  # `_number` has told that it is one
            found.append(Effect(one, less, more))
    return tuple(found)


def rivals(done: Calculation) -> tuple[Rival, ...]:
    """Run the rival relations on the same values.

    Parameters
    ----------
    done : Calculation

    Returns
    -------
    tuple of Rival
    """
    return tuple(_rival(done, relation_named(name)) for name in done.relation.rivals)


def _rival(done: Calculation, other: Relation) -> Rival:
    output = other.outputs[0]
    all_known = {**done.known, **done.values}
    values = {one.name: all_known[one.name] for one in other.inputs if one.name in all_known}
    values |= {
        one.name: one.default
        for one in other.inputs
        if one.name not in values and one.default is not None
    }
    try:
        _check(other, values)
        found = compute(other, values)[output.name]
    except Missing as error:
        return Rival(other, None, output, words("needs also {names}", names=error.needed))
    except ClampwrightError as error:
        return Rival(other, None, output, error.message)
    return Rival(other, float(found) if _number(found) else None, output)  # type: ignore[arg-type]  # told by `_number`


def _changed(done: Calculation, one: Input, value: float) -> float | None:
    try:
        done.relation.check_range(one, value)
        found = compute(done.relation, {**done.values, one.name: value})
    except ClampwrightError:
        return None
    new = found[done.relation.outputs[0].name]
    base = done.result
    return float(new) / float(base) - 1.0 if _number(new) else None  # type: ignore[arg-type]  # told by `_number`


def _check(relation: Relation, values: Mapping[str, Value]) -> None:
    """Refuse what is missing or outside its range."""
    missing = [one for one in relation.inputs if one.name not in values and not one.optional]
    if missing:
        raise Missing(
            words(
                "{title} needs also: {names}",
                title=relation.title,
                names="; ".join(
                    f"{one.name} ({one.symbol}{', ' + one.unit if one.unit else ''})"
                    for one in missing
                ),
            ),
            ", ".join(one.name for one in missing),
        )
    for one in relation.inputs:
        value = values.get(one.name)
        for number in _numbers(value):
            relation.check_range(one, number)


def _numbers(value: Value | None) -> list[float]:
    if isinstance(value, list):
        return [number for part in value for number in _numbers(part)]
    return [float(value)] if isinstance(value, int | float) else []


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _input(relation: Relation, key: str) -> Input:
    found = relation.input_named(key.strip())
    if found is not None:
        return found
    names = [one.name for one in relation.inputs]
    near = difflib.get_close_matches(key.strip(), names, n=1, cutoff=0.5)
    told = {"key": shown(key), "relation": relation.name}
    if near:
        raise Unreadable(
            words("{key!r} is no input of {relation}; did you mean {near}?", near=near[0], **told),
            key,
        )
    known = ", ".join(f"{i.name} ({i.symbol})" for i in relation.inputs)
    raise Unreadable(
        words("{key!r} is no input of {relation}; it has: {known}", known=known, **told), key
    )


def _taken(found: Any, one: Output) -> Any:
    if not one.take:
        return found
    if one.take.isdecimal():
        return found[int(one.take)]
    for name in one.take.split("."):
        found = getattr(found, name)
    return found


def _plain(value: Any) -> Value:
    """Return plain Python numbers, lists and text from what a function gave."""
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, tuple):
        value = list(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float | list):
        return value
    return str(value)
