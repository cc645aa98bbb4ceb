"""``clampwright practice class``: what a class has done."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.practice_common import book_in
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.practice.results import Learner


@click.command(epilog="Example: clampwright practice class evening-2026")
@click.argument("group", metavar="[CLASS]", default="")
@workshop_option
@json_option
def command(*, group: str, workshop: Path, as_json: bool) -> None:
    """Show what each learner of CLASS has done; without CLASS, which classes there are.

    Learners stand in the order of their numbers and nick-words; there is no ranking.
    """
    from clampwright.practice.results import learners
    from clampwright.words import words

    book = book_in(workshop)
    if not group:
        if as_json:
            print_json({"classes": list(book.classes())})
        for name in () if as_json else book.classes():
            click.echo(name)
        return
    rows = learners(book.results(group))
    if as_json:
        print_json({"class": group, "learners": [one.as_json() for one in rows]})
        return
    if not rows:
        click.echo(text_of(words("Nobody of this class has answered anything yet.")))
    for one in rows:
        _show(one)


def _show(one: Learner) -> None:
    from clampwright.words import words

    parts = [click.style(one.name, bold=True)]
    if one.feel is not None:
        feel = words("tries: {count}, on average {bias:+.1f} %", count=one.feel.count,
                     bias=100.0 * one.feel.bias)  # fmt: skip
        parts.append(text_of(feel))
    if one.clamp_points is not None and one.clamp_held is not None:
        clamp = words(
            "estimates {points:.0f} points, intervals hold {held:.0%}",
            points=one.clamp_points,
            held=one.clamp_held,
        )
        parts.append(text_of(clamp))
    if one.faults:
        faults = words("{right} of {count} faults found", right=one.faults_right, count=one.faults)
        parts.append(text_of(faults))
    if one.foreseen:
        parts.append(text_of(words("{count} foreseen", count=one.foreseen)))
    click.echo("; ".join(parts))
