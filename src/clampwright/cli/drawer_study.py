"""``clampwright drawer study``: how much of the spread comes from the tool and from the people."""

from __future__ import annotations

from typing import Any

import click

from clampwright.cli.output import json_option, print_json, read_file, text_of
from clampwright.locale import figure


@click.command(epilog="Example: clampwright drawer study two-people.csv")
@click.argument("file")
@json_option
def command(file: str, *, as_json: bool) -> None:
    """Evaluate a repeatability and reproducibility study: FILE says who read what of which part.

    Columns person, part, trial, value: at least two people, two parts and two trials of each.
    """
    from clampwright.words import words
    from clampwright.work.study_table import read_study

    study = read_study(read_file(file), file)
    result = study.variance.study
    if as_json:
        ranges = None if study.ranges is None else _json(study.ranges)
        print_json({"variance": _json(result), "ranges": ranges,
                    "says": [text_of(line) for line in study.says]})  # fmt: skip
        return
    click.echo(
        text_of(
            words(
                "{people} people, {parts} parts, {trials} trials of each",
                people=study.people,
                parts=study.parts,
                trials=study.trials,
            )
        )
    )
    rows = (
        (words("one person, again (repeatability)"), "repeatability"),
        (words("another person (reproducibility)"), "reproducibility"),
        (words("both together"), "gauge"),
        (words("between the parts"), "part"),
    )
    for title, name in rows:
        size, share = figure(getattr(result, name), ".4g"), figure(result.percent(name), "5.1f")
        click.echo(f"  {size}  {share} %  {text_of(title)}")
    for line in study.says:
        click.echo(text_of(line))


def _json(result: Any) -> dict[str, Any]:
    names = ("repeatability", "reproducibility", "gauge", "part", "total")
    return {**{name: getattr(result, name) for name in names}, "categories": result.categories}
