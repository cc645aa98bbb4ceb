"""``clampwright shelf job``: a job file that is worked by a shelved version."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from clampwright.cli.fastener import fastener_options
from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

_MEASURES = ("count", "diameter_mm", "pitch_mm", "rows", "columns", "pitch_x_mm", "pitch_y_mm")


@click.command(
    epilog='Example: clampwright shelf job pump-cover --title "Cover back on" --machine "Pump" '
    "--pattern circle --count 6 --diameter-mm 80 --harm-level 2 --torque-percent 8 --angle-deg 5"
)
@click.argument("procedure")
@click.option("--version", "number", type=int, metavar="N", help="Which; the newest if not given.")
@click.option("--title", metavar="TEXT", required=True, help="What is done.")
@click.option("--machine", metavar="TEXT", required=True, help="On what.")
@click.option("--part", metavar="TEXT", help="What the joint is called; the procedure's title.")
@click.option(
    "--pattern",
    type=click.Choice(["circle", "row", "grid", "single"]),
    required=True,
    help="How the fasteners sit.",
)
@click.option("--count", type=int, help="How many, in a circle or row.")
@click.option("--diameter-mm", type=float, help="Pitch circle.")
@click.option("--pitch-mm", type=float, help="From one to the next in a row.")
@click.option("--rows", type=int, help="Rows of a grid.")
@click.option("--columns", type=int, help="Columns of a grid.")
@click.option("--pitch-x-mm", type=float, help="From one to the next in a row of a grid.")
@click.option("--pitch-y-mm", type=float, help="From row to row of a grid.")
@click.option(
    "--harm-level",
    type=click.IntRange(1, 3),
    required=True,
    help="If it fails: 1 life or limb, 2 breakdown, 3 annoyance.",
)
@click.option("--torque-percent", type=float, required=True,
              help="Your limits for torques stated without any, percent.")  # fmt: skip
@click.option("--angle-deg", type=float, required=True,
              help="Your limits for angles stated without any, degrees.")  # fmt: skip
@fastener_options
@workshop_option
@json_option
def command(procedure: str, *, workshop: Path, as_json: bool, **given: Any) -> None:
    """Make a job file that is worked by a version of PROCEDURE (its id).

    The file names the exact version and its hash. Add what else you know of the joint by hand.
    """
    from clampwright.bench.folder import Workshop
    from clampwright.bench.newjobs import write_job
    from clampwright.bench.shelf import shelf_in
    from clampwright.words import words
    from clampwright.work.fastener import Named
    from clampwright.work.job import Pin
    from clampwright.work.newjob import NewJob

    shelf = shelf_in(workshop)
    number = given["number"] or len(shelf.versions(procedure))
    version = shelf.version(procedure, number)
    measures = {key: given[key] for key in _MEASURES if given[key] is not None}
    new = NewJob(
        given["title"],
        given["machine"],
        given["part"] or version.title,
        Pin(procedure, number, version.sha256),
        {"pattern": given["pattern"], **measures},
        given["harm_level"],
        given["torque_percent"],
        given["angle_deg"],
        Named(**{name: given[name] for name in Named.names()}),
    )
    place = Workshop(workshop)
    job = write_job(place, new)
    file = place.jobs / f"{job}.toml"
    if as_json:
        print_json({"job": job, "file": str(file)})
        return
    click.echo(text_of(words("Job file written: {file}", file=str(file))))
