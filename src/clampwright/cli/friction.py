"""``clampwright friction``: friction and nut factor from a test of one's own."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import FINDING, json_option, print_json, read_file, text_of
from clampwright.locale import between

if TYPE_CHECKING:
    from clampwright.standards import FrictionCondition
    from clampwright.standards.friction import OpenCondition
    from clampwright.words import Words
    from clampwright.work.friction_file import ConditionTable
    from clampwright.work.friction_study import FrictionStudy


@click.command(
    epilog='Example: clampwright friction paste.csv --thread M10 --bolt "ISO 4014" '
    '--hole medium --save bench-paste --title "bench paste on zinc" --by "A. Fitter"',
    short_help="Fit friction to a torque-tension test, or list conditions.",
)
@click.argument("file", required=False)
@click.option("--list", "as_list", is_flag=True, help="List all conditions with their sources.")
@click.option("--thread", metavar="THREAD", help="Thread tested, such as M10.")
@click.option("--bolt", metavar="STANDARD", help="Bolt standard: the face under its head.")
@click.option("--hole", type=click.Choice(["fine", "medium", "coarse"]), help="Clearance hole.")
@click.option("--bearing", metavar="LENGTH",
              help="Effective diameter of the sliding face, instead of bolt and hole.")  # fmt: skip
@click.option("--prevailing", metavar="TORQUE",
              help="Prevailing torque as measured; else the line tells it.")  # fmt: skip
@click.option("--scatter", type=float, metavar="PERCENT",
              help="Standard deviation between fasteners, with fewer than 3 tested.")  # fmt: skip
@click.option("--unit", default="N·m", show_default=True, metavar="UNIT",
              help="Unit of torque in the chart.")  # fmt: skip
@click.option("--chart", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.svg",
              help="Write the test as SVG.")  # fmt: skip
@click.option("--save", metavar="NAME", help="Keep it as a condition that job files can name.")
@click.option("--title", metavar="TEXT", help="What the condition is, in words.")
@click.option("--by", metavar="NAME", help="Who made the test.")
@click.option("--date", metavar="DAY", help="When, as 2026-05-01; today if not given.")
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path(),
    show_default="this folder",
    help="Workshop folder.",
)
@json_option
def command(*, file: str | None, as_list: bool, as_json: bool, **given: Any) -> None:
    """Fit friction and nut factor to the torque-tension test FILE: torque and clamp load.

    Columns torque and clamp with units in the header, such as "torque [N·m]" and "clamp [kN]";
    "thread torque" and "fastener" are taken too. Exit status 1 when the line is not straight: one
    coefficient does not describe it then.
    """
    from clampwright.errors import Missing
    from clampwright.words import words

    if as_list:
        _list(given["workshop"], as_json=as_json)
        return
    if file is None:
        raise Missing(words("give the file of a test, or --list"), "file")
    _test(file, given, as_json=as_json)


def _test(file: str, given: dict[str, Any], *, as_json: bool) -> None:
    from clampwright.bench.days import today
    from clampwright.cli.drawing import check_target
    from clampwright.work.friction_request import FrictionRequest, said

    if given["chart"] is not None:
        check_target(given["chart"])
    texts = {key: str(value) for key, value in given.items() if value is not None}
    request = FrictionRequest(read_file(file), file, texts, name=lambda key: f"--{key}")
    study = request.study()
    lines = said(study)
    done = {**study.as_json(), "saved": None}
    more = []
    if given["chart"] is not None:
        more.append(_draw(given, study, lines))
    if given["save"] is not None:
        table = request.condition(study, today=today())
        path = _save(given["workshop"], table)
        done["saved"] = {"name": table.name, "low": table.low, "high": table.high,
                         "file": str(path)}  # fmt: skip
        more.append(_saved(table, path))
    if as_json:
        print_json(done)
    else:
        _show(lines, study, more)
    if not study.straight:
        raise SystemExit(FINDING)


def _draw(given: dict[str, Any], study: FrictionStudy, lines: list[Words]) -> str:
    from clampwright.cli.drawing import write_chart
    from clampwright.report.axes import Style
    from clampwright.report.friction_chart import friction_chart
    from clampwright.units import unit_named

    style = Style(unit=unit_named(given["unit"], "torque").name)
    return write_chart(given["chart"], friction_chart(study, lines, style=style))


def _save(folder: Path, table: ConditionTable) -> Path:
    from clampwright.bench.friction import save_condition

    return save_condition(folder, table)


def _saved(table: ConditionTable, path: Path) -> str:
    from clampwright.words import words

    return text_of(
        words(
            'Kept in {file}: write friction = "{name}" in a job file ({low:.3f} to {high:.3f})',
            file=str(path),
            name=table.name,
            low=table.low,
            high=table.high,
        )
    )


def _show(lines: list[Words], study: FrictionStudy, said: list[str]) -> None:
    from clampwright.words import words

    for line in lines:
        click.echo(text_of(line))
    if study.straight:
        click.echo(text_of(words("The line is straight.")))
    click.echo(
        text_of(
            words(
                "± is the standard uncertainty of the line; other lots of lubricant and parts "
                "differ more."
            )
        )
    )
    for line_ in said:
        click.echo(line_)


def _list(folder: Path, *, as_json: bool) -> None:
    from clampwright.bench.friction import own_conditions
    from clampwright.standards import friction_conditions, open_conditions
    from clampwright.standards.added import added_conditions
    from clampwright.words import words

    own, known = own_conditions(folder), friction_conditions()
    added = tuple(one.value for one in added_conditions().brought)
    if as_json:
        listed = [_condition_json(one, own=one in own) for one in (*own, *known, *added)]
        print_json({"conditions": [*listed, *(_open_json(one) for one in open_conditions())]})
        return
    if own:
        click.echo(click.style(text_of(words("Of this workshop")), bold=True))
        _conditions(own)
    click.echo(click.style(text_of(words("Of the tables")), bold=True))
    _conditions(known)
    if added:
        click.echo(click.style(text_of(words("Of installed packages")), bold=True))
        _conditions(added)
    click.echo(
        click.style(text_of(words("Without an upper end: no clamp load follows")), bold=True)
    )
    for one in open_conditions():
        click.echo(text_of(words("  {name}  {low:g} or more", name=one.name, low=one.low)))
        _about(one.title, one.source, one.flag)


def _conditions(found: tuple[FrictionCondition, ...]) -> None:
    for one in found:
        click.echo(f"  {one.name}  {between(one.low, one.high)}")
        _about(one.title, one.source, one.flag, text_of(one.caution))


def _about(title: Words, *more: str) -> None:
    click.echo(f"      {text_of(title)}")
    said = "; ".join(part for part in more if part)
    click.echo(textwrap.fill(said, width=88, initial_indent=" " * 6, subsequent_indent=" " * 6))


def _open_json(one: OpenCondition) -> dict[str, Any]:
    return {
        "name": one.name,
        "title": text_of(one.title),
        "low": one.low,
        "high": None,
        "source": one.source,
        "flag": one.flag,
        "own": False,
    }


def _condition_json(one: FrictionCondition, *, own: bool) -> dict[str, Any]:
    return {
        "name": one.name,
        "title": text_of(one.title),
        "low": one.low,
        "high": one.high,
        "source": one.source,
        "flag": one.flag,
        "own": own,
    }
