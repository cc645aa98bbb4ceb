"""Tables: a line of units, and below it lines of names or steps with their figures."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from clampwright.procedure.amounts import Amount, amounts_of, in_unit
from clampwright.procedure.draft import Draft, Subject
from clampwright.procedure.physical import not_physical
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.procedure.syntax import Item
from clampwright.procedure.tokens import Token
from clampwright.procedure.torque import torque
from clampwright.procedure.turning import angle
from clampwright.procedure.unit_text import UnitText
from clampwright.procedure.vocabulary import fold
from clampwright.units.unit import units
from clampwright.words import words

_GAPS = (re.compile(r"\s*\|\s*"), re.compile(r"\t+| {2,}"), re.compile(r"\s*;\s*"))


@dataclass(frozen=True, slots=True)
class Cell:
    """One field of a line: where it stands, and its tokens."""

    start: int
    end: int
    tokens: tuple[int, ...]


@dataclass(slots=True)
class Row:
    """One line of a table: its name and the cells under the units."""

    label: Cell
    cells: list[tuple[UnitText, Cell]]


@dataclass(slots=True)
class Table:
    """A table found in the text.

    Parameters
    ----------
    start, stop : int
        Its first token and the one behind its last.
    head : tuple of int
        Tokens of the line of units.
    rows : list of Row
    """

    start: int
    stop: int
    head: tuple[int, ...]
    rows: list[Row] = field(default_factory=list)


def find_tables(draft: Draft) -> list[Table]:
    """Return the tables of a text in order.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    list of Table
    """
    found: list[Table] = []
    current: Table | None = None
    columns: list[tuple[UnitText, int, Cell]] = []
    counted: frozenset[int] = frozenset()
    for first, last in _lines(draft.tokens):
        indices = tuple(range(first, last))
        row = _row(draft, indices, columns, counted) if current is not None else None
        if current is not None and row is not None:
            current.rows.append(row)
            current.stop = last
        elif current is not None and not _says_anything(draft, indices):
            current.stop = last
        else:
            _keep(found, current)
            columns = _columns(draft, indices)
            counted = _counted(draft, indices) if columns else frozenset()
            current = Table(first, last, indices) if columns else None
    _keep(found, current)
    return found


def _keep(found: list[Table], table: Table | None) -> None:
    if table is not None and table.rows:
        found.append(table)


def _lines(tokens: Sequence[Token]) -> Iterator[tuple[int, int]]:
    begin = 0
    for index, token in enumerate(tokens):
        if token.letter == "n":
            yield begin, index + 1
            begin = index + 1
    if begin < len(tokens):
        yield begin, len(tokens)


def _says_anything(draft: Draft, indices: Sequence[int]) -> bool:
    return any(draft.tokens[index].letter not in "|-n" for index in indices)


def _columns(draft: Draft, indices: Sequence[int]) -> list[tuple[UnitText, int, Cell]]:
    """Return the units of a heading with their places; empty when the line is no heading."""
    tokens = draft.tokens
    if any(tokens[index].number is not None for index in indices):
        return []
    columns = []
    cells = _cells(draft, indices)
    for place, cell in enumerate(cells):
        named = [u for i in cell.tokens if (u := _unit_of(tokens[i])) is not None]
        if len(named) == 1:
            columns.append((named[0], place, cell))
    return columns if len(cells) > 1 else []


def _counted(draft: Draft, indices: Sequence[int]) -> frozenset[int]:
    """Return the places of the columns headed "Part No" or "Qty", which name no joint."""
    return frozenset(
        place
        for place, cell in enumerate(_cells(draft, indices))
        if any(draft.tokens[i].value("REF") in {"part", "count"} for i in cell.tokens)
    )


def _unit_of(token: Token) -> UnitText | None:
    """Return the torque or angle unit a heading names, as a sign or as a word."""
    if token.unit is not None:
        return token.unit if token.unit.letter in "QA" else None
    name = token.value("UNIT")
    if name is None or name not in units() or units()[name].kind not in {"torque", "angle"}:
        return None
    return UnitText("Q" if units()[name].kind == "torque" else "A", name, token.end)


def _cells(draft: Draft, indices: Sequence[int]) -> list[Cell]:
    inner = [index for index in indices if draft.tokens[index].letter != "n"]
    if not inner:
        return []
    start, end = draft.tokens[inner[0]].start, draft.tokens[inner[-1]].end
    line = draft.text[start:end]
    gap = next((pattern for pattern in _GAPS if pattern.search(line.strip("| "))), None)
    if gap is None:
        return [Cell(start, end, tuple(inner))]
    bounds: list[tuple[int, int]] = []
    position = 0
    for match in gap.finditer(line):
        bounds.append((position, match.start()))
        position = match.end()
    bounds.append((position, len(line)))
    return [
        Cell(
            start + low,
            start + high,
            tuple(
                i
                for i in inner
                if start + low <= draft.tokens[i].start and draft.tokens[i].end <= start + high
            ),
        )
        for low, high in bounds
        if line[low:high].strip()
    ]


def _row(
    draft: Draft,
    indices: Sequence[int],
    columns: Sequence[tuple[UnitText, int, Cell]],
    counted: frozenset[int],
) -> Row | None:
    cells = _cells(draft, indices)
    if len(cells) == 1 and len(columns) == 1:
        cells = _name_and_figure(draft, indices)
    if len(cells) < 2 or any(draft.tokens[i].letter in "QA" for i in indices):
        return None
    aligned = _aligned(cells, columns)
    if not any(draft.tokens[i].number for _, cell in aligned for i in cell.tokens):
        return None
    if any(not _is_figure(draft, cell) for _, cell in aligned):
        return None
    named = [cell for place, cell in enumerate(cells) if place not in counted]
    if named[0] is cells[0] or any(named[0] is cell for _, cell in aligned):
        return Row(cells[0], aligned)
    for place in counted:
        draft.mark(cells[place].tokens, "other", words("count or part number"))
    return Row(named[0], aligned)


def _name_and_figure(draft: Draft, indices: Sequence[int]) -> list[Cell]:
    """Cut "Bracket 25", with one space only, into the name and the figure behind it."""
    inner = [index for index in indices if draft.tokens[index].letter != "n"]
    numbers = [index for index in inner if draft.tokens[index].number is not None]
    if not numbers or numbers[0] == inner[0]:
        return []
    halves = inner[: inner.index(numbers[0])], inner[inner.index(numbers[0]) :]
    cells = [
        Cell(draft.tokens[half[0]].start, draft.tokens[half[-1]].end, tuple(half))
        for half in halves
    ]
    return cells if _is_figure(draft, cells[1]) else []


def _aligned(
    cells: Sequence[Cell], columns: Sequence[tuple[UnitText, int, Cell]]
) -> list[tuple[UnitText, Cell]]:
    """Put cells under units: by counting where every cell is there, else by place."""
    last = columns[-1][1]
    shift = 1 if columns[0][1] == 0 else 0  # a heading without a word above the names
    if len(cells) == last + 1 + shift or len(cells) > last + 1 + shift:
        return [(unit, cells[place + shift]) for unit, place, _ in columns]
    used = []
    line_start = cells[0].start
    head_start = columns[0][2].start - columns[0][2].start
    for cell in cells[1:]:
        offset = cell.start - line_start + head_start
        nearest = min(
            columns, key=lambda column: abs(column[2].start - columns[0][2].start - offset)
        )
        used.append((nearest[0], cell))
    return used


def _is_figure(draft: Draft, cell: Cell) -> bool:
    letters = "".join(draft.tokens[i].letter for i in cell.tokens)
    return bool(re.fullmatch(r"N?(?:[-~±t]N?)?|N\+N/-N|", letters))


def take_table(scope: Scope, table: Table) -> None:
    """Add the stages of a table.

    Parameters
    ----------
    scope : Scope
    table : Table
    """
    draft = scope.draft
    scope.started = len(draft.slots)
    scope.clause = None
    for row in table.rows:
        _take_row(scope, row)


def _take_row(scope: Scope, row: Row) -> None:
    draft = scope.draft
    letters = "".join(draft.tokens[i].letter for i in row.label.tokens)
    text = draft.text[row.label.start : row.label.end].strip("|: .")
    if re.fullmatch(r"[SO]?#?[NO]?S?[.:)]?", letters):
        draft.mark(row.label.tokens, "other", words("step number"))
    else:
        draft.mark(row.label.tokens, "other", words("name"))
        names = frozenset(fold(word) for word in re.findall(r"\w+", text))
        scope.subject = Subject(text, names, listed=True)
    found = [made for unit, cell in row.cells if (made := _amount(draft, unit, cell))]
    torques = [amount for amount in found if amount.letter == "Q"]
    if torques:
        _emit(scope, Quantity([torques[0]], torques[1:]), torque)
    for amount in found:
        if amount.letter == "A":
            _emit(scope, Quantity([amount]), angle)


def _emit(scope: Scope, quantity: Quantity, handler: object) -> None:
    from clampwright.procedure.clauses import Clause  # noqa: PLC0415 - an empty one is enough

    if not_physical(scope, quantity):
        return
    empty = Clause(scope.draft.tokens, frozenset(), -1 - len(scope.draft.slots))
    if callable(handler):
        handler(scope, empty, quantity, [quantity])


def _amount(draft: Draft, unit: UnitText, cell: Cell) -> Amount | None:
    numbers = [i for i in cell.tokens if draft.tokens[i].number is not None]
    if not numbers:
        return None
    letters = "".join(draft.tokens[i].letter for i in cell.tokens)
    kinds = {1: "single", 2: "symmetric" if "±" in letters else "range", 3: "lopsided"}
    item = Item(kinds[len(numbers)], tuple(i for i in cell.tokens if draft.tokens[i].letter))
    return in_unit(amounts_of(item, draft.tokens)[0], unit)
