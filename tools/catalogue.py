"""Collect every sentence a person may see into the catalogue template, for translators.

Run ``make catalogue`` after adding a sentence: template and translations are brought up to date and
the translations compiled. With ``--check`` nothing is written and the exit status says whether all
of it is up to date and every translation keeps the fields of its sentences; ``--missing`` prints
the sentences still without a translation; ``--new fr`` begins a language.
"""

from __future__ import annotations

import csv
import io
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import write_po

from clampwright.cli import LazyGroup, group
from clampwright.cli.helped import texts

sys.path.insert(0, str(Path(__file__).parent))

from translations import (
    begin,
    compile_all,
    faults,
    language_of,
    read,
    translations,
    untranslated,
    updated,
)

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
        _add(catalogue, str(message), file.replace("\\", "/"))
    for help_text in sorted(set(_helped())):
        _add(catalogue, help_text, "cli")
    for table in sorted(PACKAGE.rglob("*.csv")):
        for row in csv.DictReader(table.read_text(encoding="utf-8").splitlines()):
            for column in SPOKEN:
                if row.get(column):
                    _add(catalogue, row[column], _name(table))
    for kind, sentences in (("formulas", _told), ("lessons", _taught)):
        for table in sorted(PACKAGE.rglob(f"{kind}/*.toml")):
            for sentence in sentences(tomllib.loads(table.read_text(encoding="utf-8"))):
                _add(catalogue, sentence, _name(table))
    return catalogue


def _add(catalogue: Catalog, sentence: str, file: str) -> None:
    # Line numbers would change the template with every edit; Babel leaves out a number of None.
    catalogue.add(sentence, locations=[(file, None)])  # type: ignore[list-item]  # see above


def _helped() -> Iterator[str]:
    """Give the help of all commands."""
    yield from texts(group)
    yield from (line for one in _groups(group) for line in one.lines.values())


def _groups(above: LazyGroup) -> Iterator[LazyGroup]:
    yield above
    context = click.Context(above)
    for name in above.lines:
        inner = above.get_command(context, name)
        if isinstance(inner, LazyGroup):
            yield from _groups(inner)


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


def template(found: Catalog) -> bytes:
    """Return the template file; the same sentences always give the same bytes."""
    out = io.BytesIO()
    write_po(out, found, omit_header=True, sort_output=True, width=100)
    return out.getvalue()


def check(found: Catalog) -> list[str]:
    """Return what is not as it should be, a line each."""
    wrong = []
    if not TEMPLATE.exists() or TEMPLATE.read_bytes() != template(found):
        wrong.append("the catalogue template is out of date; run: make catalogue")
    for file in translations():
        language = language_of(file)
        if file.read_bytes() not in {updated(file, found), updated(file, found, empty=False)}:
            wrong.append(f"the translation {language} is out of date; run: make catalogue")
        wrong += [f"{language}: {fault}" for fault in faults(read(file))]
    return wrong


def tell(found: Catalog) -> None:
    """Print how far each translation is."""
    for file in translations():
        missing = len(untranslated(read(file)))
        print(f"{language_of(file)}: {len(found) - missing} of {len(found)} sentences translated")


def main() -> int:
    """Bring template and translations up to date, or check them."""
    found = collect()
    if "--new" in sys.argv[1:]:
        begin(sys.argv[sys.argv.index("--new") + 1])
    if "--missing" in sys.argv[1:]:
        for file in translations():
            print(*untranslated(read(file)), sep="\n")
        return 0
    if "--check" in sys.argv[1:]:
        wrong = check(found)
        print(*wrong, sep="\n", end="\n" if wrong else "")
        return 1 if wrong else 0
    TEMPLATE.write_bytes(template(found))
    print(f"{TEMPLATE.relative_to(PACKAGE.parents[1])}: {len(found)} sentences")
    for file in translations():
        if file.read_bytes() != (fresh := updated(file, found)):
            file.write_bytes(fresh)
    compile_all()
    tell(found)
    return 0


if __name__ == "__main__":
    sys.exit(main())
