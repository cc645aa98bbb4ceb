"""``clampwright entries aside``: what devices sent and the log could not take as what it was."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright entries aside trailer-wheel --workshop demo-workshop")
@click.argument("job")
@click.option("--settle", "entry", default="", metavar="ID", help="Settle this one, with --reason.")
@click.option("--reason", default="", metavar="TEXT", help="Which one stands, and why.")
@workshop_option
@json_option
def command(*, job: str, entry: str, reason: str, workshop: Path, as_json: bool) -> None:
    """List what could not be taken from devices in a job, or say what became of it.

    Exit status 1: something is still to be settled.
    """
    from clampwright.bench.asides import settle_aside
    from clampwright.bench.folder import Workshop
    from clampwright.bench.session import Session
    from clampwright.store.log import Store
    from clampwright.work.aside import told

    with Store.open(workshop, write=bool(entry)) as store:
        session = Session(store, job, Workshop(workshop).papers)
        if entry:
            settle_aside(session, entry, reason)
        asides = session.state.aside
    if as_json:
        rows = [
            {"entry": one.entry, "told": text_of(told(one)), "settled": bool(one.settled)}
            for one in asides
        ]
        print_json({"job": job, "aside": rows})
    else:
        for one in asides:
            click.echo(f"{one.entry}  {text_of(told(one))}")
    sys.exit(1 if any(not one.settled for one in asides) else 0)
