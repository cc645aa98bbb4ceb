"""``clampwright drawer keep-or-replace``: what each costs a year, from figures you enter."""

from __future__ import annotations

import click

from clampwright.cli.output import json_option, print_json, text_of


@click.command(
    epilog="Example: clampwright drawer keep-or-replace --calibration 60 --new 180 --old-lasts 5"
)
@click.option("--calibration", type=float, required=True, help="Cost of one calibration.")
@click.option("--new", type=float, required=True, help="Cost of a new wrench with certificate.")
@click.option("--repair", type=float, default=0.0, show_default=True, help="Repair needed first.")
@click.option(
    "--chance",
    type=float,
    default=0.0,
    show_default=True,
    help="Chance that it comes back unfit after all, 0 to 1.",
)
@click.option("--every-months", type=float, default=12.0, show_default=True, help="Interval.")
@click.option(
    "--old-lasts", type=float, default=3.0, show_default=True, help="Years the old one serves yet."
)
@click.option(
    "--new-lasts", type=float, default=10.0, show_default=True, help="Years a new one serves."
)
@json_option
def command(*, as_json: bool, **figures: float) -> None:
    """Compare what keeping a wrench costs a year with a new one; all figures are yours."""
    from clampwright.drawer.before_buying import Costs, calibrate_or_replace

    found = calibrate_or_replace(Costs(**figures))
    if as_json:
        print_json({"keep": found.keep, "replace": found.replace, "text": str(found.words)})
        return
    click.echo(text_of(found.words))
