"""All published values computed again, and what came out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from clampwright.validation import assembly, charts, tables, workshop
from clampwright.validation.row import Row
from clampwright.validation.sheet import SHEETS, sheet_rows

PARTS: tuple[Callable[[], Iterator[Row]], ...] = (
    tables.units,
    tables.threads,
    tables.strengths,
    tables.heads,
    tables.frictions,
    tables.scatters,
    assembly.assembly_rows,
    *(lambda name=name: sheet_rows(name) for name in SHEETS),
    charts.factors,
    charts.examples,
    charts.reference_data,
    workshop.permissible,
    workshop.adapters,
    workshop.wrench_sizes,
    workshop.aircraft,
    workshop.orders,
)
"""Where the rows come from, in the order in which they are shown."""


def validate(about: str | None = None) -> tuple[Row, ...]:
    """Compute every published value again.

    Parameters
    ----------
    about : str, optional
        Keep only rows that have this word in their name, topic, quantity or source.

    Returns
    -------
    tuple of Row
    """
    found = (row for part in PARTS for row in part())
    return tuple(found if about is None else _with_word(found, about))


def _with_word(rows: Iterable[Row], word: str) -> Iterator[Row]:
    wanted = word.casefold().strip()
    for row in rows:
        if wanted in f"{row.id} {row.topic} {row.quantity} {row.source}".casefold():
            yield row


@dataclass(frozen=True, slots=True)
class Counts:
    """How many rows came out how.

    Parameters
    ----------
    rows : int
    ok : int
        Within the tolerance.
    explained : int
        Not within it, because the published figure is itself wrong.
    red : int
        Neither.
    """

    rows: int
    ok: int
    explained: int
    red: int


def count(rows: Sequence[Row]) -> Counts:
    """Count rows by verdict.

    Parameters
    ----------
    rows : sequence of Row

    Returns
    -------
    Counts
    """
    return Counts(
        rows=len(rows),
        ok=sum(row.ok for row in rows),
        explained=sum(not row.ok and row.explained is not None for row in rows),
        red=sum(row.red for row in rows),
    )


def row_json(row: Row) -> dict[str, Any]:
    """Return a row as plain data.

    Parameters
    ----------
    row : Row

    Returns
    -------
    dict
    """
    return {
        "id": row.id,
        "topic": row.topic,
        "quantity": row.quantity,
        "computed": row.computed,
        "published": row.published,
        "printed": row.printed,
        "unit": row.unit,
        "difference": row.difference,
        "tolerance": row.tolerance,
        "source": row.source,
        "ok": row.ok,
        "explained": None if row.ok else row.explained,
        "note": row.note or None,
    }
