"""A tool written into the drawer file: nothing that stood there changes."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer import load_drawer
from clampwright.drawer.belongings import Paper
from clampwright.drawer.new_tool import REQUIRED, NewTool, added, with_paper
from clampwright.errors import BadFile, ClampwrightError, Missing, Refused

FILE = "drawer.toml"
WRENCH = NewTool("Click wrench", "click", "1/2 in", "N·m", 40, 200, 20, 2)
BEFORE = """# My own remark \u2028 stays.
[[tool]]
id = "bar"   # crooked
title = "Bar"
kind = "bar"
drive = "1/2 in"

# The next one.
[[adapter]]
id = "open"
title = "Open end"
drive = "1/2 in"
length_mm = 40
"""


def test_at_most_eight_fields_are_needed() -> None:
    assert len(REQUIRED) <= 8
    given_ = {name: getattr(WRENCH, name) for name in REQUIRED}
    text, made = added("", NewTool(**given_), FILE)
    assert load_drawer(text.encode(), FILE).tool(made).scales[0].high == 200


def test_what_stood_there_stays() -> None:
    text, made = added(BEFORE, WRENCH, FILE)
    assert text.startswith(BEFORE.rstrip())
    drawer = load_drawer(text.encode(), FILE)
    assert [tool.id for tool in drawer.tools] == ["bar", made]
    assert drawer.adapter("open").length == 40


def test_names_are_made_and_never_doubled() -> None:
    text, first = added("", WRENCH, FILE)
    text, second = added(text, WRENCH, FILE)
    assert (first, second) == ("click-200", "click-200-2")
    with pytest.raises(Refused, match="has a tool 'click-200' already"):
        added(text, replace(WRENCH, id="click-200"), FILE)


def test_every_kind_can_be_entered() -> None:
    rest = [
        NewTool("Bar", "bar", "1/2 in"),
        NewTool("Gauge", "angle_gauge", "1/2 in", step_deg=2.0),
        NewTool("Fixed", "click", "1/2 in", "N·m", high=90.0, mechanism="fixed"),
        NewTool(
            "Electronic", "electronic", "3/8 in", "N·m", 10, 100, 0.1, step_deg=0.5, serial="7/8"
        ),
    ]
    text = ""
    for new in rest:
        text, _made = added(text, new, FILE, today=dt.date(2026, 10, 5))
    drawer = load_drawer(text.encode(), FILE)
    assert [tool.kind for tool in drawer.tools] == ["bar", "angle_gauge", "click", "electronic"]
    assert drawer.tools[2].stands_at_one
    assert drawer.tools[3].belongings.serial == "7/8"


@pytest.mark.parametrize(
    ("change", "kind", "said"),
    [
        ({"unit": "", "low": None}, Missing, "still to be filled in: unit, low"),
        ({"kind": "hammer"}, BadFile, "kind"),
        ({"drive": "5/8 in"}, BadFile, "'5/8 in' is no drive"),
        ({"unit": "parsec"}, BadFile, "parsec"),
        ({"low": 300.0}, BadFile, "low 300 must be smaller than high 200"),
        ({"main_step": 33.0}, BadFile, "do not meet 200"),
        ({"main_step": -20.0}, BadFile, "must be above zero"),
        ({"fine_step": 3.0}, BadFile, "does not divide"),
        ({"high": float("inf")}, BadFile, "high"),
        ({"id": "Not An Id"}, BadFile, "id"),
        ({"calibrated": dt.date(2030, 1, 1)}, BadFile, "after today"),
    ],
)
def test_bad_input_is_refused_in_words(
    change: dict[str, object], kind: type[ClampwrightError], said: str
) -> None:
    new = replace(WRENCH, **change)  # type: ignore[arg-type]  # rows of one table with several types
    with pytest.raises(kind, match=said):
        added(BEFORE, new, FILE, today=dt.date(2026, 10, 5))


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=60))
def test_whatever_a_title_holds_it_is_kept_or_refused(title: str) -> None:
    """No text a person types can reach into other keys of the file."""
    try:
        text, made = added(BEFORE, replace(WRENCH, title=title), FILE)
    except Missing:
        assert not title
        return
    drawer = load_drawer(text.encode(), FILE)
    assert drawer.tool(made).title == title
    assert len(drawer.tools) == 2
    assert drawer.tool(made).scales[0].low == 40


def test_a_paper_goes_to_its_tool() -> None:
    text, made = added(BEFORE, WRENCH, FILE)
    paper = Paper("tool-papers/0.pdf", "certificate", "0" * 64)
    whole = with_paper(text, "bar", paper, FILE)
    drawer = load_drawer(whole.encode(), FILE)
    assert drawer.tool("bar").belongings.papers == (paper,)
    assert drawer.tool(made).belongings.papers == ()
    # Taken out again it is what it was, byte for byte.
    start = whole.index("\n\n[[tool.paper]]")
    end = whole.index("0" * 64) + 65
    assert whole[:start] + whole[end:] == text
    with pytest.raises(Refused, match="has this very paper already"):
        with_paper(whole, "bar", paper, FILE)
    with pytest.raises(Refused, match="the drawer has no 'baar'"):
        with_paper(whole, "baar", paper, FILE)
    inline = 'tool = [{ id = "bar", title = "B", kind = "bar", drive = "1/2 in" }]\n'
    with pytest.raises(Refused, match="write the tools as"):
        with_paper(inline, "bar", paper, FILE)
