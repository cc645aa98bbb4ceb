"""Write the pages that the program's own tables make by themselves.

``docs/reference/formulas.md`` from the tables of relations, ``docs/validation/index.md`` from every
published value computed again, ``docs/reference/what-can-happen.md`` from the rules of the bench.
Run it after changing a relation, a published table, a rule or a function; with ``--check`` nothing
is written and the exit status says whether all are up to date.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import Path

from clampwright.cli.validate import digits
from clampwright.formula import Relation, relations
from clampwright.formula.relation import BASIS_WORDS, Input
from clampwright.validation.report import count, validate
from clampwright.validation.row import Row
from clampwright.work.happening_tables import (
    SORTS,
    Condition,
    Question,
    happenings,
    questions,
    rules,
)

DOCS = Path(__file__).parents[1] / "docs"

MADE = "<!-- Written by tools/reference_pages.py; do not edit. -->"
SPECIAL = re.compile(r"([\\`*_|<>\[\]$~])")
"""What Markdown would take for its own."""

FORMULAS = f"""\
# Formulas

{MADE}

The published relations that the program computes with, each with its source. `clampwright formula
show NAME` says the same in the terminal; `clampwright formula run NAME` computes one, with values
in any unit, its rivals beside it and what a change of each input does. Here inputs and results
stand in the unit in which the function takes them.

How well a source is known stands with each: *{BASIS_WORDS["seen"]}*; *{BASIS_WORDS["memory"]}*, so
that edition and clause want a look before they are relied on; or *{BASIS_WORDS["derived"]}*.
Every example is computed when the program is tested.
"""

VALUES = f"""\
# Published values computed again

{MADE}

Every figure below was printed by somebody else. The program computes it again from the inputs of
its source, and from nothing else. The two agree when they differ by no more than half of the last
printed digit, or than the rounding that the source itself allows; then the tolerance is wider and
stands beside it. `clampwright validate` does this on your machine; its exit status is 1 when a row
is wrong.

A row is *explained* when the printed figure itself is wrong and its table says so. A source marked
*memory* was not at hand when its figures were written down; *seen* was.
"""


HAPPENINGS = f"""\
# What can happen at the bench

{MADE}

What is asked when something goes wrong, what trade practice offers then, and what follows in the
log, as it stands in the program's tables. How to use it:
[When something goes wrong](../how-to/when-something-goes-wrong.md). The manufacturer's information
comes first wherever it differs.

*Stages* are torque stages, checks of a torque, angle stages, stretch stages, and loose ones: snug,
loosen, wait. *Ask the maker* means that the work on the joint stands until a person has looked and
said where it is written. "Common practice, no source" marks what the trade does without a
publication at hand.
"""


def cell(text: str) -> str:
    """Return text as it may stand in a cell of a table, or in a line."""
    return SPECIAL.sub(r"\\\1", " ".join(text.split()))


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Return the lines of a table; cells are Markdown already."""
    lines = [head, ["---"] * len(head), *rows]
    return [f"| {' | '.join(line)} |" for line in lines] + [""]


# --- formulas ---


def formulas_page() -> str:
    """Return the page of all relations."""
    lines = [FORMULAS]
    topics = groupby(relations(), key=lambda one: (one.room, one.topic))
    sections = [(room, topic, tuple(group)) for (room, topic), group in topics]
    lines += table(
        ("about", "relations"),
        (
            (_topic(room, topic), ", ".join(f"[`{one.name}`](#{one.name})" for one in group))
            for room, topic, group in sections
        ),
    )
    for room, topic, group in sections:
        lines += [f"## {_topic(room, topic)}", ""]
        for one in group:
            lines += _relation(one)
    return "\n".join(lines).rstrip() + "\n"


def _topic(room: str, topic: str) -> str:
    return f"{topic.replace('_', ' ').capitalize()} ({room})"


