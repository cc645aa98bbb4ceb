"""``clampwright formula``: look up and compute one published relation."""

from __future__ import annotations

import re
import textwrap
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import json_option, print_json, text_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from clampwright.formula.calculation import Calculation
    from clampwright.formula.relation import Relation
    from clampwright.joint.spread import Spread
    from clampwright.units.number import Mark

WIDTH = 88

_MAYBE_THOUSANDS = re.compile(r"(?<![\d.])[1-9]\d{0,2}\.\d{3}(?![\d.])")
"""A point before exactly three digits: a decimal mark or one between thousands."""


@click.group(short_help="Look up and compute one published relation.")
def command() -> None:
    """Look up and compute published relations: formula, units, range, source, rivals.

    Every relation is computed in its own units; values may be given in any unit.
    """


@command.command("list", short_help="List the relations.")
@click.option("--about", metavar="WORD", help="Only those that have to do with a word.")
@json_option
def list_(about: str | None, *, as_json: bool) -> None:
    """List the relations by room and topic."""
    from clampwright.formula import relations
    from clampwright.formula.tables import about as found_about

    found = relations() if about is None else found_about(about)
    if as_json:
        print_json({"relations": [relation_json(one) for one in found]})
        return
    _list(found)


def _list(found: Sequence[Relation]) -> None:
    from clampwright.formula.topics import topic_words
    from clampwright.words import words

    topic = ""
    for one in found:
        if one.topic != topic:
            topic = one.topic
            heading = text_of(topic_words(one.room, topic))
            click.echo(click.style(f"\n{heading}", bold=True))
        click.echo(f"  {one.name}")
        click.echo(f"      {text_of(one.title)}")
    click.echo()
    click.echo(text_of(words("{count} relations; `formula show NAME` tells all about one",
                             count=len(found))))  # fmt: skip


@command.command(short_help="Show one relation.")
@click.argument("name")
@json_option
def show(name: str, *, as_json: bool) -> None:
    """Show the relation NAME: formula, inputs with range, where it holds, source, example."""
    from clampwright.formula import relation

    one = relation(name)
    if as_json:
        print_json(relation_json(one))
    else:
        _show(one)


def _show(one: Relation) -> None:
    from clampwright.formula.relation import BASIS_WORDS
    from clampwright.words import words

    _title(one)
    click.echo(text_of(words("Inputs")))
    for each in one.inputs:
        click.echo(_line(each.symbol, each.name, each.unit, text_of(each.meaning)))
        notes = [each.range_text(), ", ".join(each.choices)]
        if each.default is not None:
            notes.append(text_of(words("{value} if not given", value=str(each.default))))
        elif each.optional:
            notes.append(text_of(words("may be left out")))
        said = "; ".join(note for note in notes if note)
        if said:
            why = f" ({text_of(each.why)})" if each.why and each.range_text() else ""
            _paragraph(said + why, indent=14)
    click.echo(text_of(words("Results")))
    for out in one.outputs:
        click.echo(_line(out.symbol, out.name, out.unit, text_of(out.meaning)))
    _notes(one)
    click.echo(text_of(words("Example: {given}", given=_given(one.example.given))))
    click.echo(
        text_of(
            words(
                "  gives {printed} ({source})",
                printed=_printed(one, one.example.printed),
                source=one.example.source,
            )
        )
    )
    click.echo(text_of(words("Basis: {basis}", basis=BASIS_WORDS[one.basis])))
    click.echo(text_of(words("Function: {function}", function=one.function)))


def _given(values: Mapping[str, str]) -> str:
    """Write an example's values as the command takes them: what is copied must run."""
    said = " ".join(f'"{name}={value}"' for name, value in values.items())
    return f"{said} --decimal ." if any(map(_MAYBE_THOUSANDS.search, values.values())) else said


def _printed(one: Relation, printed: Mapping[str, str]) -> str:
    units = {out.name: out.unit for out in one.outputs}
    return ", ".join(
        f"{name} {value}" if " " in value else f"{name} {value} {units[name]}".rstrip()
        for name, value in printed.items()
    )


