"""The page on adding a language names every column and every class of the word tables."""

from __future__ import annotations

import csv
import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
TABLES = ROOT / "src" / "clampwright" / "procedure"
PAGE = (ROOT / "docs" / "how-to" / "add-a-language.md").read_text(encoding="utf-8")
NAMED = set(re.findall(r"`([^`]+)`", PAGE.partition("## The classes")[2]))


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def _classes() -> set[str]:
    return {row["class"] for path in (TABLES / "words").glob("*.csv") for row in _rows(path)}


def test_every_class_of_words_is_named() -> None:
    assert len(_classes()) > 50
    assert sorted(_classes() - NAMED) == []


def test_no_class_is_named_that_no_table_has() -> None:
    assert sorted({name for name in NAMED if re.fullmatch("[A-Z_]{2,}", name)} - _classes()) == []


def test_every_column_is_named() -> None:
    tables = [*TABLES.glob("words/*.csv"), TABLES / "languages.csv", TABLES / "regions.csv"]
    columns = {column for path in tables for column in _rows(path)[0]}
    assert sorted(columns - NAMED) == []