def _relation(one: Relation) -> Iterator[str]:
    yield from (f"### {one.name}", "", f"{cell(str(one.title))}.", "")
    yield from (f'<div class="formula">{one.mathml()}</div>', "")
    yield from ("```text", one.formula, "```", "")
    yield from table(
        ("input", "name", "unit", "meaning", "range"),
        (
            (cell(i.symbol), f"`{i.name}`", cell(i.unit), cell(str(i.meaning)), _range(i))
            for i in one.inputs
        ),
    )
    yield from table(
        ("result", "name", "unit", "meaning"),
        ((cell(o.symbol), f"`{o.name}`", cell(o.unit), cell(str(o.meaning))) for o in one.outputs),
    )
    yield f"- Holds for: {cell(str(one.holds_for))}"
    yield f"- Source: {cell(one.source)} ({cell(str(BASIS_WORDS[one.basis]))})"
    if one.rivals:
        yield f"- Rivals: {', '.join(f'[`{name}`](#{name})' for name in one.rivals)}"
    given = ", ".join(f"`{key}={value}`" for key, value in one.example.given.items())
    yield (
        f"- Example: {given} gives {_printed(one, one.example.printed)} "
        f"({cell(one.example.source)})"
    )
    yield f"- Function: `{one.function}`"
    yield ""


def _range(one: Input) -> str:
    parts = [cell(one.range_text()) + (f" ({cell(str(one.why))})" if one.why else "")]
    if one.choices:
        parts.append(", ".join(f"`{choice}`" for choice in one.choices))
    if one.default is not None:
        parts.append(f"{cell(str(one.default))} if not given")
    elif one.optional:
        parts.append("may be left out")
    return "; ".join(part for part in parts if part)


def _printed(one: Relation, printed: Mapping[str, str]) -> str:
    units = {out.name: out.unit for out in one.outputs}
    return ", ".join(
        f"`{name}` {cell(value if ' ' in value else f'{value} {units[name]}'.rstrip())}"
        for name, value in printed.items()
    )


# --- published values ---


def values_page() -> str:
    """Return the page of all published values."""
    rows = validate()
    lines = [VALUES, f"**{_said(rows)}.**", ""]
    topics = {one: [row for row in rows if row.topic == one] for one in _topics(rows)}
    lines += table(
        ("about", "values", "agree", "explained", "wrong"),
        (_summary(topic, some) for topic, some in topics.items()),
    )
    lines += ["## Explained", ""]
    lines += table(
        ("value", "computed", "published", "why"),
        (
            (
                cell(f"{row.quantity} ({row.id})"),
                digits(row.computed, row),
                cell(f"{row.printed} {row.unit}".rstrip()),
                cell(row.explained or ""),
            )
            for row in rows
            if not row.ok
        ),
    )
    for topic, group in topics.items():
        lines += [f"## {_heading(topic)}", ""]
        for source in dict.fromkeys(row.source for row in group):
            lines += [f"{cell(source)}:", ""]
            lines += _values([row for row in group if row.source == source])
    return "\n".join(lines).rstrip() + "\n"


def _said(rows: Sequence[Row]) -> str:
    counts = count(rows)
    return (
        f"{counts.rows:,} published values: {counts.ok:,} agree, {counts.explained} explained, "
        f"{counts.red} wrong"
    )


def _topics(rows: Iterable[Row]) -> list[str]:
    return list(dict.fromkeys(row.topic for row in rows))


def _heading(topic: str) -> str:
    return topic[:1].upper() + topic[1:]


def _summary(topic: str, rows: Sequence[Row]) -> tuple[str, ...]:
    counts = count(rows)
    heading = _heading(topic)
    link = f"[{heading}](#{heading.lower().replace(' ', '-').replace(',', '')})"
    return (link, *(str(one) for one in (counts.rows, counts.ok, counts.explained, counts.red)))


