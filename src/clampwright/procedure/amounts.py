"""What a quantity of the text says: target, limits, unit, and what is odd about its form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from clampwright.procedure.numerals import Number
from clampwright.procedure.syntax import Item
from clampwright.procedure.tokens import Token
from clampwright.procedure.unit_text import UnitText
from clampwright.units.unit import units

# The units a stage may stand in; all other multiples are brought to the one named here.
_KEPT = frozenset({"N·m", "ft·lbf", "in·lbf", "kgf·m", "kgf·cm", "deg", "turn", "mm", "in", "min"})
_BROUGHT_TO = {"torque": "N·m", "angle": "deg", "length": "mm", "time": "min"}
_DAYS = {"day": 24 * 60, "week": 7 * 24 * 60}


@dataclass(frozen=True, slots=True)
class Amount:
    """One quantity.

    Parameters
    ----------
    letter : str
        Class of its unit in the grammar; empty when it has none.
    unit : str
        Canonical unit.
    value, low, high : Fraction or None
        Target and limits in `unit`.
    step : Fraction
        One unit in the last printed place of the coarsest of its numbers, in `unit`.
    tokens : tuple of int
        Positions of its tokens.
    from_range : bool
        Whether the value is the middle of a stated range.
    times : int
        How often it is to be done.
    oddities : frozenset of str
        What a person should see: ``reversed``, ``thousands``, ``foreign_mark``, ``letters``,
        ``not_finite``, ``minus``, ``one_sided``.
    other : Fraction or None
        The other value the number may have.
    readings : tuple of str
        Torque units to ask about.
    written_unit : str
        Unit as written when it was converted or must be asked about.
    """

    letter: str
    unit: str
    value: Fraction | None
    low: Fraction | None = None
    high: Fraction | None = None
    step: Fraction = Fraction(0)
    tokens: tuple[int, ...] = ()
    from_range: bool = False
    times: int = 1
    oddities: frozenset[str] = frozenset()
    other: Fraction | None = None
    readings: tuple[str, ...] = ()
    written_unit: str = ""

    @property
    def numbers(self) -> tuple[Fraction, ...]:
        """Target and limits, as far as stated."""
        return tuple(n for n in (self.value, self.low, self.high) if n is not None)

    def as_limit(self, *, low: bool) -> Amount:
        """Return the same figure as a lower or an upper limit without a target."""
        bound = self.value
        return replace(self, value=None, low=bound if low else None, high=None if low else bound)


@dataclass(slots=True)
class _Pieces:
    """Numbers and units of one amount, in the order of the text."""

    numbers: list[Number] = field(default_factory=list)
    units: list[UnitText] = field(default_factory=list)
    signs: str = ""
    times: int = 1


def _pieces(item: Item, tokens: Sequence[Token]) -> _Pieces:
    found = _Pieces()
    for index in item.tokens:
        token = tokens[index]
        if token.number is not None:
            found.numbers.append(token.number)
        elif token.unit is not None:
            found.units.append(token.unit)
        elif (twice := token.value("TWICE")) is not None:
            found.times = int(twice)
        found.signs += token.letter
    return found


def amounts_of(item: Item, tokens: Sequence[Token]) -> list[Amount]:
    """Return the amounts of one phrase; several for a list such as "20, 40 and 60 N·m".

    Parameters
    ----------
    item : Item
        A part of a figure.
    tokens : sequence of Token

    Returns
    -------
    list of Amount
    """
    if item.amounts is None:  # a clause is looked at many times
        item.amounts = tuple(_amounts(item, tokens))
    return list(item.amounts)


def _amounts(item: Item, tokens: Sequence[Token]) -> list[Amount]:
    pieces = _pieces(item, tokens)
    if item.kind == "paired":
        return _pair(item, tokens)
    if item.kind == "list":
        return [_list_member(item, tokens, index) for index in _number_indices(item, tokens)]
    made = _MAKERS[item.kind](pieces)
    return [_finished(made, pieces, item)]


def _pair(item: Item, tokens: Sequence[Token]) -> list[Amount]:
    """Take "30/22 N·m/ft-lb": each number goes with the unit in its place."""
    numbers = _number_indices(item, tokens)
    named = [index for index in item.tokens if tokens[index].unit is not None]
    singles = [Item("single", pair) for pair in zip(numbers, named, strict=True)]
    return [amounts_of(single, tokens)[0] for single in singles]


def _number_indices(item: Item, tokens: Sequence[Token]) -> list[int]:
    return [index for index in item.tokens if tokens[index].number is not None]


def _list_member(item: Item, tokens: Sequence[Token], index: int) -> Amount:
    number, unit = tokens[index].number, tokens[item.tokens[-1]].unit
    pieces = _Pieces([number] if number else [], [unit] if unit else [])
    own = Item("single", (index, item.tokens[-1]))
    return _finished(_single(pieces), pieces, own)


def _single(pieces: _Pieces) -> Amount:
    return Amount("", "", pieces.numbers[0].value)


def _range(pieces: _Pieces) -> Amount:
    low, high = pieces.numbers[0].value, pieces.numbers[1].value
    torque = any(unit.letter == "Q" for unit in pieces.units)
    if "g" in pieces.signs and torque and high <= low / 2:  # "70 -5 N·m" is no range
        return Amount("", "", low, low - high, low, oddities=frozenset({"one_sided"}))
    oddities = frozenset({"reversed"}) if low > high else frozenset()
    low, high = min(low, high), max(low, high)
    return Amount("", "", (low + high) / 2, low, high, from_range=True, oddities=oddities)


def _two_numbers(pieces: _Pieces) -> Amount:
    value, width = pieces.numbers[0].value, pieces.numbers[1].value
    oddities = frozenset({"lost_sign"})
    return Amount("", "", value, value - width, value + width, oddities=oddities)


def _symmetric(pieces: _Pieces) -> Amount:
    value, width = pieces.numbers[0].value, pieces.numbers[1].value
    behind = pieces.signs.partition("±")[2]
    if "%" in behind:
        width = value * width / 100
    return Amount("", "", value, value - width, value + width)


def _lopsided(pieces: _Pieces) -> Amount:
    value, first, second = (number.value for number in pieces.numbers[:3])
    first, second = abs(first), abs(second)
    if "%" in pieces.signs:
        first, second = value * first / 100, value * second / 100
    up, down = (first, second) if "+" in pieces.signs[: _second_number(pieces)] else (second, first)
    return Amount("", "", value, value - down, value + up)


def _second_number(pieces: _Pieces) -> int:
    places = [place for place, letter in enumerate(pieces.signs) if letter == "N"]
    return places[1]


def _one_sided(pieces: _Pieces) -> Amount:
    value, more = pieces.numbers[0].value, pieces.numbers[1].value
    return Amount("", "", value, value, value + more, oddities=frozenset({"one_sided"}))


def _repeat(pieces: _Pieces) -> Amount:
    numbers = [number.value for number in pieces.numbers]
    if "T" in pieces.signs:
        return Amount("", "", numbers[0], times=pieces.times)
    value, times = numbers[0], numbers[1]
    if pieces.signs[1] == "x":
        times, value = numbers[0], numbers[1]
    if times.denominator != 1 or not 1 <= times <= 12:
        return Amount("", "", value, oddities=frozenset({"strange_count"}))
    return Amount("", "", value, times=int(times))


def _bracketed(pieces: _Pieces) -> Amount:
    value, low, high = (number.value for number in pieces.numbers[:3])
    if not low <= value <= high:
        return Amount("", "", value, oddities=frozenset({"strange_count"}))
    return Amount("", "", value, low, high)


def _passes_of(pieces: _Pieces) -> Amount:
    times, value = pieces.numbers[0].value, pieces.numbers[1].value
    if times.denominator != 1 or not 1 <= times <= 12:
        return Amount("", "", value, oddities=frozenset({"strange_count"}))
    return Amount("", "", value, times=int(times))


def _mixed(pieces: _Pieces) -> Amount:
    whole, part = pieces.numbers[0].value, pieces.numbers[1].value
    if part >= 1:
        return Amount("", "", whole, oddities=frozenset({"strange_count"}))
    return Amount("", "", whole + part)


def _unit_first(pieces: _Pieces) -> Amount:
    if len(pieces.numbers) == 1:
        return _single(pieces)
    return _symmetric(pieces) if "±" in pieces.signs else _range(pieces)


_MAKERS = {
    "single": _single,
    "two_numbers": _two_numbers,
    "range": _range,
    "symmetric": _symmetric,
    "lopsided": _lopsided,
    "one_sided": _one_sided,
    "repeat": _repeat,
    "passes_of": _passes_of,
    "bracketed": _bracketed,
    "mixed": _mixed,
    "unit_first": _unit_first,
}


def _finished(made: Amount, pieces: _Pieces, item: Item) -> Amount:
    """Add unit, precision and oddities, and bring the value to a unit a stage may stand in."""
    unit = _unit_of(pieces)
    oddities = set(made.oddities)
    oddities.update(number.oddity for number in pieces.numbers if number.oddity)
    if unit is not None and unit.oddity == "letters":
        oddities.add("letters")
    if len({found.letter for found in pieces.units if found.letter != "%"}) > 1 or _mixed_units(
        pieces
    ):
        oddities.add("mixed_units")
    step = max((number.step for number in pieces.numbers), default=Fraction(0))
    told = _in_unit(made, unit, step=step, other=pieces.numbers[0].other)
    return replace(made, tokens=item.tokens, oddities=frozenset(oddities), **told)


def _unit_of(pieces: _Pieces) -> UnitText | None:
    named = [unit for unit in pieces.units if unit.letter != "%"]
    return named[0] if named else (pieces.units[0] if pieces.units else None)


def _mixed_units(pieces: _Pieces) -> bool:
    return len({unit.name for unit in pieces.units if unit.letter != "%"}) > 1


def in_unit(amount: Amount, unit: UnitText) -> Amount:
    """Return an amount with a unit, brought to one a stage may stand in.

    Parameters
    ----------
    amount : Amount
        Its numbers are in `unit`.
    unit : UnitText

    Returns
    -------
    Amount
    """
    return replace(amount, **_in_unit(amount, unit, step=amount.step, other=amount.other))


def _in_unit(
    amount: Amount, unit: UnitText | None, *, step: Fraction, other: Fraction | None
) -> dict[str, Any]:
    """Return the fields that a unit changes; numbers are multiplied only where they change."""
    if unit is None:
        return {"step": step, "other": other}
    name, scale = _target(unit)
    written = unit.name if name != unit.name or unit.letter == "F" else ""
    fields: dict[str, Any] = {"letter": unit.letter, "unit": name, "step": step, "other": other}
    fields |= {"readings": unit.readings, "written_unit": written}
    if scale != 1:
        fields |= {
            "value": _times(amount.value, scale),
            "low": _times(amount.low, scale),
            "high": _times(amount.high, scale),
            "other": _times(other, scale),
            "step": step * scale,
        }
    return fields


def _times(value: Fraction | None, scale: Fraction) -> Fraction | None:
    return None if value is None else value * scale


def _target(unit: UnitText) -> tuple[str, Fraction]:
    if unit.name in _DAYS:
        return "min", Fraction(_DAYS[unit.name])
    if unit.letter not in "QALH" or unit.name in _KEPT:
        return unit.name, Fraction(1)
    known = units()[unit.name]
    target = units()[_BROUGHT_TO[known.kind]]
    return target.name, known.factor / target.factor