@command.command(
    short_help="Compute one relation.",
    epilog='Example: clampwright formula run torque_from_clamp_long_form "F=25 kN" thread=M10 '
    'bolt="ISO 4014" hole_series=medium mu_th=0.12 mu_b=0.10 --unit torque=ft-lb',
)
@click.argument("name")
@click.argument("values", nargs=-1)
@click.option(
    "--unit",
    "units",
    multiple=True,
    metavar="RESULT=UNIT",
    help="Show a result in this unit too; may be given several times.",
)
@click.option(
    "--u",
    "uncertain",
    multiple=True,
    metavar="INPUT=SIZE",
    help="Standard uncertainty of an input, as a share (10 %) or with its unit; may be given "
    "several times. The result then has a band.",
)
@click.option(
    "--together",
    multiple=True,
    metavar="INPUT,INPUT=R",
    help="Two uncertain inputs that go up and down together, with their correlation; 1 without it.",
)
@click.option(
    "--decimal",
    type=click.Choice([".", ","]),
    help="The decimal mark of your numbers, where it could be mistaken.",
)
@json_option
def run(
    name: str,
    values: tuple[str, ...],
    *,
    units: tuple[str, ...],
    uncertain: tuple[str, ...],
    together: tuple[str, ...],
    decimal: Mark | None,
    as_json: bool,
) -> None:
    """Compute the relation NAME from VALUES, each written INPUT="NUMBER UNIT".

    An input is named by its name or symbol. thread=M10, strength=8.8, bolt="ISO 4014" and
    hole_series=medium fill in the dimensions and strengths that the tables know.
    """
    from clampwright.formula import relation
    from clampwright.formula.calculation import calculate

    one = relation(name)
    given, known = _parted(one, values)
    done = calculate(one, given, known=known, decimal=decimal)
    shown = _units(one, units)
    wide = _spread(done, uncertain, together)
    if as_json:
        print_json({**calculation_json(done, shown), **_spread_json(wide)})
    else:
        _answer(done, shown, wide)


def _spread(done: Calculation, uncertain: Sequence[str], together: Sequence[str]) -> Spread | None:
    """Let inputs be uncertain, where some are said to be."""
    if not uncertain and not together:
        return None
    from clampwright.joint.spread import read_together, read_uncertainties, spread
    from clampwright.units import Unreadable
    from clampwright.words import words

    texts: dict[str, str] = {}
    for text in uncertain:
        key, sign, size = text.partition("=")
        if not sign or not size.strip():
            raise Unreadable(
                words('--u {text!r}: write it INPUT=SIZE, such as "mu_th=10 %"', text=text[:40]),
                text,
            )
        texts[key.strip()] = size.strip()
    return spread(done, read_uncertainties(done, texts), together=read_together(done, together))


def _spread_json(wide: Spread | None) -> dict[str, Any]:
    if wide is None:
        return {}
    return {
        "spread": {
            "result": wide.output.name,
            "unit": wide.output.unit,
            "nominal": wide.nominal,
            "mean": wide.mean,
            "standard_uncertainty": wide.u,
            "p05": wide.p05,
            "p95": wide.p95,
            "parts": [
                {"input": part.input.name, "u": part.u, "share": part.share} for part in wide.parts
            ],
            "narrowing": [text_of(line) for line in wide.narrowing()],
        }
    }


def _parted(one: Relation, values: Sequence[str]) -> tuple[dict[str, str], dict[str, float]]:
    """Part what was given into inputs and named standards."""
    from clampwright.errors import Missing
    from clampwright.units import Unreadable
    from clampwright.words import words

    given: dict[str, str] = {}
    named: dict[str, str] = {}
    for text in values:
        key, sign, value = text.partition("=")
        key, value = key.strip(), value.strip()
        if not sign or not key or not value:
            raise Unreadable(
                words('{text!r} is no value; write it like "F=25 kN"', text=text[:40]), text
            )
        where = named if key in _standards() and one.input_named(key) is None else given
        if key in where:
            raise Unreadable(words("{name} is given twice", name=key), key)
        where[key] = value
    if not named:
        return given, {}
    from clampwright.standards.named import named_values

    known = named_values(**named)
    if not any(each.name in known for each in one.inputs):
        raise Missing(
            words("{names} give nothing that {relation} needs", names=", ".join(named),
                  relation=one.name),
            ", ".join(named),
        )  # fmt: skip
    return given, known


