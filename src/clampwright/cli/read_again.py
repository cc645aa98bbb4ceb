"""``clampwright read-again``: what a second person reads of a pull, compared with the first."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of

if TYPE_CHECKING:
    from clampwright.bench.session import Session
    from clampwright.work.fold import Pull


@click.command(
    epilog="Example: clampwright read-again demo-workshop/jobs/gearbox-drain-plug.toml m 12 6",
    short_help="Compare what a second person reads of a pull.",
)
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.argument("reading", nargs=-1, required=True)
@click.option(
    "--pull", metavar="JOINT:STAGE:FASTENER", help="Which pull; the last one if left out."
)
@json_option
def command(job: Path, reading: tuple[str, ...], *, pull: str | None, as_json: bool) -> None:
    """Compare what a second person reads of a pull of JOB with what the first one read.

    Don't tell them the figure: they read the scale, the dial or the mark by themselves. READING is
    typed as in clampwright tighten. Both stand in the record; where they differ the pull is open
    again. Exit status 1 when the two differ.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session
    from clampwright.bench.second_reading import read_again
    from clampwright.cli.answers import reading_of

    with open_session(Workshop(find_workshop(job)), job, today=today()) as session:
        meant = _meant(session, pull)
        second = reading_of(" ".join(reading), meant, session)
        found, receipt = read_again(session, meant.entry, second)
    if as_json:
        print_json({"entry": receipt.id, "agrees": found.agrees, "text": str(found.words)})
    else:
        click.echo(text_of(found.words))
    if not found.agrees:
        raise SystemExit(FINDING)


def _meant(session: Session, pull: str | None) -> Pull:
    from clampwright.cli.feed import place_of
    from clampwright.errors import Refused
    from clampwright.words import words
    from clampwright.work.fold import PullKey

    place = place_of(pull)
    if place is None:
        standing = [one for one in session.state.pulls if not one.voided]
        if standing:
            return standing[-1]
        raise Refused(words("there is no pull yet to read again"))
    found = session.state.latest.get(PullKey(**place))
    if found is None:
        raise Refused(words("there is no pull yet to read again"))
    return found
