"""``clampwright verify``: is a record what was written, and whose key signed it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, read_file, text_of

if TYPE_CHECKING:
    from clampwright.proof.verification import Verification
    from clampwright.report.again import Again
    from clampwright.words import Words
    from clampwright.work.hands import Hand


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
@click.option(
    "--render",
    is_flag=True,
    help="A PDF: make it again and compare its pages; compute added sections again.",
)
@click.option(
    "--recordings",
    type=click.Path(file_okay=False, path_type=Path),
    help="With --render: folder with the recorded pulls.",
)
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    help="A PDF: look for its hash on the log of this workshop.",
)
@json_option
def command(
    file: str,
    key: str | None,
    *,
    render: bool,
    recordings: Path | None,
    workshop: Path | None,
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

    FILE may be the paper (PDF): then the record attached to it is verified, and with --render its
    pages too.
    """
    from clampwright.proof.anchors import read_kept
    from clampwright.proof.timestamp import read_chain
    from clampwright.proof.verification import verify
    from clampwright.proof.witness import witness_from
    from clampwright.report.again import PDF

    data = read_file(file)
    is_paper = data.startswith(PDF)
    record, problem = _attached(data, file) if is_paper else (data, None)
    found = verify(
        record,
        key=key,
        name=file,
        anchors=[read_kept(read_file(one), one) for one in against],
        witnesses=[witness_from(line) for line in witness],
        chain=[one for name in chain for one in read_chain(read_file(name), name)],
    )
    if problem is not None:
        found = replace(found, findings=(problem,))
    elif found.ok and (is_paper or render or workshop is not None):
        checks = _checks(data, file, render=render, recordings=recordings, workshop=workshop)
        found = _with_pages(found, checks)
    if found.ok:
        from clampwright.bench.sections import check_sections

        found = _with_pages(found, check_sections(record, again=render))
    hands = _hands(record) if found.ok else ()
    if as_json:
        print_json({"file": file, **found.as_json(), "hands": [one.as_json() for one in hands]})
    else:
        _show(found, hands)
    raise SystemExit(DONE if found.ok else FINDING)


def _attached(data: bytes, file: str) -> tuple[bytes, Words | None]:
    """Return the record attached to a paper, or why there is none."""
    from clampwright.errors import BadFile
    from clampwright.report.again import attached_record

    try:
        return attached_record(data, file), None
    except BadFile as bad:
        return b"", bad.message


def _checks(
    data: bytes, file: str, *, render: bool, recordings: Path | None, workshop: Path | None
) -> list[Again]:
    """Return what the checks of a paper gave that were asked for."""
    from clampwright.bench.paper_check import check_pages, check_signed_hash
    from clampwright.errors import Refused
    from clampwright.report.again import PDF, Again
    from clampwright.words import words

    if not data.startswith(PDF):
        raise Refused(words("{file} is no paper (PDF): it has no pages to compare", file=file))
    found = [check_pages(data, file, recordings, workshop)] if render else []
    if workshop is not None:
        found.append(check_signed_hash(data, file, workshop))
    unlooked = words(
        "What was checked is the record attached to the paper, not the pages: --render does that."
    )
    return found or [Again(None, unlooked)]


def _with_pages(found: Verification, checks: Sequence[Again]) -> Verification:
    wrong = tuple(one.say for one in checks if one.same is False)
    told = tuple(one.say for one in checks if one.same is not False)
    return replace(
        found,
        ok=found.ok and not wrong,
        findings=found.findings + wrong,
        notes=found.notes + told,
    )


def _hands(data: bytes) -> tuple[Hand, ...]:
    """Return whose hands made the entries of a record that holds."""
    import json

    from clampwright.work.hands import hands_of

    return hands_of(row["entry"] for row in json.loads(data)["entries"])


def _show(found: Verification, hands: tuple[Hand, ...]) -> None:
    from clampwright.words import words
    from clampwright.work.hands import done_words, who_words

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
    for hand in hands:
        done = ", ".join(text_of(one) for one in done_words(hand))
        click.echo(f"{text_of(who_words(hand, {}))}: {done}")
    for note in found.notes:
        click.echo(f"  {text_of(note)}")
    click.echo(
        text_of(words("This shows what was written and by whose key, not that a reading was true."))
    )
