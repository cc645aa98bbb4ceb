"""The page of faults: its words are the program's, and every test it names is there."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from string import Formatter

from babel.messages.pofile import read_po

ROOT = Path(__file__).parents[2]
TEMPLATE = ROOT / "src" / "clampwright" / "locale" / "clampwright.pot"
PAGE = ROOT / "docs" / "reference" / "faults.md"
ANY = "…"


def rows() -> Iterator[list[str]]:
    for line in PAGE.read_text("utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip("|").split(" | ")]
        if line.startswith("| ") and not line.startswith(("| ---", "| what fails")):
            yield cells


@cache
def sentences() -> frozenset[str]:
    """Every sentence of the program, what is filled in written as on the page."""
    with TEMPLATE.open(encoding="utf-8") as file:
        found = [str(message.id) for message in read_po(file) if message.id]
    return frozenset(
        "".join(
            text + (ANY if name is not None else "") for text, name, _, _ in Formatter().parse(said)
        )
        for said in found
    )


@cache
def known_in(file: str) -> frozenset[str]:
    path = ROOT / file
    if not path.is_file():
        return frozenset()
    body = ast.parse(path.read_text("utf-8")).body
    return frozenset(node.name for node in body if isinstance(node, ast.FunctionDef))


def test_every_fault_has_its_words_its_promise_and_its_test() -> None:
    found = list(rows())
    assert len(found) > 20
    for cells in found:
        assert len(cells) == 4, cells
        fault, words, holds, tried = cells
        assert fault
        assert holds
        assert "“" in words or words.startswith("nothing"), fault
        assert re.fullmatch(r"(`tests(/\w+)+\.py::\w+` ?)+", tried), fault


def test_the_words_are_those_of_the_program() -> None:
    quoted = [said for cells in rows() for said in re.findall("“([^”]+)”", cells[1])]
    assert len(quoted) > 20
    assert [said for said in quoted if said not in sentences()] == []


def test_every_test_named_on_the_page_exists() -> None:
    named = re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", PAGE.read_text("utf-8"))
    assert [f"{file}::{name}" for file, name in named if name not in known_in(file)] == []
