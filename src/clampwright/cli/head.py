"""``clampwright head``: the signed head of a workshop's log, to be kept outside it."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.phrase import pass_phrase, phrase_option


@click.command(
    epilog="Example: clampwright head demo-workshop --pdf head-of-today.pdf",
    short_help="Sign the log's head, to be kept outside it.",
)
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option(
    "--pdf",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write it as a sheet to print and sign by hand.",
)
@click.option("--since", type=click.IntRange(0), help="Write the proof from this many entries on.")
@click.option("--size", type=click.IntRange(1), help="The head signed over this many entries.")
@click.option("--kept", help="Put on the log who keeps this head, or where.")
@phrase_option
@json_option
def command(
    *,
    folder: Path,
    pdf: Path | None,
    since: int | None,
    size: int | None,
    kept: str | None,
    phrase_file: Path | None,
    as_json: bool,
) -> None:
    """Sign the present head of the log in FOLDER and print it.

    Three lines (name of the log, number of entries, root hash) and a signature. Kept by somebody
    else, on paper or on another machine, it shows later whether the log was changed or cut off
    before this moment. With --since, the proof between two heads, which is also what a witness is
    asked with.
    """
    from clampwright.bench.anchoring import anchored_size, bridge, keep_head, signed_head_at
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.words import words

    with open_store(Workshop(folder), pass_phrase=pass_phrase(folder, phrase_file)) as store:
        note = store.sign_checkpoint() if size is None else signed_head_at(store, size)
        text = note if since is None else bridge(store, since, note)
        if kept:
            keep_head(store, note, kept)
        loose = store.head()[0] - anchored_size(store)
        workshop, key = store.workshop, store.public_key
    if pdf is not None:
        _write_sheet(note, workshop, key.fingerprint, pdf)
    if as_json:
        return print_json({"head": note, "text": text, "not_anchored": loose})
    click.echo(text, nl=False)
    if pdf is not None:
        click.echo(text_of(words("To print and sign: {file}", file=str(pdf))), err=True)
    if loose and not kept:
        click.echo(
            text_of(
                words(
                    "{count} entries lie under no head that is known to be kept outside this log.",
                    count=loose,
                )
            ),
            err=True,
        )
    return None


def _write_sheet(note: str, workshop: str, fingerprint: str, file: Path) -> None:
    import datetime as dt

    from clampwright.bench.sheets import head_sheet, write_private
    from clampwright.report.sheet import sheet_pdf

    now = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    write_private(file, sheet_pdf(head_sheet(note, workshop, fingerprint, now)))
