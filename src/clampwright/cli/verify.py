"""``clampwright verify``: is a record what was written, and whose key signed it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, read_file, text_of

if TYPE_CHECKING:
    from clampwright.proof.verification import Verification


@click.command(
    epilog="Example: clampwright verify demo-workshop/records/trailer-wheel.json",
    short_help="Verify a record.",
)
@click.argument("file")
@click.option("--key", help="The workshop key you expect, as printed on its record.")
@json_option
def command(file: str, key: str | None, *, as_json: bool) -> None:
    """Verify the record in FILE, offline: nothing is needed but the file.

    It shows that the record was not altered since it was signed, and by whose key. It cannot show
    that a pull was true. Exit status 1 when anything does not fit.
    """
    from clampwright.proof.verification import verify

    found = verify(read_file(file), key=key, name=file)
    if as_json:
        print_json({"file": file, **found.as_json()})
    else:
        _show(found)
    raise SystemExit(DONE if found.ok else FINDING)


def _show(found: Verification) -> None:
    from clampwright.words import words

    if not found.ok:
        told = (
            words("NOT as it was signed:")
            if found.readable
            else words("This cannot be read as a record:")
        )
        click.echo(text_of(told))
        for finding in found.findings:
            click.echo(f"  - {text_of(finding)}")
    else:
        click.echo(text_of(words("As it was signed: nothing was altered since.")))
    if found.readable:
        click.echo(
            text_of(
                words(
                    "{entries} entries of job {job}; log {origin} with {size} entries",
                    entries=found.entries,
                    job=found.job or "?",
                    origin=found.origin or "?",
                    size=found.size or 0,
                )
            )
        )
        click.echo(text_of(words("Key: {key}", key=found.fingerprint or "?")))
    for note in found.notes:
        click.echo(f"  {text_of(note)}")
    click.echo(
        text_of(words("This shows what was written and by whose key, not that a reading was true."))
    )
