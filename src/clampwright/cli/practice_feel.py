"""``clampwright practice feel``: a try by hand noted, and what the tries say."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.practice_common import book_in, now, show_study, study_json, who_options
from clampwright.cli.workshop_option import workshop_option


@click.command(
    epilog='Example: clampwright practice feel --aim "25 N·m" --reached "23,5 N·m" '
    "--class evening-2026 --learner 7",
    short_help="Note a try by hand, or show what the tries say.",
)
@click.option("--aim", default="", metavar="TORQUE", help="Torque aimed at, in any unit.")
@click.option("--reached", default="", metavar="TORQUE", help="Torque read from the beam.")
@click.option("--length", default="", metavar="LENGTH", help="From the square to the grip.")
@click.option(
    "--posture",
    type=click.Choice(["towards", "down", "kneeling", "overhead", "lying", "reaching"]),
    help="How you stood to it.",
)
@who_options
@workshop_option
@json_option
def command(
    *,
    aim: str,
    reached: str,
    length: str,
    posture: str | None,
    group: str,
    learner: str,
    workshop: Path,
    as_json: bool,
) -> None:
    """Note a try: pull to what you think is --aim, read the beam, give it with --reached.

    It is kept where --class and --learner are given. Without --aim the tries kept so far are
    evaluated: bias and scatter with intervals for few tries, the next pull, and what typical
    stages allow.
    """
    from clampwright.bench.practice_answers import Who, answer
    from clampwright.errors import Missing
    from clampwright.practice.results import tries_of
    from clampwright.proof.ids import uuid7
    from clampwright.words import words

    book, who = book_in(workshop), Who(group, learner)
    if bool(aim) != bool(reached):
        raise Missing(words("give --aim and --reached together"), needed="reached")
    if not aim and not who:
        raise Missing(words("give --aim and --reached, or --class and --learner"), needed="aim")
    said: dict[str, object] = {}
    if aim:
        texts = {"reached": reached, "length": length, "posture": posture or ""}
        done, new = answer(book, f"feel:{aim}", texts, who=who, entry=uuid7(), now=now())
        said = {"outcome": dict(done.outcome), "says": [str(s) for s in done.says], "kept": new}
        if not as_json:
            click.echo(text_of(done.says[0]))
    tries = tries_of(book.results(who.group), who.learner) if who else []
    if as_json:
        print_json(said | ({"study": study_json(tries)} if tries else {}))
    elif tries:
        show_study(tries)
    elif not aim:
        click.echo(text_of(words("There is no try of {learner} yet.", learner=who.learner)))
