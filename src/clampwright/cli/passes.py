"""``clampwright passes``: what tightening one fastener takes from the others."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import json_option, print_json, read_file, text_of
from clampwright.locale import figure

if TYPE_CHECKING:
    from clampwright.work.pass_request import PassRequest
    from clampwright.work.pass_study import PassStudy


@click.command(
    epilog='Example: clampwright passes --circle 8 --diameter "200 mm" --width "30 mm" '
    '--thickness "20 mm" --gasket-modulus "500 MPa" --gasket-thickness "2 mm" '
    '--resilience 4.35e-6 --target "20 kN" --shares 30,60,100',
    short_help="Compare orders and passes over fasteners that influence each other.",
)
@click.option("--circle", type=int, metavar="COUNT", help="Fasteners on a circle.")
@click.option("--row", type=int, metavar="COUNT", help="Fasteners in a row.")
@click.option("--grid", metavar="ROWSxCOLUMNS", help="Fasteners in rows and columns, as 2x5.")
@click.option("--points", metavar="X,Y;X,Y;…", help="Places of the fasteners in mm, anywhere.")
@click.option("--diameter", metavar="LENGTH", help="Of the circle.")
@click.option("--pitch", metavar="LENGTH", help="Between neighbours of a row.")
@click.option("--pitch-across", metavar="LENGTH", help="Between the rows of a grid.")
@click.option("--width", metavar="LENGTH", help="Of flange ring or strip, and gasket.")
@click.option("--thickness", metavar="LENGTH", help="Of flange, strip or cover.")
@click.option("--modulus", default="205 GPa", show_default=True, help="Of the flange.")
@click.option("--gasket-modulus", metavar="STRESS", help="Of the gasket.")
@click.option("--gasket-thickness", metavar="LENGTH", help="Of the gasket.")
@click.option("--flanges", type=click.Choice(["1", "2"]), default="1", show_default=True,
              help="One flange on a rigid part, or two equal ones.")  # fmt: skip
@click.option("--beyond", metavar="LENGTH",
              help="How far strip or cover reach beyond the outermost fasteners; without it they "
              "have no ends.")  # fmt: skip
@click.option("--resilience", metavar="MM/N",
              help="Of a fastener and what is compressed under its head.")  # fmt: skip
@click.option("--measured", metavar="FILE.csv",
              help="Clamp loads measured after each pull; go before what is computed.")  # fmt: skip
@click.option("--u-clamp", metavar="FORCE", default="0 N", show_default=True,
              help="Standard uncertainty of one measured clamp load.")  # fmt: skip
@click.option("--matrix", metavar="FILE.csv", help="The interaction matrix itself.")
@click.option("--target", metavar="FORCE", required=True, help="Clamp load aimed at.")
@click.option("--shares", default="100", show_default=True, metavar="PERCENTS",
              help="Of the target, pass by pass, such as 30,60,100.")  # fmt: skip
@click.option("--order", "orders", multiple=True, metavar="NUMBERS",
              help="An order to compare, such as 1,4,2,3; the first is worked out.")  # fmt: skip
@click.option("--closing", is_flag=True, help="One more pass at the end, by number.")
@click.option("--scatter", type=float, default=0.0, show_default=True, metavar="PERCENT",
              help="Standard deviation of clamp load between fasteners.")  # fmt: skip
@click.option("--chart", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.svg",
              help="Write the clamp load of every fastener after each pull as SVG.")  # fmt: skip
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.pdf",
              help="Write settings, comparison and chart as a paper for the machine.")  # fmt: skip
@json_option
def command(*, as_json: bool, chart: Path | None, pdf: Path | None, **given: Any) -> None:
    """Compare orders, passes and settings for fasteners that influence each other.

    Tightening one fastener takes clamp load from its neighbours. How much comes from the geometry
    (fasteners on a flange, strip or cover on its gasket), from clamp loads measured after each
    pull, or both; or it is given as a matrix.
    """
    from clampwright.cli.drawing import check_paper, check_target

    if chart is not None:
        check_target(chart)
    if pdf is not None:
        check_paper(pdf)
    request = _request(given)
    study = request.study()
    if as_json:
        print_json(study.as_json())
    else:
        _show(study, computed=request.computed)
    written = []
    if chart is not None:
        written.append(_write_chart(study, chart))
    if pdf is not None:
        written.append(_write_paper(study, pdf, computed=request.computed))
    if not as_json:
        for said in written:
            click.echo(said)


def _write_chart(study: PassStudy, path: Path) -> str:
    from clampwright.cli.drawing import write_chart
    from clampwright.report.pulls_chart import pulls_chart
    from clampwright.words import words

    title = words("Order: {name}", name=study.chosen.name)
    return write_chart(path, pulls_chart(study.chosen.passes, title=title))


def _write_paper(study: PassStudy, path: Path, *, computed: bool) -> str:
    import datetime as dt

    from clampwright.cli.drawing import write_paper
    from clampwright.report.pass_paper import passes_pdf

    now = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    return write_paper(path, passes_pdf(study, computed=computed, time=now))


def _request(given: dict[str, Any]) -> PassRequest:
    from clampwright.work.pass_request import PassRequest

    tables = {
        name: None if given[name] is None else (read_file(given[name]), given[name])
        for name in ("measured", "matrix")
    }
    texts = {key: str(value) for key, value in given.items() if value is not None}
    return PassRequest(
        texts,
        orders=given["orders"],
        closing=given["closing"],
        measured=tables["measured"],
        matrix=tables["matrix"],
        name=lambda key: "--" + key.replace("_", "-"),
    )


def _show(study: PassStudy, *, computed: bool) -> None:
    from rich.table import Table

    from clampwright.cli.screen import console
    from clampwright.report.pass_paper import COLUMNS, FROM_GEOMETRY, MAKER_FIRST, loosest

    screen = console()
    table = Table(box=None, pad_edge=False, header_style="bold")
    for title in COLUMNS:
        table.add_column(text_of(title))
    for place, row in enumerate(study.rows):
        evenness = "  ".join(figure(value, ".2f") for value in row.evenness)
        slack = ", ".join(str(number) for number in row.slack)
        table.add_row(row.name, evenness, text_of(loosest(study, place)), slack)
    screen.print(table)
    _show_chosen(study)
    if computed:
        click.echo(text_of(FROM_GEOMETRY))
    click.echo(text_of(MAKER_FIRST))


def _show_chosen(study: PassStudy) -> None:
    from clampwright.report.pass_paper import still
    from clampwright.words import words

    row, repeated = study.chosen, study.repeated
    click.echo()
    click.echo(click.style(text_of(words("Order: {name}", name=row.name)), bold=True))
    click.echo("  " + " ".join(str(number) for number in row.order))
    click.echo(text_of(still(study)))
    evenness = "  ".join(figure(float(done.evenness), ".2f") for done in repeated.passes[:10])
    click.echo(text_of(words("Smallest over largest: {evenness}", evenness=evenness)))
    click.echo(text_of(words("To end with all equal, tighten to, in turn, kN:")))
    for share, one in zip(study.shares, study.settings, strict=True):
        loads = "  ".join(figure(one.settings[n - 1] / 1000, ".1f") for n in one.order)
        click.echo(f"  {100 * share:.0f} %: {loads}")
        for problem in one.problems:
            click.echo(f"      {text_of(problem)}")
