"""``clampwright after``: what still has to be done when the last click was heard."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option
from clampwright.locale import told as as_told

if TYPE_CHECKING:
    import datetime as dt

    from clampwright.work.follow_up import FollowUp

FILE = click.Path(dir_okay=False, path_type=Path)
ABOVE_ZERO = click.FloatRange(min=0, min_open=True)


@click.group(
    epilog="Example: clampwright after list --workshop demo-workshop",
    short_help="Follow-ups: tighten again, look again.",
)
def command() -> None:
    """Plan what has to be done later on a joint, and say what became of it."""


@command.command(short_help="Plan a follow-up of a joint.")
@click.argument("job", type=FILE)
@click.argument("joint")
@click.option("--what", type=click.Choice(["retorque", "check", "audit"]), default="retorque")
@click.option("--how", default="", help="pull_up or slacken_and_repeat; practice is in conflict.")
@click.option("--km", type=ABOVE_ZERO, help="Due after so many kilometres.")
@click.option("--hours", type=ABOVE_ZERO, help="Due after so many hours.")
@click.option("--days", type=ABOVE_ZERO, help="Due after so many days.")
@click.option("--heat-cycles", type=ABOVE_ZERO, help="Due after so many times hot and cold.")
@click.option("--told", default="", help="Who was told.")
@click.option("--source", default="", help="Where the figure comes from.")
@json_option
def plan(
    *,
    job: Path,
    joint: str,
    what: str,
    how: str,
    km: float | None,
    hours: float | None,
    days: float | None,
    heat_cycles: float | None,
    told: str,
    source: str,
    as_json: bool,
) -> None:
    """Plan a follow-up of JOINT (its id) in the job file JOB.

    A joint that was tightened by angle or stretch is never tightened again by turning on.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_store
    from clampwright.bench.follow_up import add_follow_up

    place = Workshop(find_workshop(job))
    given = {"distance_km": km, "hours": hours, "days": days, "heat_cycles": heat_cycles}
    with open_store(place, create=True) as store:
        one = add_follow_up(
            store,
            place,
            job,
            joint,
            what=what,
            how=how,
            after={name: value for name, value in given.items() if value is not None},
            told=told,
            source=source,
            today=today(),
        )
    _tell([one], today(), as_json=as_json)


@command.command("list", short_help="List follow-ups, the overdue first.")
@click.option("--all", "everything", is_flag=True, help="Those that are settled too.")
@click.option("--calendar", type=FILE, metavar="FILE.ics", help="Write the days as a calendar.")
@workshop_option
@json_option
def list_(*, everything: bool, calendar: Path | None, workshop: Path, as_json: bool) -> None:
    """List the follow-ups of a workshop. Exit status 1 when one is overdue."""
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.follow_up import calendar_of, in_order, known_follow_ups

    day = today()
    with open_store(Workshop(workshop), write=False) as store:
        known, origin = known_follow_ups(store), store.origin
    shown = [one for one in known if everything or not one.outcome]
    _tell(in_order(shown, day), day, as_json=as_json)
    if calendar is not None:
        calendar.write_bytes(calendar_of(known, origin, day))
    if any(one.state(day) == "overdue" for one in known):
        raise SystemExit(FINDING)


@command.command(short_help="Say what became of a follow-up.")
@click.argument("follow_up")
@click.option("--done", "outcome", flag_value="done", help="It was done.")
@click.option("--refused", "outcome", flag_value="refused", help="It will not be done.")
@click.option("--reason", default="", help="Why, or what was found.")
@workshop_option
@json_option
def settle(
    *, follow_up: str, outcome: str | None, reason: str, workshop: Path, as_json: bool
) -> None:
    """Say what became of FOLLOW_UP (its id, or the beginning of it)."""
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.follow_up import settle_follow_up

    with open_store(Workshop(workshop)) as store:
        one = settle_follow_up(
            store, follow_up, outcome=outcome or "", reason=reason, today=today()
        )
    _tell([one], today(), as_json=as_json)


@command.command(short_help="Write a slip for the owner of the machine.")
@click.argument("follow_up")
@click.argument("file", type=FILE)
@workshop_option
def slip(follow_up: str, file: Path, workshop: Path) -> None:
    """Write a page for the owner of the machine into FILE (PDF), with a square code."""
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.follow_up import found
    from clampwright.bench.follow_up import slip as slip_of
    from clampwright.bench.sheets import write_private
    from clampwright.report.sheet import sheet_pdf

    with open_store(Workshop(workshop), write=False) as store:
        sheet = slip_of(found(store, follow_up), store.workshop)
    write_private(file, sheet_pdf(sheet))
    click.echo(str(file))


def _tell(shown: list[FollowUp], day: dt.date, *, as_json: bool) -> None:
    from clampwright.bench.follow_up import title_of
    from clampwright.words import words
    from clampwright.work.follow_up import when

    if as_json:
        return print_json({"follow_ups": [_row(one, day) for one in shown]})
    states = {
        "overdue": words("OVERDUE"),
        "open": words("open"),
        "done": words("done"),
        "refused": words("refused"),
    }
    if not shown:
        click.echo(text_of(words("Nothing is to be followed up.")))
    for one in shown:
        told = text_of(states[one.state(day)])
        on = f" {as_told(one.day.isoformat())}" if one.day else ""
        click.echo(f"{told}{on}  {text_of(title_of(one))}, {text_of(when(one.after))}  [{one.id}]")
        if one.reason:
            click.echo(f"    {one.reason}")
    return None


def _row(one: FollowUp, day: dt.date) -> dict[str, object]:
    return {
        "id": one.id,
        "job": one.job,
        "joint": one.joint,
        "what": one.what,
        "how": one.how,
        "after": dict(one.after),
        "told": one.told,
        "planned": one.planned.isoformat(),
        "due": one.day.isoformat() if one.day else None,
        "state": one.state(day),
        "source": one.source,
        "reason": one.reason,
    }
