"""The pages made from the registry and from the published values are as the tool writes them."""

from __future__ import annotations

import importlib.util
import re
from functools import lru_cache
from pathlib import Path
from types import ModuleType

import pytest

from clampwright.formula import relations

ROOT = Path(__file__).parents[2]
NAMES = ("reference/formulas.md", "validation/index.md", "reference/what-can-happen.md")


@lru_cache(maxsize=1)
def tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location(
        "reference_pages", ROOT / "tools" / "reference_pages.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@lru_cache(maxsize=1)
def pages() -> dict[str, str]:
    made: dict[str, str] = tool().made()
    return made


def test_these_are_the_pages() -> None:
    assert tuple(pages()) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_page_is_up_to_date(name: str) -> None:
    written = (ROOT / "docs" / name).read_text(encoding="utf-8")
    assert written == pages()[name], "run: python tools/reference_pages.py"


def test_the_same_text_comes_out_again() -> None:
    assert tool().formulas_page() == pages()[NAMES[0]]


@pytest.mark.parametrize("name", NAMES)
def test_links_lead_to_headings_of_the_page(name: str) -> None:
    text = pages()[name]
    headings = {
        re.sub(r"[^\w -]", "", line.lstrip("# ")).lower().replace(" ", "-")
        for line in text.splitlines()
        if line.startswith("##")
    }
    links = set(re.findall(r"\]\(#([^)]+)\)", text))
    assert links
    assert links <= headings


def test_every_relation_has_a_section_of_its_own() -> None:
    headings = re.findall(r"^### (\w+)$", pages()[NAMES[0]], re.MULTILINE)
    assert headings == [one.name for one in relations()]


def test_every_value_is_counted_in_the_heading() -> None:
    text = pages()[NAMES[1]]
    said = re.search(r"\*\*([\d,]+) published values: ([\d,]+) agree, (\d+) explained", text)
    assert said is not None
    whole, agree, explained = (int(number.replace(",", "")) for number in said.groups())
    verdicts = re.findall(r"\| (ok|explained|\*\*WRONG\*\*) \|$", text, re.MULTILINE)
    assert (len(verdicts), verdicts.count("ok")) == (whole, agree)
    assert verdicts.count("explained") == explained


@pytest.mark.parametrize("name", NAMES)
def test_rows_have_as_many_cells_as_their_head(name: str) -> None:
    wanted = 0
    for line in pages()[name].splitlines():
        if not line.startswith("|"):
            wanted = 0
            continue
        cells = len(re.findall(r"(?<!\\)\|", line))
        wanted = wanted or cells
        assert cells == wanted, line


@pytest.mark.parametrize(
    ("text", "shown"), [("d_2 * [x]", r"d\_2 \* \[x\]"), ("a|b\nc", r"a\|b c"), ("<i>", r"\<i\>")]
)
def test_text_is_not_taken_for_markdown(text: str, shown: str) -> None:
    assert tool().cell(text) == shown
