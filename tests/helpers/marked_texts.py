"""A language in which every sentence of the catalogue is marked: what is not marked was never one.

It finds text that reaches people around the catalogue, such as a code put into a sentence.
"""

from __future__ import annotations

import ast
import csv
import re
import tomllib
from collections.abc import Iterator
from gettext import NullTranslations
from pathlib import Path
from typing import Any

PACKAGE = Path(__file__).parents[2] / "src" / "clampwright"
TAG = "xx"
"""A language nobody speaks."""
_INNERMOST = re.compile(r"⟦[^⟦⟧]*⟧")
_WORD = re.compile(r"[^\W\d_]{3,}")
_TYPED = re.compile(
    r"clampwright (?:[a-z-]+ )+(?:[A-Z.]+(?:pdf|zip)?\b ?|--[a-z-]+ ?|[0-9.]+ ?)*"
    r"|(?<!\w)/[\w./-]{4,}"
)
_SPOKEN = frozenset({"advice", "title", "say", "why", "question", "meaning", "holds_for"})
"""Columns and keys that hold sentences: they are no excuse."""


class Marked(NullTranslations):
    """Marks every sentence instead of translating it."""

    def gettext(self, message: str) -> str:
        return f"⟦{message}⟧" if message.strip() else message


def unmarked(text: str) -> str:
    """Return what stands outside of all sentences."""
    before = ""
    while before != text:
        before, text = text, _INNERMOST.sub(" ", text)
    return text


def _values(node: Any) -> Iterator[str]:
    if isinstance(node, dict):
        for key, value in node.items():
            yield key
            if key not in _SPOKEN:
                yield from _values(value)
    elif isinstance(node, list):
        for value in node:
            yield from _values(value)
    else:
        yield str(node)


def given(*folders: Path) -> list[str]:
    """Return what is nobody's sentence: names, codes and sources of tables, a workshop's files.

    The longest come first, so that a part of one does not take the rest out of it.
    """
    found = set()
    for table in PACKAGE.rglob("*.csv"):
        for row in csv.DictReader(table.read_text(encoding="utf-8").splitlines()):
            found |= {str(cell) for column, cell in row.items() if cell and column not in _SPOKEN}
    for file in PACKAGE.rglob("*.toml"):
        found |= set(_values(tomllib.loads(file.read_text(encoding="utf-8"))))
    for folder in folders:
        for file in folder.rglob("*.toml"):
            whole = tomllib.loads(file.read_text(encoding="utf-8"))
            found |= {str(value) for value in _all(whole)}
    for module in PACKAGE.rglob("*.py"):
        found |= set(_sources(module))
    tidy = {" ".join(one.split()).strip(" :;(") for one in found}
    return sorted((one for one in tidy if _WORD.search(one)), key=len, reverse=True)


def _sources(module: Path) -> Iterator[str]:
    """Give the literal text of sources in code: they are cited as they are written."""
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.keyword):
            named, value = node.arg or "", node.value
        elif isinstance(node, ast.Assign):
            named, value = " ".join(map(ast.unparse, node.targets)), node.value
        else:
            continue
        if "source" in named.lower():
            for part in ast.walk(value):
                if isinstance(part, ast.Constant) and isinstance(part.value, str):
                    yield part.value


def _all(node: Any) -> Iterator[Any]:
    if isinstance(node, dict | list):
        for value in node.values() if isinstance(node, dict) else node:
            yield from _all(value)
    else:
        yield node


def strangers(text: str, known: list[str], fine: re.Pattern[str]) -> list[str]:
    """Return the words of a text that stand in no sentence and in nothing that was given."""
    rest = _TYPED.sub(" ", " ".join(unmarked(text).split()))
    for one in known:
        if one in rest:
            rest = rest.replace(one, " ")
    return _WORD.findall(fine.sub(" ", rest))
