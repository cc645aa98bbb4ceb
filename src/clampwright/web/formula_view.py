"""A relation as its page shows it: what to fill in, what came out, and how far to trust it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from urllib.parse import urlencode

from clampwright.formula.calculation import Calculation, calculate, effects, rivals
from clampwright.formula.relation import BASIS_WORDS, Input, Output, Relation
from clampwright.formula.topics import topic_words
from clampwright.formula.values import text_in_unit, value_text
from clampwright.joint.spread import read_together, read_uncertainties, spread
from clampwright.locale import figure, say
from clampwright.standards.named import NAMES, named_values
from clampwright.web.rendering import as_sentence
from clampwright.words import Words, words

PART = "part."
UNIT = "unit."
"""Before the names of fields that are no inputs: named parts, and the unit of a result."""

DOUBT = "u."
"""Before the name of an input: its standard uncertainty."""

TOGETHER = "u.together"
"""Field for inputs that go up and down together."""

MARK = "decimal.mark"
"""Field for the decimal mark, where a number could be read with either."""

LONGEST = 4000
"""Letters taken of one field; a matrix of 20 by 20 needs about half of that."""

_PARTS: Mapping[str, tuple[Words, str]] = {
    "thread": (words("Thread"), "M10"),
    "strength": (words("Strength class"), "8.8"),
    "bolt": (words("Bolt standard"), "ISO 4014"),
    "hole_series": (words("Clearance hole"), "medium"),
}
_FILLED = frozenset(
    {
        "d", "P", "d2", "d3", "stress_area", "yield_stress", "tensile_strength", "bolt_strength",
        "bearing_outer", "bearing_inner", "hole", "bearing_diameter",
    }
)  # fmt: skip
"""Inputs that named parts can stand in for."""


def listing(found: Iterable[Relation]) -> list[dict[str, Any]]:
    """Return relations by room and topic.

    Parameters
    ----------
    found : iterable of Relation
        In their order.

    Returns
    -------
    list of dict
    """
    topics: dict[tuple[str, str], list[dict[str, str]]] = {}
    for one in found:
        row = {"name": one.name, "title": say(one.title)}
        topics.setdefault((one.room, one.topic), []).append(row)
    return [
        {"topic": say(topic_words(room, topic)), "relations": rows}
        for (room, topic), rows in topics.items()
    ]


def relation_view(one: Relation, asked: Mapping[str, str]) -> dict[str, Any]:
    """Return what stands on a relation's page whatever was filled in.

    Parameters
    ----------
    one : Relation
    asked : mapping of str to str
        The fields as they were sent.

    Returns
    -------
    dict
    """
    example = {**one.example.given, MARK: "."}
    named = any(each.name in _FILLED for each in one.inputs)
    return {
        "name": one.name,
        "heading": say(one.title),
        "plain": one.formula,
        "mathml": one.mathml(),
        "inputs": [_input(each, asked) for each in one.inputs],
        "parts": [_part(name, asked) for name in NAMES] if named else [],
        "doubted": any(asked.get(key, "").strip() for key in asked if key.startswith(DOUBT)),
        "together": {"name": TOGETHER, "value": asked.get(TOGETHER, "")},
        "mark": {"name": MARK, "value": asked.get(MARK, "")},
        "outputs": [_output(out, asked) for out in one.outputs],
        "holds_for": say(one.holds_for),
        "source": one.source,
        "basis": say(BASIS_WORDS[one.basis]),
        "example": f"/formulas/{one.name}?{urlencode(example)}",
        "example_source": one.example.source,
    }


def computed(one: Relation, asked: Mapping[str, str]) -> dict[str, Any] | None:
    """Return what came out; None when nothing was filled in.

    Parameters
    ----------
    one : Relation
    asked : mapping of str to str

    Returns
    -------
    dict or None

    Raises
    ------
    ClampwrightError
        A value cannot be read, is missing or lies outside its range.
    """
    names = {each.name for each in one.inputs}
    given = {key: text for key, text in asked.items() if key in names and text.strip()}
    parts = {
        name: asked[PART + name].strip() for name in NAMES if asked.get(PART + name, "").strip()
    }
    chosen = {each.name for each in one.inputs if each.shape == "choice"}
    if not parts and not set(given) - chosen:
        return None
    mark = asked.get(MARK)
    done = calculate(
        one,
        given,
        known=named_values(**parts) if parts else None,
        decimal="." if mark == "." else "," if mark == "," else None,
    )
    return {
        "results": [_result(done, out, asked) for out in one.outputs],
        "spread": _spread(done, asked),
        "used": [
            {
                "symbol": each.symbol,
                "meaning": say(each.meaning),
                "value": value_text(done.values[each.name], each.unit),
            }
            for each in one.inputs
            if each.name in done.values
        ],
        "symbol": one.outputs[0].symbol,
        "effects": [
            {
                "symbol": each.input.symbol,
                "meaning": say(each.input.meaning),
                "less": _change(each.less),
                "more": _change(each.more),
            }
            for each in effects(done)
        ],
        "rivals": _rivals(done),
    }


def _input(one: Input, asked: Mapping[str, str]) -> dict[str, Any]:
    notes = []
    if one.range_text():
        notes.append(one.range_text())
        if one.why:
            notes.append(say(one.why))
    if one.default is not None:
        notes.append(say(words("{value} if left empty", value=str(one.default))))
    elif one.optional:
        notes.append(say(words("may be left empty")))
    if one.shape == "list":
        notes.append(say(words("several values with ; between, a unit after the last")))
    elif one.shape == "matrix":
        notes.append(say(words("rows with | between, values with ; between")))
    return {
        "name": one.name,
        "symbol": one.symbol,
        "unit": one.unit,
        "meaning": say(one.meaning),
        "notes": "; ".join(notes),
        "choices": list(one.choices),
        "value": asked.get(one.name, ""),
        "doubt": asked.get(DOUBT + one.name, ""),
        "may_doubt": one.shape == "number",
    }


def _part(name: str, asked: Mapping[str, str]) -> dict[str, str]:
    title, example = _PARTS[name]
    field = PART + name
    return {"name": field, "title": say(title), "example": example, "value": asked.get(field, "")}


def _output(one: Output, asked: Mapping[str, str]) -> dict[str, str]:
    return {
        "name": UNIT + one.name,
        "symbol": one.symbol,
        "unit": one.unit,
        "meaning": say(one.meaning),
        "value": asked.get(UNIT + one.name, ""),
    }


def _result(done: Calculation, out: Output, asked: Mapping[str, str]) -> dict[str, str]:
    value = done.results[out.name]
    wanted = asked.get(UNIT + out.name, "").strip()
    own = value_text(value, out.unit)
    shown = text_in_unit(value, out.unit, wanted) if wanted else own
    return {
        "symbol": out.symbol,
        "meaning": say(out.meaning),
        "value": shown,
        "own": own if shown != own else "",
    }


def _spread(done: Calculation, asked: Mapping[str, str]) -> dict[str, Any] | None:
    """Return the band of the result, where inputs are said to be uncertain."""
    texts = {
        key.removeprefix(DOUBT): text
        for key, text in asked.items()
        if key.startswith(DOUBT) and key != TOGETHER and text.strip()
    }
    pairs = [pair for pair in asked.get(TOGETHER, "").split(";") if pair.strip()]
    if not texts and not pairs:
        return None
    wide = spread(done, read_uncertainties(done, texts), together=read_together(done, pairs))
    unit = asked.get(UNIT + wide.output.name, "").strip() or wide.output.unit

    def told(value: float) -> str:
        return text_in_unit(float(f"{value:.4g}"), wide.output.unit, unit)

    return {
        "symbol": wide.output.symbol,
        "u": told(wide.u),
        "low": told(wide.p05),
        "high": told(wide.p95),
        "parts": [
            {
                "symbol": part.input.symbol,
                "meaning": say(part.input.meaning),
                "u": told(abs(part.u)),
                "share": f"{figure(100 * part.share, '.1f')} %",
            }
            for part in wide.parts
        ],
        "narrowing": [as_sentence(say(line)) for line in wide.narrowing()],
    }


def _change(change: float | None) -> str:
    if change is None:
        return say(words("outside its range"))
    return f"{figure(100 * change, '+.1f')} %".replace("-", "\N{MINUS SIGN}")


def _rivals(done: Calculation) -> list[dict[str, str]]:
    base, found = done.result, []
    for rival in rivals(done):
        said, beside = say(rival.why) if rival.why else "", ""
        if rival.result is not None:
            said = value_text(rival.result, rival.output.unit)
            if isinstance(base, float) and base:
                beside = _change(rival.result / base - 1.0)
        found.append(
            {
                "name": rival.relation.name,
                "title": say(rival.relation.title),
                "result": said,
                "beside": beside,
            }
        )
    return found
