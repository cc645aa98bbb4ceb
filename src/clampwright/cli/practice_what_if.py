"""``clampwright practice what-if``: two cases of a joint side by side."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

_LENGTH, _STRESS = "LENGTH", "STRESS"


@click.command(
    epilog='Example: clampwright practice what-if --circle 5 --diameter "112 mm" --thread M12x1.5 '
    '--strength 8.8 --head "ISO 4014/4017" --grip "25 mm" --friction as_delivered '
    '--torque "75 N·m" --if-friction oiled',
    short_help="What would happen if: two cases of a joint side by side.",
)
@click.option("--circle", metavar="COUNT", help="Fasteners on a circle.")
@click.option("--diameter", metavar=_LENGTH, help="Of the circle.")
@click.option("--row", metavar="COUNT", help="Fasteners in a row.")
@click.option("--grid", metavar="ROWSxCOLUMNS", help="Fasteners in rows and columns, as 2x5.")
@click.option("--pitch", metavar=_LENGTH, help="Between neighbours of a row.")
@click.option("--pitch-across", metavar=_LENGTH, help="Between the rows of a grid.")
@click.option("--points", metavar="X,Y;X,Y;…", help="Places of the fasteners in mm, anywhere.")
@click.option("--thread", metavar="THREAD", help="Such as M10.")
@click.option("--strength", metavar="CLASS", help="Strength class; without it no yield is seen.")
@click.option("--head", metavar="STANDARD", help='Head or nut turned, such as "ISO 4014/4017".')
@click.option("--hole", metavar="SERIES", help="fine, medium (taken if not given) or coarse.")
@click.option("--grip", metavar=_LENGTH, help="What is clamped, under the head.")
@click.option("--friction", metavar="NAME", help="Surface condition, such as oiled.")
@click.option("--torque", metavar="TORQUE", help="Or snug torque, where an angle follows.")
@click.option("--angle", metavar="ANGLE", help="Turned afterwards, degrees.")
@click.option("--order", metavar="NUMBERS", help="Such as 1,4,2,3; crosswise if not given.")
@click.option("--shares", metavar="PERCENTS", help="Of the passes, such as 30,60,100.")
@click.option(
    "--wrench", metavar="PERCENT", help="How far the wrench may be off, ±; 4 if not given."
)
@click.option("--thickness", metavar=_LENGTH, help="Of flange, strip or cover; none: hard faces.")
@click.option("--width", metavar=_LENGTH, help="Of flange ring or strip, and gasket.")
@click.option("--modulus", metavar=_STRESS, help="Of the flange; steel if not given.")
@click.option("--gasket-modulus", metavar=_STRESS, help="Of the gasket.")
@click.option("--gasket-thickness", metavar=_LENGTH, help="Of the gasket.")
@click.option("--flanges", type=click.Choice(["1", "2"]), help="How many of them bend.")
@click.option("--beyond", metavar=_LENGTH, help="How far a cover reaches beyond the fasteners.")
@click.option("--if-friction", metavar="NAME", help="Changed: surface condition.")
@click.option("--if-torque", metavar="TORQUE", help="Changed: torque.")
@click.option("--if-angle", metavar="ANGLE", help="Changed: angle turned afterwards.")
@click.option("--if-order", metavar="NUMBERS", help="Changed: order.")
@click.option("--if-shares", metavar="PERCENTS", help="Changed: passes.")
@click.option("--if-wrench", metavar="PERCENT", help="Changed: how far the wrench may be off.")
@click.option("--drawing", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.svg",
              help="Write the clamp load of every fastener, at its place, as SVG.")  # fmt: skip
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.pdf",
              help="Write both cases as a paper.")  # fmt: skip
@workshop_option
@json_option
def command(
    *, drawing: Path | None, pdf: Path | None, workshop: Path, as_json: bool, **given: Any
) -> None:
    """Tighten a joint twice, as planned and with something changed, and compare clamp loads.

    What is not given with --if-… stays as planned. Clamp loads have 5 to 95 % bands from friction
    and wrench; fasteners influence each other where a gasket is described.
    """
    from clampwright.bench.friction import own_conditions
    from clampwright.cli.drawing import check_paper, check_target, write_drawing, write_paper
    from clampwright.practice.what_if_request import WhatIfRequest
    from clampwright.report.clamp_posts import clamp_posts
    from clampwright.report.svg import PAPER
    from clampwright.report.what_if_paper import what_if_pdf

    if drawing is not None:
        check_target(drawing)
    if pdf is not None:
        check_paper(pdf)
    texts = {key: text for key, text in given.items() if text}
    found = WhatIfRequest(texts, name=_option, friction=own_conditions(workshop)).study()
    if as_json:
        print_json(found.as_json())
    else:
        _show(found)
    written = []
    if drawing is not None:
        written.append(write_drawing(drawing, clamp_posts(found, look=PAPER)))
    if pdf is not None:
        from clampwright.cli.practice_common import now

        time = now().isoformat(timespec="seconds")
        written.append(write_paper(pdf, what_if_pdf(found, time=time)))
    for line in written:
        click.echo(line, err=as_json)


def _show(found: Any) -> None:
    from clampwright.report.what_if_paper import COLUMNS, fastener_rows, remarks

    for line in found.says():
        click.echo(click.style(text_of(line), bold=True))
    click.echo("  ".join(f"{text_of(column):>15}" for column in COLUMNS))
    for row in fastener_rows(found):
        click.echo("  ".join(f"{cell:>15}" for cell in row))
    for line in remarks(found):
        click.echo(text_of(line))


def _option(key: str) -> str:
    return f"--{key.replace('_', '-')}"
