"""``clampwright drawer look-over``: what to look at before a wrench is bought, lent or used."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clampwright.bench.folder import Workshop
    from clampwright.drawer.before_buying import Look


@click.command(
    epilog="Example: clampwright drawer look-over job click-60 --right look --right date "
    "--workshop demo-workshop"
)
@click.argument("moment", type=click.Choice(["new", "used", "borrowed", "job"]))
@click.argument("tool", required=False)
@click.option(
    "--kind",
    type=click.Choice(["beam", "dial", "click", "electronic"]),
    help="Kind of a wrench that is not in the drawer.",
)
@click.option(
    "--right",
    multiple=True,
    metavar="KEY",
    help="Looked at and found right; with MOMENT job and a TOOL the check goes to the log.",
)
@click.option("--all-right", is_flag=True, help="Everything was looked at and found right.")
@click.option("--note", default="", help="Remark for the log.")
@workshop_option
@json_option
def command(
    moment: str,
    tool: str | None,
    *,
    kind: str | None,
    right: Sequence[str],
    all_right: bool,
    note: str,
    workshop: Path,
    as_json: bool,
) -> None:
    """List what to look at on a wrench before it is bought, borrowed or taken to a job.

    MOMENT is new, used, borrowed or job. With job and a TOOL of the drawer it is the check of one
    minute: what --right names is ticked, and the check goes to the workshop's log. Exit status 1
    when a part of it was not found right.
    """
    from clampwright.bench.drawers import drawer_of
    from clampwright.bench.folder import Workshop
    from clampwright.drawer.before_buying import looks_for

    place = Workshop(workshop)
    known = drawer_of(place).now.tool(tool) if tool else None
    looks = looks_for(moment, known.kind if known else kind)
    if known is None or moment != "job" or not (right or all_right):
        _list(looks, as_json=as_json)
        return
    _keep(
        place, known.id, [one.key for one in looks] if all_right else right, note, as_json=as_json
    )


def _list(looks: Sequence[Look], *, as_json: bool) -> None:
    if as_json:
        rows = [
            {
                "key": one.key,
                "text": str(one.say),
                "why": str(one.why),
                "seconds": one.seconds or None,
                "source": one.source,
            }
            for one in looks
        ]
        print_json({"looks": rows})
        return
    for one in looks:
        seconds = f"  ({one.seconds} s)" if one.seconds else ""
        click.echo(f"[ ] {click.style(one.key, bold=True)}{seconds}  {text_of(one.say)}")
        click.echo(f"        {text_of(one.why)}")


def _keep(place: Workshop, tool: str, right: Sequence[str], note: str, *, as_json: bool) -> None:
    from clampwright.bench.folder import open_store
    from clampwright.bench.tool_checks import check_before_job
    from clampwright.words import words

    with open_store(place, create=True) as store:
        open_, receipt = check_before_job(store, place, tool, right, note=note)
    if as_json:
        print_json({"tool": tool, "entry": receipt.id, "not_right": [one.key for one in open_]})
    elif not open_:
        click.echo(text_of(words("{tool}: all right; it stands in the log", tool=tool)))
    else:
        click.echo(text_of(words("{tool}: not ticked, and it stands in the log:", tool=tool)))
        for one in open_:
            click.echo(f"  {text_of(one.say)}")
    if open_:
        raise SystemExit(FINDING)
