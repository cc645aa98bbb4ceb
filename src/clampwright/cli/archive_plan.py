"""``clampwright archive plan``: storage, hours and core-hours for a fleet, from measured costs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import json_option, print_json, text_of

if TYPE_CHECKING:
    from clampwright.archive.paper_plan import Costs, Fleet, Plan


@click.command(
    epilog="Example: clampwright archive plan chain --workshops 10000 --years 5 --price 0.04",
    short_help="Storage, hours and core-hours for a fleet, from measured costs.",
)
@click.argument("archive", type=click.Path(file_okay=False, path_type=Path))
@click.option("--workshops", type=click.IntRange(1), required=True, help="How many.")
@click.option(
    "--years", type=click.FloatRange(0.1), default=1.0, show_default=True, help="That are kept."
)
@click.option("--entries", type=click.FloatRange(0), help="Of a workshop in a year; as here.")
@click.option("--samples", type=click.FloatRange(0), help="Of a workshop in a year; as here.")
@click.option(
    "--workers", type=click.IntRange(1), default=1, show_default=True, help="Cores at work."
)
@click.option("--price", type=click.FloatRange(0), help="Of a core-hour, in your money.")
@json_option
def command(
    *,
    archive: Path,
    workshops: int,
    years: float,
    entries: float | None,
    samples: float | None,
    workers: int,
    price: float | None,
    as_json: bool,
) -> None:
    """Reckon what a fleet would take, from what the archive in the folder ARCHIVE took here.

    Make the analyses rejudge, drift, friction, outlying and procedures of it first. Its workshops
    should be of the size that is planned for.
    """
    from clampwright.archive.layout import archive_at
    from clampwright.archive.paper_plan import MONTHS, Fleet, costs_of, plan_for

    costs = costs_of(archive_at(archive))
    years_here = costs.workshops * costs.months / MONTHS
    fleet = Fleet(
        workshops,
        years,
        costs.entries / years_here if entries is None else entries,
        costs.samples / years_here if samples is None else samples,
    )
    plan = plan_for(fleet, costs)
    told = plan.as_json(workers=workers, price=price)
    if as_json:
        print_json({"costs": costs.as_json(), **told})
        return
    _show(fleet, costs, plan)
    _show_hours(told, workers, price)


def _show(fleet: Fleet, costs: Costs, plan: Plan) -> None:
    from clampwright.archive.telling import TITLES
    from clampwright.cli.archive_common import show_rows
    from clampwright.words import words

    lines = (
        words(
            "{workshops} workshops, {years:g} years, each {entries:.0f} entries and {samples:.0f} "
            "samples a year",
            workshops=fleet.workshops,
            years=fleet.years,
            entries=fleet.entries,
            samples=fleet.samples,
        ),
        words(
            "Measured here: {entry:.0f} bytes an entry, {sample:.1f} bytes a sample; {put:.2f} ms "
            "to put an entry in, {judge:.2f} µs to judge a sample",
            entry=costs.entry_bytes,
            sample=costs.sample_bytes,
            put=1e3 * costs.put_entry_s,
            judge=1e6 * costs.judge_sample_s,
        ),
        words("Storage: {size:.1f} GB", size=plan.bytes / 1e9),
    )
    for line in lines:
        click.echo(text_of(line))
    heads = (words("Core-hours"), words("All, once"), words("A month more"))
    rows = [(text_of(words("putting in")), f"{plan.put_h:.2f}", "")]
    rows += [
        (text_of(TITLES[name]), f"{first:.2f}", f"{plan.month_h[name]:.2f}")
        for name, first in plan.first_h.items()
    ]
    show_rows([tuple(text_of(one) for one in heads), *rows])


def _show_hours(told: dict[str, dict[str, float]], workers: int, price: float | None) -> None:
    from clampwright.words import words

    click.echo(
        text_of(
            words(
                "In all {first:.1f} core-hours, then {month:.1f} a month; on cores: {workers}, "
                "{first_h:.1f} h and {month_h:.1f} h",
                first=told["core_hours"]["first"],
                month=told["core_hours"]["month"],
                workers=workers,
                first_h=told["hours"]["first"],
                month_h=told["hours"]["month"],
            )
        )
    )
    if price is not None:
        click.echo(
            text_of(
                words(
                    "Money: {first:.2f}, then {month:.2f} a month, at {price:g} a core-hour",
                    first=told["money"]["first"],
                    month=told["money"]["month"],
                    price=price,
                )
            )
        )
