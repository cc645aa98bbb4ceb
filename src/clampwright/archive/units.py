"""The pieces an analysis is done in, each known by the content it rests on.

What came of a piece is kept under a key over its content, the question, and the sources of this
program that the answer rests on. So what was done stays done, whoever did it; and what changed, or
is asked otherwise, or is judged by other rules, is done again.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import clampwright
from clampwright.archive.layout import Archive
from clampwright.archive.tables import KEY, footer
from clampwright.errors import BadFile

RULES = frozenset(
    {
        "archive",
        "distributions",
        "drawer",
        "formula",
        "joint",
        "procedure",
        "standards",
        "tomlfile",
        "trace",
        "units",
        "work",
    }
)
"""Rooms that decide what an analysis says."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A piece of work.

    Parameters
    ----------
    workshop : str
    file : str
        File of traces by its place in the archive; empty for all entries of the workshop.
    key : str
        Stands for the content.
    """

    workshop: str
    file: str
    key: str

    @property
    def name(self) -> str:
        """What it is called in messages."""
        return self.file or self.workshop


def units_by_traces(archive: Archive) -> Iterator[Unit]:
    """Go through the files of traces; a file is never changed, so its name stands for it."""
    for part in archive.parts("traces"):
        size = part.path.stat().st_size
        yield Unit(part.workshop, archive.told(part.path), f"{part.path.stem}:{size}")


def units_by_workshop(archive: Archive) -> Iterator[Unit]:
    """Go through the workshops of which entries are held."""
    for workshop in archive.workshops():
        keys = [
            f"{part.month}:{_content(archive, part.path)}"
            for part in archive.parts("entries", workshop)
        ]
        if keys:
            about = archive.about(workshop)
            told = hashlib.sha256(about.read_bytes()).hexdigest() if about.is_file() else ""
            yield Unit(workshop, "", ";".join([*keys, told]))


def _content(archive: Archive, path: Path) -> str:
    try:
        return footer(path, archive.told(path)).get(KEY, b"").decode()
    except BadFile:  # told when its entries are read
        return f"damaged {path.stat().st_size}"


def part_key(unit: Unit, step: str, asked: Mapping[str, Any]) -> str:
    """Return the name under which what came of a piece is kept.

    Parameters
    ----------
    unit : Unit
    step : str
        Name of what is done with it.
    asked : mapping
        What was asked.

    Returns
    -------
    str
    """
    whole = [step, unit.workshop, unit.file, unit.key, dict(asked), rules_key()]
    text = json.dumps(whole, ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:32]


@lru_cache(maxsize=1)
def rules_key() -> str:
    """Return a hash over the sources of the rooms that decide."""
    root = Path(clampwright.__file__).parent
    found = hashlib.sha256()
    for path in sorted(root.rglob("*")):
        at = path.relative_to(root)
        if at.parts[0].removesuffix(".py") in RULES and path.suffix in {".py", ".csv", ".toml"}:
            found.update(at.as_posix().encode() + b"\n" + path.read_bytes())
    return found.hexdigest()
