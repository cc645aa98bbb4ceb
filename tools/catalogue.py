"""Collect every sentence a person may see into the catalogue template, for translators.

Run ``make catalogue`` after adding a sentence; with ``--check`` nothing is written and the exit
status says whether the template is up to date.
"""

from __future__ import annotations

import csv
import io
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import write_po

PACKAGE = Path(__file__).parents[1] / "src" / "clampwright"
TEMPLATE = PACKAGE / "locale" / "clampwright.pot"
SPOKEN = ("advice", "title", "say", "why", "question")
"""Columns of tables that hold sentences for people."""
TOLD = ("title", "meaning", "why", "holds_for")
"""Keys of the tables of relations that hold sentences for people."""
TAUGHT = ("title", "about", "text", "ask")
"""Keys of the shipped lessons that hold sentences for people."""


def collect() -> Catalog:
    """Return all sentences of the package with the files they stand in."""
    catalogue = Catalog(project="clampwright", fuzzy=False, charset="utf-8")
    found = extract_from_dir(
        str(PACKAGE), method_map=[("**.py", "python")], keywords={"words": None}
    )
    for file, _line, message, _comments, _context in sorted(found):
        catalogue.add(message, locations=[(file.replace("\\", "/"), None)])
    for table in sorted(PACKAGE.rglob("*.csv")):
        for row in csv.DictReader(table.read_text(encoding="utf-8").splitlines()):
            for column in SPOKEN:
                if row.get(column):
                    catalogue.add(row[column], locations=[(_name(table), None)])
    for table in sorted(PACKAGE.rglob("formulas/*.toml")):
        for sentence in _told(tomllib.loads(table.read_text(encoding="utf-8"))):
            catalogue.add(sentence, locations=[(_name(table), None)])
    for table in sorted(PACKAGE.rglob("lessons/*.toml")):
        for sentence in _taught(tomllib.loads(table.read_text(encoding="utf-8"))):
            catalogue.add(sentence, locations=[(_name(table), None)])
    return catalogue


def _told(node: dict[str, Any]) -> Iterator[str]:
    for key, value in node.items():
        if isinstance(value, dict):
            yield from _told(value)
        elif key in TOLD:
            yield value


def _taught(lesson: dict[str, Any]) -> Iterator[str]:
    for part in (lesson, *lesson["exercise"]):
        yield from (part[key] for key in TAUGHT if part.get(key))


def _name(table: Path) -> str:
    return table.relative_to(PACKAGE).as_posix()


def template() -> bytes:
    """Return the template file; the same sentences always give the same bytes."""
    out = io.BytesIO()
    write_po(out, collect(), omit_header=True, sort_output=True, width=100)
    return out.getvalue()


def main() -> int:
    """Write the template, or check it."""
    wanted = template()
    if "--check" in sys.argv[1:]:
        current = TEMPLATE.read_bytes() if TEMPLATE.exists() else b""
        if current == wanted:
            return 0
        print("the catalogue template is out of date; run: make catalogue")
        return 1
    TEMPLATE.write_bytes(wanted)
    print(f"{TEMPLATE.relative_to(PACKAGE.parents[1])}: {len(collect())} sentences")
    return 0


if __name__ == "__main__":
    sys.exit(main())
