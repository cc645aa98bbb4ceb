"""``clampwright friction``: friction and nut factor from a test of one's own."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import FINDING, json_option, print_json, read_file, text_of

if TYPE_CHECKING:
    from clampwright.joint.friction_fit import TensionTest
    from clampwright.standards import FrictionCondition
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
    from clampwright.cli.drawing import check_target
    from clampwright.work.friction_study import read_points, study_friction

    if given["chart"] is not None:
        check_target(given["chart"])
    data = read_file(file)
    study = study_friction(
        read_points(data, file),
        geometry=_geometry(given),
        prevailing_torque=_prevailing(given["prevailing"]),
    )
    lines = _lines(study)
    done = {**study.as_json(), "saved": None}
    said = []
    if given["chart"] is not None:
        said.append(_draw(given, study, lines))
    if given["save"] is not None:
        table = _table(data, study, given)
        path = _save(given["workshop"], table)
        done["saved"] = {"name": table.name, "low": table.low, "high": table.high,
                         "file": str(path)}  # fmt: skip
        said.append(_saved(table, path))
    if as_json:
        print_json(done)
    else:
        _show(lines, study, said)
    if not study.straight:
        raise SystemExit(FINDING)


def _geometry(given: dict[str, Any]) -> dict[str, float]:
    from clampwright.errors import Missing
    from clampwright.standards.named import named_values
    from clampwright.units import parse_quantity
    from clampwright.words import words

    if given["thread"] is None:
        raise Missing(words("--thread is needed here"), "thread")
    named = {"thread": given["thread"], "bolt": given["bolt"], "hole_series": given["hole"]}
    found = named_values(**named)
    if given["bearing"] is not None:
        found["bearing_diameter"] = parse_quantity(given["bearing"], "length").value
    if "bearing_diameter" not in found:
        raise Missing(
            words("the face under the head is needed: give --bolt and --hole, or --bearing"),
            "bearing",
        )
    return found


def _prevailing(text: str | None) -> float | None:
    from clampwright.units import parse_quantity

    return None if text is None else parse_quantity(text, "torque").value


def _lines(study: FrictionStudy) -> list[Words]:
    """Say what came out: of each fastener, and of all."""
    from clampwright.words import words

    found = []
    for points, test in zip(study.points, study.tests, strict=True):
        line = _one(test)
        found.append(words("{name}: {line}", name=points.name, line=line) if points.name else line)
        found += test.remarks
    if study.friction is not None and study.nut_factor is not None:
        found.append(
            words(
                "the next fastener of the lot, 19 times in 20: friction {low:.3f} to {high:.3f}, "
                "K {k_low:.3f} to {k_high:.3f}",
                low=study.friction.low,
                high=study.friction.high,
                k_low=study.nut_factor.low,
                k_high=study.nut_factor.high,
            )
        )
    return found


def _one(test: TensionTest) -> Words:
    from clampwright.words import words

    if test.thread is None or test.bearing is None:
        return words(
            "K {k:.4f} ± {k_u:.4f}, friction {mu:.4f} ± {mu_u:.4f}",
            k=test.nut_factor.value,
            k_u=test.nut_factor.u,
            mu=test.total.value,
            mu_u=test.total.u,
        )
    return words(
        "K {k:.4f} ± {k_u:.4f}, friction {mu:.4f} ± {mu_u:.4f}; thread {th:.4f} ± {th_u:.4f}, "
        "under the head {b:.4f} ± {b_u:.4f}",
        k=test.nut_factor.value,
        k_u=test.nut_factor.u,
        mu=test.total.value,
        mu_u=test.total.u,
        th=test.thread.value,
        th_u=test.thread.u,
        b=test.bearing.value,
        b_u=test.bearing.u,
    )


def _draw(given: dict[str, Any], study: FrictionStudy, lines: list[Words]) -> str:
    from clampwright.cli.drawing import write_chart
    from clampwright.report.axes import Style
    from clampwright.report.friction_chart import friction_chart
    from clampwright.units import unit_named

    style = Style(unit=unit_named(given["unit"], "torque").name)
    return write_chart(given["chart"], friction_chart(study, lines, style=style))


def _table(data: bytes, study: FrictionStudy, given: dict[str, Any]) -> ConditionTable:
    """Make the condition to keep, or say what stands against it."""
    import hashlib

    from pydantic import ValidationError

    from clampwright.bench.days import today
    from clampwright.cli.days import day
    from clampwright.errors import ClampwrightError, Missing, Refused
    from clampwright.words import words
    from clampwright.work.friction_file import ConditionTable

    if not study.straight:
        raise Refused(
            words(
                "it is not kept: the line is not straight, and one coefficient does not describe "
                "it; take the part of the test where it is straight"
            )
        )
    for option in ("title", "by"):
        if not (given[option] or "").strip():
            raise Missing(words("to keep it, give --{option} too", option=option), option)
    scatter = given["scatter"]
    low, high = study.range(None if scatter is None else scatter / 100)
    faces = given["bearing"] or f"{given['bolt']}, {given['hole']} hole"
    try:
        return ConditionTable(
            name=given["save"],
            title=given["title"],
            low=round(low, 4),
            high=round(high, 4),
            fasteners=len(study.tests),
            parts=f"{given['thread']}, {faces}",
            sha256=hashlib.sha256(data).hexdigest(),
            date=day(given["date"]) if given["date"] else today(),
            by=given["by"],
        )
    except ValidationError as error:
        first = error.errors()[0]
        raise ClampwrightError(
            words(
                "{where} {given!r} cannot be taken: {problem}",
                where=f"--{'save' if first['loc'] == ('name',) else first['loc'][0]}",
                given=str(first["input"])[:60],
                problem=words("use small letters, digits and hyphens, at most 40")
                if first["loc"] == ("name",)
                else str(first["msg"]),
            )
        ) from error


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
    from clampwright.standards import friction_conditions
    from clampwright.words import words

    own, known = own_conditions(folder), friction_conditions()
    if as_json:
        print_json({"conditions": [_condition_json(one, own=one in own) for one in (*own, *known)]})
        return
    if own:
        click.echo(click.style(text_of(words("Of this workshop")), bold=True))
        _conditions(own)
    click.echo(click.style(text_of(words("Of the tables")), bold=True))
    _conditions(known)


def _conditions(found: tuple[FrictionCondition, ...]) -> None:
    for one in found:
        click.echo(f"  {one.name}  {one.low:g} – {one.high:g}")
        click.echo(f"      {text_of(one.title)}")
        said = "; ".join(part for part in (one.source, one.flag, text_of(one.caution)) if part)
        click.echo(textwrap.fill(said, width=88, initial_indent=" " * 6, subsequent_indent=" " * 6))


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
