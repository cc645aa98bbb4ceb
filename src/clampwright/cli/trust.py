"""``clampwright trust``: the authority by which phones come to trust the workshop's server."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(
    epilog="Example: clampwright trust --workshop demo-workshop --save authority.crt",
    short_help="Show, save or renew the authority phones trust.",
)
@workshop_option
@click.option(
    "--save",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write the authority's certificate into this file, for a phone.",
)
@click.option(
    "--anew",
    is_flag=True,
    help="Make a new authority first: every phone must take it in again.",
)
@json_option
def command(*, workshop: Path, save: Path | None, anew: bool, as_json: bool) -> None:
    """Show the fingerprint of the workshop's own authority, and until when it is good.

    It is made by clampwright serve --https. Renew it when its file may be in other hands.
    """
    import datetime as dt

    from clampwright.bench.sheets import write_private
    from clampwright.bench.trust import Trust
    from clampwright.proof.certificates import fingerprint
    from clampwright.words import words

    trust = Trust(workshop)
    found = trust.anew(dt.datetime.now(dt.UTC)) if anew else trust.read_authority()
    if save is not None:
        write_private(save, found.certificate_der())
    until = found.certificate.not_valid_after_utc.date().isoformat()
    if as_json:
        print_json({"fingerprint": fingerprint(found.certificate), "until": until})
        return
    figures = fingerprint(found.certificate)
    click.echo(text_of(words("SHA-256 fingerprint: {figures}", figures=figures)))
    click.echo(text_of(words("Good until {day}.", day=until)))
    if save is not None:
        click.echo(text_of(words("Written to {file}.", file=str(save))))
