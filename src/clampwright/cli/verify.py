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
@click.option(
    "--against",
    multiple=True,
    metavar="FILE",
    help="A head, a proof between heads, a time stamp, or another record that was kept elsewhere.",
)
@click.option("--witness", multiple=True, metavar="LINE", help="Key line of a witness you trust.")
@click.option(
    "--chain", multiple=True, metavar="FILE", help="Certificates of a time-stamp authority."
)
@json_option
def command(
    file: str,
    key: str | None,
    *,
    against: tuple[str, ...],
    witness: tuple[str, ...],
    chain: tuple[str, ...],
    as_json: bool,
) -> None:
    """Verify the record in FILE, offline: nothing is needed but the file.

    With --against it is also held against heads that others kept: so a log that was cut off or
    written anew with the workshop's own key is found too.

    It shows that the record was not altered since it was signed, and by whose key. It cannot show
    that a pull was true. Exit status 1 when anything does not fit.
    """
    from clampwright.proof.anchors import read_kept
    from clampwright.proof.timestamp import read_chain
    from clampwright.proof.verification import verify
    from clampwright.proof.witness import witness_from

    found = verify(
        read_file(file),
        key=key,
        name=file,
        anchors=[read_kept(read_file(one), one) for one in against],
        witnesses=[witness_from(line) for line in witness],
        chain=[one for name in chain for one in read_chain(read_file(name), name)],
    )
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