def _standards() -> tuple[str, ...]:
    from clampwright.standards.named import NAMES

    return NAMES


def _units(one: Relation, asked: Sequence[str]) -> dict[str, str]:
    """Return the wanted unit of each result."""
    from clampwright.units import Unreadable
    from clampwright.words import words

    found = {}
    for text in asked:
        key, sign, unit = text.partition("=")
        fitting = [out for out in one.outputs if key.strip() in (out.name, out.symbol)]
        if not sign or not unit.strip() or not fitting:
            raise Unreadable(
                words(
                    "--unit {text!r}: write it RESULT=UNIT with one of the results {known}",
                    text=text[:40],
                    known=", ".join(out.name for out in one.outputs),
                ),
                text,
            )
        found[fitting[0].name] = unit.strip()
    return found


def _answer(done: Calculation, shown: Mapping[str, str], wide: Spread | None) -> None:
    from clampwright.formula.values import text_in_unit, value_text
    from clampwright.words import words

    one = done.relation
    _title(one)
    for each in one.inputs:
        if each.name in done.values:
            said = value_text(done.values[each.name], each.unit)
            written = done.written.get(each.name, "")
            same = not written or written.replace(",", ".") == said
            beside = "" if same else f"   ({written})"
            click.echo(_line(each.symbol, each.name, "", said + beside))
    click.echo()
    for out in one.outputs:
        value = done.results[out.name]
        text = value_text(value, out.unit)
        if out.name in shown:
            text = f"{text_in_unit(value, out.unit, shown[out.name])}   ({text})"
        click.echo(click.style(_line(out.symbol, out.name, "", text), bold=True))
    click.echo()
    if wide is not None:
        _wide(wide, shown.get(wide.output.name, wide.output.unit))
    _effects(done)
    _rivals(done, shown)
    _notes(one)
    click.echo(text_of(words("The manufacturer's information comes first wherever it differs.")))


def _wide(wide: Spread, unit: str) -> None:
    """Show the band of the result, and what it comes from."""
    from clampwright.formula.values import text_in_unit
    from clampwright.words import words

    def told(value: float) -> str:
        return text_in_unit(float(f"{value:.4g}"), wide.output.unit, unit)

    click.echo(
        text_of(
            words(
                "{symbol}: standard uncertainty {u}, 5 to 95 %: {low} to {high}",
                symbol=wide.output.symbol,
                u=told(wide.u),
                low=told(wide.p05),
                high=told(wide.p95),
            )
        )
    )
    for part in wide.parts:
        click.echo(f"  {part.input.symbol:<10} {told(abs(part.u)):>18} {100 * part.share:>8.1f} %")
    for line in wide.narrowing():
        _paragraph(text_of(line))
    click.echo()


def _effects(done: Calculation) -> None:
    from clampwright.formula.calculation import effects
    from clampwright.words import words

    found = effects(done)
    if not found:
        return
    symbol = done.relation.outputs[0].symbol
    click.echo(text_of(words("Effect on {symbol} of an input 10 % lower and 10 % higher:",
                             symbol=symbol)))  # fmt: skip
    for one in found:
        less, more = (
            text_of(words("outside its range")) if change is None else f"{100 * change:+.1f} %"
            for change in (one.less, one.more)
        )
        click.echo(f"  {one.input.symbol:<10} {less:>18} {more:>18}")
    click.echo()


