"""The quantities of a clause, each with the figures that say the same in other units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from clampwright.procedure.amounts import Amount, amounts_of
from clampwright.procedure.clauses import Clause
from clampwright.procedure.dual import is_tolerance
from clampwright.procedure.syntax import Item, walk
from clampwright.procedure.tokens import Token
from clampwright.units.unit import units

_LINKS = frozenset(",;/=r~:a")


@dataclass(slots=True)
class Quantity:
    """One quantity, or a list of them that are to be done one after the other.

    Parameters
    ----------
    amounts : list of Amount
        More than one for "20, 40 and 60 N·m".
    also : list of Amount
        The same in other units.
    instead : bool
        Whether "or" stands before it: it is another choice, not another step.
    """

    amounts: list[Amount]
    also: list[Amount] = field(default_factory=list)
    instead: bool = False

    @property
    def letter(self) -> str:
        """Class of its unit."""
        return self.amounts[0].letter

    @property
    def tokens(self) -> tuple[int, ...]:
        """Positions of all its tokens."""
        found = {index for amount in (*self.amounts, *self.also) for index in amount.tokens}
        return tuple(sorted(found))

    @property
    def first(self) -> int:
        """Position of its first token."""
        if len(self.amounts) == 1 and not self.also:
            return min(self.amounts[0].tokens)
        return min(min(one.tokens) for one in (*self.amounts, *self.also))

    @property
    def last(self) -> int:
        """Position of its last token."""
        if len(self.amounts) == 1 and not self.also:
            return max(self.amounts[0].tokens)
        return max(max(one.tokens) for one in (*self.amounts, *self.also))


def quantities(clause: Clause) -> list[Quantity]:
    """Return the quantities of a clause in the order of the text.

    Parameters
    ----------
    clause : Clause

    Returns
    -------
    list of Quantity
    """
    count, kept = clause.quantities
    if count != len(clause.items):
        gathered = _gathered(clause)
        kept = tuple((tuple(one.amounts), tuple(one.also), one.instead) for one in gathered)
        clause.quantities = len(clause.items), kept
    return [Quantity(list(amounts), list(also), instead) for amounts, also, instead in kept]


def _gathered(clause: Clause) -> list[Quantity]:
    found: list[Quantity] = []
    for item in clause.items:
        if item.kind != "figure":
            continue
        for quantity in _of_item(item, clause.tokens):
            before = found[-1] if found else None
            if before is not None and _repeats(before, quantity, clause.tokens):
                before.also.extend(quantity.amounts + quantity.also)
            else:
                found.append(quantity)
    return found


def _of_item(item: Item, tokens: Sequence[Token]) -> list[Quantity]:
    chain: list[Quantity] = []
    choice = False
    for part in item.parts:
        if part.kind == "join":
            choice = tokens[part.tokens[0]].letter == "r"
            continue
        if part.kind == "group":
            _take_group(chain[-1], part, tokens)
            continue
        for made in _of_part(part, tokens):
            if chain and _same_kind(chain[-1].amounts, made.amounts):
                chain[-1].also.extend(made.amounts)
            else:
                made.instead = made.instead or choice
                chain.append(made)
    return chain


def _of_part(part: Item, tokens: Sequence[Token]) -> list[Quantity]:
    amounts = amounts_of(part, tokens)
    if part.kind == "list" and any(tokens[i].letter == "r" for i in part.tokens):
        singles = [Quantity([amount]) for amount in amounts]
        for single in singles[1:]:
            single.instead = True
        return singles
    if part.kind == "paired":
        return [Quantity([amounts[0]], [amounts[1]])]
    if part.kind == "range" and "mixed_units" in amounts[0].oddities:
        return _two_units(part, tokens)
    return [Quantity(amounts)]


def _two_units(part: Item, tokens: Sequence[Token]) -> list[Quantity]:
    """Take "30 Nm - 22 ft-lb" as one torque in two units, not as a range."""
    places = [index for index in part.tokens if tokens[index].letter in "QALHKFV%"]
    halves = [i for i in part.tokens if i <= places[0]], [i for i in part.tokens if i > places[0]]
    singles = []
    for half in halves:
        kept = [i for i in half if tokens[i].number is not None or tokens[i].unit is not None]
        singles.append(amounts_of(Item("single", tuple(kept)), tokens)[0])
    if singles[0].letter == singles[1].letter:
        return [Quantity([singles[0]], [singles[1]])]
    if any(tokens[i].letter == "g" for i in part.tokens):
        singles[1] = replace(singles[1], oddities=singles[1].oddities | {"minus"})
    return [Quantity([one]) for one in singles]


def _same_kind(first: Sequence[Amount], second: Sequence[Amount]) -> bool:
    """Tell whether two amounts state one thing in two units."""
    one, other = first[0], second[0]
    return (
        len(first) == len(second) == 1
        and one.letter == other.letter
        and one.letter in "QAL"
        and _spelt(one) != _spelt(other)
    )


def _spelt(amount: Amount) -> str:
    return amount.written_unit or amount.unit


def _repeats(before: Quantity, quantity: Quantity, tokens: Sequence[Token]) -> bool:
    """Tell whether a quantity directly behind another one repeats it in another unit."""
    between = [token for token in tokens[before.last + 1 : quantity.first] if token.letter]
    return not between and _same_kind(before.amounts, quantity.amounts)


def _take_group(quantity: Quantity, group: Item, tokens: Sequence[Token]) -> None:
    """Take a bracket that holds nothing but the same quantity in other units, or its limits."""
    inner = [item for item in group.parts if item.kind == "figure"]
    rest = [item for item in group.parts if item.kind != "figure"]
    own = quantity.amounts[0]
    if len(quantity.amounts) != 1:
        return
    if not inner and len(rest) == 1 and rest[0].kind == "span":
        _take_limits(quantity, rest[0], tokens)
        return
    if not inner or any(not _links(item, tokens) for item in rest):
        return
    parts = [part for item in inner for part in _flat(item)]
    others = [amount for part in parts for amount in amounts_of(part, tokens)]
    if is_tolerance(own, others):
        limits = others[0]
        quantity.amounts[0] = replace(
            own, low=limits.low, high=limits.high, tokens=(*own.tokens, *limits.tokens)
        )
    elif all(own.letter == other.letter and own.letter in "QAL" for other in others):
        quantity.also.extend(other for other in others if not _equal(own, other))
        seen = [index for other in others if _equal(own, other) for index in other.tokens]
        quantity.amounts[0] = replace(own, tokens=(*own.tokens, *seen))


def _equal(first: Amount, second: Amount) -> bool:
    return first.unit == second.unit and first.numbers == second.numbers


def _take_limits(quantity: Quantity, span: Item, tokens: Sequence[Token]) -> None:
    """Take "30 N·m (28 - 32)": the bracket has the limits, in the unit before it."""
    own = quantity.amounts[0]
    numbers = [t.number.value for i in span.tokens if (t := tokens[i]).number is not None]
    scale = _scale(own, tokens)
    if own.value is None or len(numbers) != 2 or own.low is not None:
        return
    low, high = (number * scale for number in numbers)
    if low <= own.value <= high:
        quantity.amounts[0] = replace(own, low=low, high=high, tokens=(*own.tokens, *span.tokens))


def _scale(amount: Amount, tokens: Sequence[Token]) -> Fraction:
    """Return what the unit as written is in the unit the amount was brought to."""
    numbers = [t.number.value for i in amount.tokens if (t := tokens[i]).number is not None]
    if amount.value is None or not numbers or numbers[0] == 0:
        return Fraction(1)
    return amount.value / numbers[0]


def _flat(item: Item) -> list[Item]:
    return [part for part in walk(item.parts) if part.kind not in {"join", "group"} and part.tokens]


def _links(item: Item, tokens: Sequence[Token]) -> bool:
    if item.kind != "mark":
        return False
    token = tokens[item.tokens[0]]
    return token.letter in _LINKS


def in_newton_metres(amount: Amount) -> float | None:
    """Return the largest figure of a torque in N·m, or None when it is no torque.

    Parameters
    ----------
    amount : Amount

    Returns
    -------
    float or None
    """
    if amount.letter != "Q" or not amount.numbers:
        return None
    return float(max(amount.numbers) * units()[amount.unit].factor)
