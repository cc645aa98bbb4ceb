"""``clampwright history``: the joints of a machine over the years."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option
from clampwright.locale import figure, told

if TYPE_CHECKING:
    from clampwright.work.bygone import Outcome, Visit
    from clampwright.work.history import JointHistory


@click.command(
    epilog='Example: clampwright history "launch engine" --workshop demo-workshop',
    short_help="The joints of a machine over the years.",
)
@click.argument("machine", default="")
@click.option("--joint", default="", help="Id of a joint: this one only.")
@workshop_option
@json_option
def command(*, machine: str, joint: str, workshop: Path, as_json: bool) -> None:
    """Show what every job left of the joints of MACHINE, what changes and what is spent.

    A piece of the machine's name is enough. Without one, the machines are listed.
    """
    from clampwright.bench.folder import bring_up_to_date
    from clampwright.bench.history import history_of, machines
    from clampwright.store import Store
    from clampwright.work.history_json import history_json, machine_json

    bring_up_to_date(workshop)
    with Store.open(workshop, write=False) as store:
        if not machine:
            known = machines(store)
            if as_json:
                print_json({"machines": [machine_json(one) for one in known]})
                return
            for each in known:
                click.echo(f"{told(each.last.isoformat())}  {each.name}")
            return
        found, joints = history_of(store, machine)
    shown = [one for one in joints if joint in {"", one.joint}]
    if as_json:
        print_json({**machine_json(found), "joints": [history_json(one) for one in shown]})
        return
    click.echo(found.name)
    for one in shown:
        _tell(one)


def _tell(history: JointHistory) -> None:
    from clampwright.work.history_words import drift_words, spent_lines

    click.echo()
    click.echo(f"{history.title} ({history.joint})")
    for visit in history.visits:
        _tell_visit(visit)
    for drift in history.drifts:
        click.echo(f"  {text_of(drift_words(drift))}")
    for line in spent_lines(history.spent):
        click.echo(f"  {text_of(line)}")


def _tell_visit(visit: Visit) -> None:
    from clampwright.work.history_words import clamp_words

    click.echo(f"  {told(visit.date.isoformat())}  {visit.title} ({visit.job})")
    if visit.clamp is not None:
        click.echo(f"      {text_of(clamp_words(visit.clamp))}")
    for one in visit.outcomes:
        click.echo(f"      {_row(one)}")


def _row(one: Outcome) -> str:
    from clampwright.report.phrases import verdict_words

    figures: list[Any] = [
        f"{figure(one.torque, '.1f')} N·m" if one.torque is not None else "-",
        f"{one.turned:.0f}°" if one.turned is not None else "-",
    ]
    verdict = text_of(verdict_words(one.verdict)) if one.verdict else "-"
    row = f"{one.fastener:>3}  {verdict:<9} {figures[0]:>11} {figures[1]:>7}"
    if one.breakaway is not None:
        row += f"  ↺ {figure(one.breakaway, '.1f')} N·m"
    return row
