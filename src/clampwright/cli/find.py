"""``clampwright find``: pulls of the past, by machine, part, tool, person, day and verdict."""

from __future__ import annotations

import datetime as dt
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option
from clampwright.locale import figure, told

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clampwright.work.finding import FoundPull

DAY = click.DateTime(["%Y-%m-%d"])


@click.command(
    epilog="Example: clampwright find wheel --verdict doubtful --workshop demo-workshop",
    short_help="Find pulls of the past.",
)
@click.argument("text", nargs=-1)
@click.option("--machine", default="", help="A piece of the machine's name.")
@click.option("--part", default="", help="A piece of the joint's title, or its id.")
@click.option("--tool", default="", help="A piece of the tool's id.")
@click.option("--person", default="", help="Name of the person who pulled.")
@click.option("--since", type=DAY, help="First day, as 2026-03-01.")
@click.option("--until", type=DAY, help="Last day.")
@click.option("--verdict", "verdicts", multiple=True, help="May be repeated.")
@click.option("--standing", is_flag=True, help="Leave out what was voided or pulled again.")
@click.option(
    "--most", type=click.IntRange(1), default=100, show_default=True, help="Show at most so many."
)
@workshop_option
@json_option
def command(
    *,
    text: tuple[str, ...],
    machine: str,
    part: str,
    tool: str,
    person: str,
    since: dt.datetime | None,
    until: dt.datetime | None,
    verdicts: tuple[str, ...],
    standing: bool,
    most: int,
    workshop: Path,
    as_json: bool,
) -> None:
    """Find pulls, the newest first; every word of TEXT must stand in job, machine, part or tool."""
    from clampwright.bench.folder import bring_up_to_date
    from clampwright.bench.history import person_named, search
    from clampwright.bench.names import Names
    from clampwright.store import Store
    from clampwright.words import words
    from clampwright.work.finding import Wanted
    from clampwright.work.history_json import found_json

    wanted = Wanted(
        machine=machine,
        part=part,
        tool=tool,
        person=person_named(workshop, person) if person else "",
        since=since.date() if since else None,
        until=until.date() if until else None,
        verdicts=verdicts,
        text=" ".join(text),
        standing=standing,
    )
    bring_up_to_date(workshop)
    with Store.open(workshop, write=False) as store:
        found = list(islice(search(store, wanted), most + 1))
    shown, more = found[:most], len(found) > most
    if as_json:
        print_json({"pulls": [found_json(one) for one in shown], "more": more})
        return
    names = Names(workshop).all()
    for one in shown:
        click.echo(_row(one, names))
    if not shown:
        click.echo(text_of(words("No pull fits.")))
    if more:
        click.echo(text_of(words("There are more: ask for less, or give --most.")))


def _row(one: FoundPull, names: Mapping[str, str]) -> str:
    from clampwright.bench.names import name_of
    from clampwright.report.phrases import verdict_words
    from clampwright.words import words

    read = "-"
    if one.torque_nm is not None:
        read = f"{figure(one.torque_nm, '.1f')} N·m"
    elif one.turned_deg is not None:
        read = f"{one.turned_deg:.0f}°"
    when = told(f"{one.time:%Y-%m-%d %H:%M}")
    row = f"{when}  {one.machine}: {one.joint_title}, {one.fastener}/{one.stage}"
    row += f"  {read}  {text_of(verdict_words(one.verdict))}"
    if one.undone:
        row += f" ({text_of(words('voided or pulled again'))})"
    if one.accepted:
        row += f" ({text_of(words('accepted'))})"
    who = name_of(names, one.person) if one.person else ""
    return "  ".join(part for part in (row, one.tool, who) if part)
