"""Where the relations stand: tables in the rooms that compute them, read when asked for."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, cast

from clampwright.errors import Missing
from clampwright.formula.relation import Basis, Example, Input, Output, Relation, Shape
from clampwright.words import Words, words

PACKAGE = Path(__file__).parent.parent
FOLDER = "formulas"
QUANTITIES = "quantities"
"""Name of the table of a folder that says once what each quantity is."""

_Table = dict[str, Any]


def files() -> tuple[Path, ...]:
    """Return all tables of relations of the package, in order of room and topic.

    Returns
    -------
    tuple of pathlib.Path
    """
    found = [*PACKAGE.glob(f"*/{FOLDER}/*.toml"), *PACKAGE.glob(f"*/*/{FOLDER}/*.toml")]
    return tuple(sorted(path for path in found if path.stem != QUANTITIES))


@lru_cache(maxsize=1)
def relations() -> tuple[Relation, ...]:
    """Return every relation, in order of room, topic and table.

    Returns
    -------
    tuple of Relation

    Examples
    --------
    >>> "torque_from_clamp_long_form" in {one.name for one in relations()}
    True
    """
    return tuple(one for path in files() for one in _read(path))


def relation(name: str) -> Relation:
    """Return the relation of a name; only its own table is read.

    Parameters
    ----------
    name : str

    Returns
    -------
    Relation

    Raises
    ------
    Missing
        There is none of this name; the nearest names are told.

    Examples
    --------
    >>> relation("torque_from_clamp_long_form").outputs[0].unit
    'N·m'
    """
    header = f"[{name}]"
    for path in files():
        if any(line.strip() == header for line in _text(path).splitlines()):
            return next(one for one in _read(path) if one.name == name)
    raise _unknown(name)


def about(word: str) -> tuple[Relation, ...]:
    """Return the relations that have something to do with a word.

    Parameters
    ----------
    word : str
        Looked for in names, titles, topics, and the meanings of inputs and outputs.

    Returns
    -------
    tuple of Relation
    """
    wanted = word.casefold().strip()

    def text(one: Relation) -> str:
        quantities = " ".join(
            [str(each.meaning) for each in one.inputs] + [str(out.meaning) for out in one.outputs]
        )
        return f"{one.name} {one.name.replace('_', ' ')} {one.title} {one.topic} {quantities}"

    return tuple(one for one in relations() if wanted in text(one).casefold())


def _unknown(name: str) -> Missing:
    import difflib  # noqa: PLC0415 - needed only for a message

    known = [one.name for one in relations()]
    near = difflib.get_close_matches(name, known, n=3, cutoff=0.4)
    found = near or [one.name for one in about(name)][:3]
    if not found:
        return Missing(
            words("there is no relation {name!r}; `clampwright formula list` shows all", name=name),
            name,
        )
    return Missing(
        words(
            "there is no relation {name!r}; did you mean {near}?", name=name, near=", ".join(found)
        ),
        name,
    )


@lru_cache(maxsize=64)
def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@lru_cache(maxsize=64)
def _read(path: Path) -> tuple[Relation, ...]:
    shared = tomllib.loads(_text(path.with_name(f"{QUANTITIES}.toml")))
    room = path.relative_to(PACKAGE).parts[0]
    return tuple(
        _relation(name, table, shared, topic=path.stem, room=room)
        for name, table in tomllib.loads(_text(path)).items()
    )


def _relation(name: str, table: _Table, shared: _Table, *, topic: str, room: str) -> Relation:
    # Nothing in the texts has fields to fill, and a brace in a symbol is no field.
    overrides: _Table = table.get("input", {})
    defaults: _Table = table.get("defaults", {})
    optional = set(table.get("optional", ())) | set(defaults)
    example: _Table = table["example"]
    return Relation(
        name=name,
        title=Words(table["title"]),
        topic=topic,
        room=room,
        inputs=tuple(
            _input(one, shared, overrides, defaults, optional=one in optional)
            for one in table["inputs"]
        ),
        outputs=tuple(_output(one, shared, table.get("output", {})) for one in table["outputs"]),
        function=table["function"],
        formula=table["formula"],
        source=table["source"],
        basis=cast("Basis", table["basis"]),
        holds_for=Words(table["holds_for"]),
        rivals=tuple(table.get("rivals", ())),
        example=Example(example.get("given", {}), example["printed"], example["source"]),
    )


def _quantity(name: str, shared: _Table, own: Mapping[str, Any]) -> _Table:
    base: _Table = shared.get(own.get("quantity", name), {})
    return {**base, **own}


def _input(
    name: str, shared: _Table, overrides: _Table, defaults: _Table, *, optional: bool
) -> Input:
    known = _quantity(name, shared, overrides.get(name, {}))
    low, high = known.get("low", known.get("above")), known.get("high", known.get("below"))
    choices = tuple(known.get("choices", ()))
    shape = known.get("shape", "choice" if choices else "number")
    return Input(
        name=name,
        symbol=known["symbol"],
        unit=known.get("unit", ""),
        meaning=Words(known["meaning"]),
        low=None if low is None else float(low),
        high=None if high is None else float(high),
        low_open="above" in known and "low" not in known,
        high_open="below" in known and "high" not in known,
        why=Words(known["why"]) if "why" in known else None,
        shape=cast("Shape", shape),
        choices=choices,
        default=defaults.get(name),
        optional=optional,
    )


def _output(entry: str, shared: _Table, overrides: _Table) -> Output:
    """Read ``quantity`` or ``quantity from attribute``."""
    name, _, take = entry.partition(" from ")
    known = _quantity(name, shared, overrides.get(name, {}))
    return Output(
        name=name,
        symbol=known["symbol"],
        unit=known.get("unit", ""),
        meaning=Words(known["meaning"]),
        take=take.strip(),
    )
