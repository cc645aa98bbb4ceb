"""``clampwright practice forget``: results erased."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import text_of
from clampwright.cli.practice_common import book_in
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright practice forget evening-2026 --learner 7 --yes")
@click.argument("group", metavar="CLASS")
@click.option("--learner", metavar="NAME", help="Only the results of this learner.")
@click.option("--yes", is_flag=True, help="Do it without asking again.")
@workshop_option
def command(*, group: str, learner: str | None, yes: bool, workshop: Path) -> None:
    """Erase the results of CLASS, or of one learner of it; they cannot be brought back.

    The log of the workshop is not touched: nothing of practice is in it. Backups made before keep
    what they hold.
    """
    from clampwright.words import words

    asked = words(
        "Erase the results of {who} for good?", who=f"{group}, {learner}" if learner else group
    )
    if not yes:
        click.confirm(text_of(asked), abort=True)
    count = book_in(workshop).forget(group, learner)
    click.echo(text_of(words("answers erased: {count}", count=count)))
