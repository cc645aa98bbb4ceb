"""``clampwright drawer note``: note what happened to a tool."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.drawer.happened import EventRule


@click.command(
    epilog='Example: clampwright drawer note dial-200in dropped --note "off the bench, 1 m"'
)
@click.argument("tool", required=False)
@click.argument("event", required=False)
@click.option("--date", metavar="DAY", help="When, as 2026-05-01; today if not given.")
@click.option("--note", default="", metavar="TEXT", help="In your own words.")
@click.option("--count", type=int, default=0, metavar="N", help="With used: how many uses.")
@click.option("--high", type=int, default=0, metavar="N",
              help="With used: how many of them near the largest torque.")  # fmt: skip
@click.option("--list", "as_list", is_flag=True, help="List the events and what each does.")
@workshop_option
@json_option
def command(
    *,
    tool: str | None,
    event: str | None,
    date: str | None,
    note: str,
    count: int,
    high: int,
    as_list: bool,
    workshop: Path,
    as_json: bool,
) -> None:
    """Note what happened to TOOL: EVENT is dropped, overloaded, repaired, used and so on.

    It becomes an entry of the log and changes what the tool is worth from then on.
    """
    from clampwright.bench.days import today
    from clampwright.bench.tool_events import note_event
    from clampwright.cli.drawer_common import day_or_today, log_of, opened
    from clampwright.drawer.happened import Happened
    from clampwright.errors import Missing
    from clampwright.words import words

    if as_list:
        _list(as_json=as_json)
        return
    if tool is None or event is None:
        raise Missing(words("name a tool and what happened to it, or give --list"), "event")
    one = opened(workshop).described.tool(tool)
    happened = Happened(event.replace("-", "_"), day_or_today(date), note, count, high)
    with log_of(workshop) as store:
        receipt = note_event(store, one, happened, today=today())
    if as_json:
        print_json({"entry": receipt.id, "tool": one.id, "event": happened.event})
        return
    click.echo(text_of(words("Noted of {tool}: {what}.", tool=one.title, what=happened.rule.title)))
    if happened.doubt is not None:
        click.echo(text_of(words("Until that is settled: {doubt}.", doubt=happened.doubt)))


def _list(*, as_json: bool) -> None:
    from clampwright.drawer.happened import event_rules

    rules = event_rules().values()
    if as_json:
        rows = [
            {"event": r.name, "forbids": r.forbids, "spread": r.spread, "source": r.source}
            for r in rules
        ]
        print_json({"events": rows})
        return
    for rule in rules:
        click.echo(click.style(f"{rule.name.replace('_', '-')}  {text_of(rule.title)}", bold=True))
        for line in _lines(rule):
            click.echo(f"    {line}")


def _lines(rule: EventRule) -> list[str]:
    from clampwright.words import words

    told = []
    if rule.forbids:
        told.append(text_of(words("not taken for harm levels 1 to {level}", level=rule.forbids)))
    if rule.ended_by:
        ends = ", ".join(sorted(name.replace("_", "-") for name in rule.ended_by))
        told.append(text_of(words("until: {ends}", ends=ends)))
    return [*told, rule.source]
