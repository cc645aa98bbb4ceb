"""The workshop's own friction conditions on disk: ``friction.toml`` beside the drawer."""

from __future__ import annotations

import os
from pathlib import Path

from clampwright.errors import ClampwrightError, Refused
from clampwright.standards import FrictionCondition
from clampwright.standards.friction import in_tables
from clampwright.words import words
from clampwright.work.friction_file import ConditionTable, as_toml, load_conditions

FRICTION_FILE = "friction.toml"

_HEAD = "# Friction conditions of this workshop, from its own tests. A job file may name them.\n\n"


def friction_bytes(folder: Path) -> bytes:
    """Return the file of a workshop folder as it is; empty where there is none.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    bytes

    Raises
    ------
    ClampwrightError
        When it is there and cannot be read.
    """
    path = folder / FRICTION_FILE
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return b""
    except OSError as error:
        raise ClampwrightError(
            words("{file} cannot be read: {problem}", file=str(path), problem=str(error.strerror))
        ) from error


def own_conditions(folder: Path) -> tuple[FrictionCondition, ...]:
    """Return the workshop's own conditions.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    tuple of FrictionCondition
    """
    return load_conditions(friction_bytes(folder), str(folder / FRICTION_FILE))


def save_condition(folder: Path, table: ConditionTable) -> Path:
    """Add a condition to the workshop's own; what is there stays as it is.

    Parameters
    ----------
    folder : pathlib.Path
    table : ConditionTable

    Returns
    -------
    pathlib.Path
        The file.

    Raises
    ------
    Refused
        The name is taken.
    ClampwrightError
        The file cannot be read or written.
    """
    path, before = folder / FRICTION_FILE, friction_bytes(folder)
    names = {one.name for one in load_conditions(before, str(path))}
    if table.name in names or in_tables(table.name):
        raise Refused(
            words(
                "there is a condition {name} already; what others rely on is not changed, so give "
                "this one another name",
                name=table.name,
            )
        )
    text = before.decode("utf-8-sig") if before else _HEAD
    whole = f"{text.rstrip()}\n\n{as_toml(table)}".encode()
    load_conditions(whole, str(path))  # what is written can be read again
    fresh = path.with_name(f".{FRICTION_FILE}.new")
    try:
        with fresh.open("wb") as file:
            file.write(whole)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    except OSError as error:
        raise ClampwrightError(
            words("{file} cannot be written: {problem}", file=str(path),
                  problem=str(error.strerror))
        ) from error  # fmt: skip
    return path