def _rivals(done: Calculation, shown: Mapping[str, str]) -> None:
    from clampwright.formula.calculation import rivals
    from clampwright.formula.values import text_in_unit, value_text
    from clampwright.words import words

    found = rivals(done)
    if not found:
        return
    base = done.result
    click.echo(text_of(words("Other relations for the same, with these values:")))
    for rival in found:
        if rival.result is None:
            said = text_of(rival.why)
        else:
            said = value_text(rival.result, rival.output.unit)
            if rival.output.name in shown:
                said = text_in_unit(rival.result, rival.output.unit, shown[rival.output.name])
            if isinstance(base, float) and base:
                said += f"   ({100 * (rival.result / base - 1):+.1f} %)"
        click.echo(f"  {text_of(rival.relation.title)}: {said}")
    click.echo()


def _title(one: Relation) -> None:
    click.echo(click.style(text_of(one.title), bold=True))
    click.echo(f"  {one.formula}")
    click.echo()


def _notes(one: Relation) -> None:
    from clampwright.words import words

    _paragraph(text_of(words("Holds for: {where}", where=one.holds_for)))
    _paragraph(text_of(words("Source: {source}", source=one.source)))


def _line(symbol: str, name: str, unit: str, text: str) -> str:
    return f"  {symbol:<9} {name:<20} {unit:<8} {text}".rstrip()


def _paragraph(text: str, *, indent: int = 0) -> None:
    space = " " * indent
    click.echo(
        textwrap.fill(text, width=WIDTH, initial_indent=space, subsequent_indent=space + "  ")
    )


def relation_json(one: Relation) -> dict[str, Any]:
    """Return a relation as plain data."""
    return {
        "name": one.name,
        "title": text_of(one.title),
        "room": one.room,
        "topic": one.topic,
        "formula": one.formula,
        "mathml": one.mathml(),
        "inputs": [
            {
                "name": each.name,
                "symbol": each.symbol,
                "unit": each.unit,
                "meaning": text_of(each.meaning),
                "low": each.low,
                "high": each.high,
                "low_included": not each.low_open,
                "high_included": not each.high_open,
                "why": text_of(each.why),
                "shape": each.shape,
                "choices": list(each.choices),
                "default": each.default,
                "optional": each.optional,
            }
            for each in one.inputs
        ],
        "outputs": [
            {"name": o.name, "symbol": o.symbol, "unit": o.unit, "meaning": text_of(o.meaning)}
            for o in one.outputs
        ],
        "source": one.source,
        "basis": one.basis,
        "holds_for": text_of(one.holds_for),
        "rivals": list(one.rivals),
        "example": {
            "given": dict(one.example.given),
            "printed": dict(one.example.printed),
            "source": one.example.source,
        },
        "function": one.function,
    }


def calculation_json(done: Calculation, shown: Mapping[str, str]) -> dict[str, Any]:
    """Return a calculation as plain data."""
    from clampwright.formula.calculation import effects, rivals
    from clampwright.formula.values import to_unit

    one = done.relation
    results: dict[str, dict[str, Any]] = {}
    for out in one.outputs:
        value = done.results[out.name]
        results[out.name] = {"value": value, "unit": out.unit}
        if out.name in shown and isinstance(value, int | float):
            asked = {"value": to_unit(value, out.unit, shown[out.name]), "unit": shown[out.name]}
            results[out.name]["asked"] = asked
    return {
        "relation": one.name,
        "inputs": {
            each.name: {
                "value": done.values[each.name],
                "unit": each.unit,
                "written": done.written.get(each.name),
            }
            for each in one.inputs
            if each.name in done.values
        },
        "results": results,
        "effects": [
            {"input": each.input.name, "less_10_percent": each.less, "more_10_percent": each.more}
            for each in effects(done)
        ],
        "rivals": [
            {
                "relation": rival.relation.name,
                "value": rival.result,
                "unit": rival.output.unit,
                "why": text_of(rival.why) or None,
            }
            for rival in rivals(done)
        ],
        "holds_for": text_of(one.holds_for),
        "source": one.source,
        "basis": one.basis,
    }