def _values(rows: Sequence[Row]) -> list[str]:
    return table(
        ("value", "computed", "published", "difference", "tolerance", "verdict"),
        (
            (
                cell(row.quantity) + (f" ({cell(row.note)})" if row.note else ""),
                digits(row.computed, row),
                cell(f"{row.printed} {row.unit}".rstrip()),
                _difference(row),
                f"{row.tolerance:.2g}",
                "ok" if row.ok else "explained" if row.explained else "**WRONG**",
            )
            for row in rows
        ),
    )


def _difference(row: Row) -> str:
    """Return the difference, to the digit to which the computed figure is shown.

    Below that it would be the last bits of floating point, which differ between machines.
    """
    shown = float(digits(row.computed, row)) - row.published
    return "0" if abs(shown) < 1e-12 * abs(row.published) or shown == 0.0 else f"{shown:+.2g}"


# --- both ---


# --- what can happen ---


def happenings_page() -> str:
    """Return what can happen, the questions, and what is offered, row by row."""
    every = happenings().values()
    links = (f"[{cell(str(one.title))}](#{_anchor(str(one.title))})" for one in every)
    lines = [HAPPENINGS, " · ".join(links), ""]
    for one in every:
        lines += [f"## {cell(str(one.title))}", "", f"`{one.name}`. {cell(str(one.say))}.", ""]
        mine = [q for q in questions() if q.happening == one.name]
        lines += [f"- {cell(str(q.question))} (`{q.name}`{_choices(q)})" for q in mine]
        lines += [""] if mine else []
        rows = [
            (_stages(r.stages), _when(r.when), str(r.say), _does(r.does), r.source)
            for r in rules()
            if r.happening == one.name
        ]
        head = ("stages", "answers", "what is offered", "what follows", "source")
        lines += table(head, [[cell(text) for text in row] for row in rows])
    return "\n".join(lines).rstrip() + "\n"


def _anchor(heading: str) -> str:
    return re.sub(r"[^\w -]", "", heading).lower().replace(" ", "-")


def _choices(question: Question) -> str:
    names = [f"`{one.name}`" for one in question.answers]
    return f": {', '.join(names)}" if names else ""


def _stages(stages: frozenset[str]) -> str:
    return "all" if stages == frozenset(SORTS) else ", ".join(s for s in SORTS if s in stages)


def _when(when: Condition) -> str:
    return "; ".join(f"{name}: {' or '.join(sorted(wanted))}" for name, wanted in when.items())


FOLLOWS = {
    "loosen": "loosened fully, its stages from the start",
    "renew": "loosened fully and renewed, its stages from the start",
    "again": "its pulls of this stage count no more",
    "back": "the joint goes back to the last complete stage",
    "maker_whole": "ask the maker: the whole pattern again?",
    "maker_gasket": "ask the maker: a new gasket?",
    "maker_thread": "ask the maker: how is the thread put right?",
    "look": "the joint stands until the reason is told",
    "suspect": "the wrench is laid aside, its pulls of this job are doubtful",
    "handover_given": "who hands over confirms how it stands",
    "handover": "who takes over reads back which fastener is next",
}
"""What a rule does, in words."""


def _does(does: tuple[str, ...]) -> str:
    shown = [name for name in does if not (name == "renew" and "back" in does)]
    told = [FOLLOWS[name] for name in shown]
    if "renew" in does and "back" in does:
        told.append("what was turned is renewed")
    return "; ".join(told) or "nothing: go on"


def made() -> dict[str, str]:
    """Return every page that is made here, by its path below ``docs``."""
    return {
        "reference/formulas.md": formulas_page(),
        "validation/index.md": values_page(),
        "reference/what-can-happen.md": happenings_page(),
    }


def main() -> int:
    """Write the pages, or check them."""
    old = 0
    for name, text in made().items():
        path = DOCS / name
        if path.exists() and path.read_text(encoding="utf-8") == text:
            continue
        old += 1
        if "--check" in sys.argv[1:]:
            print(f"{name} is out of date; run: python tools/reference_pages.py")
        else:
            path.write_text(text, encoding="utf-8")
            print(f"docs/{name} written")
    return int(old > 0 and "--check" in sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
