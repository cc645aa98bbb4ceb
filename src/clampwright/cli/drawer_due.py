"""``clampwright drawer due``: which wrench is to be calibrated when."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option
from clampwright.locale import told

if TYPE_CHECKING:
    import datetime as dt

    from clampwright.drawer.due import Due


@click.command(epilog="Example: clampwright drawer due --calendar calibration.ics")
@click.option("--calendar", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.ics",
              help="Write the days as a calendar file with reminders.")  # fmt: skip
@click.option("--today", metavar="DAY", help="Instead of today.")
@workshop_option
@json_option
def command(*, calendar: Path | None, today: str | None, workshop: Path, as_json: bool) -> None:
    """List the wrenches by the day on which they are due, with the reasons.

    By the calendar, by uses, by uses near the largest torque, by drift, and after a drop, an
    overload or a repair. Exit status 1 when one is overdue.
    """
    from clampwright.cli.drawer_common import day_or_today, opened
    from clampwright.drawer.due import due_list, reliability_words

    day, drawer = day_or_today(today), opened(workshop)
    found = due_list(drawer.described, drawer.now, drawer.histories, day)
    together = reliability_words(drawer.now, drawer.histories)
    if as_json:
        rows = [_row(one, one.state(day)) for one in found]
        print_json({"today": day.isoformat(), "due": rows, "together": text_of(together) or None})
    else:
        for one in found:
            _show(one, one.state(day))
        if together is not None:
            click.echo(text_of(together))
    if calendar is not None:
        _write(calendar, found, workshop, day)
        if not as_json:
            click.echo(str(calendar))
    if any(one.state(day) == "overdue" for one in found):
        raise SystemExit(FINDING)


def _row(one: Due, state: str) -> dict[str, object]:
    return {
        "tool": one.tool.id,
        "on": one.on.isoformat(),
        "state": state,
        "reasons": [
            {"kind": r.kind, "on": r.on.isoformat(), "say": text_of(r.say)} for r in one.reasons
        ],
        "hints": [text_of(hint) for hint in one.hints],
    }


def _show(one: Due, state: str) -> None:
    from clampwright.words import words

    said = {
        "overdue": words("overdue"),
        "soon": words("due soon"),
        "later": words("not yet due"),
    }[state]
    on = told(one.on.isoformat())
    click.echo(click.style(f"{on}  {one.tool.id}  {text_of(said).upper()}", bold=True))
    for reason in one.reasons:
        click.echo(f"    {told(reason.on.isoformat())}  {text_of(reason.say)}")
    for hint in one.hints:
        click.echo(f"    {text_of(hint)}")


def _write(path: Path, found: tuple[Due, ...], workshop: Path, day: dt.date) -> None:
    from clampwright.errors import Refused
    from clampwright.report.calendar_file import calendar_file
    from clampwright.words import words

    data = calendar_file(found, today=day, origin=workshop.resolve().name)
    try:
        path.write_bytes(data)
    except OSError as error:
        raise Refused(
            words("{file} cannot be written: {problem}", file=str(path),
                  problem=str(error.strerror))
        ) from error  # fmt: skip
