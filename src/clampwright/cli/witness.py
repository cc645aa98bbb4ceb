"""``clampwright witness``: sign heads of other workshops' logs, and have one's own signed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, read_text, text_of
from clampwright.cli.phrase import pass_phrase, phrase_option

if TYPE_CHECKING:
    from clampwright.words import Words

FOLDER = click.Path(file_okay=False, path_type=Path)


@click.group(
    epilog="Example: clampwright witness make my-witness neighbour-yard",
    short_help="Countersign heads of other logs, or have your own signed.",
)
def command() -> None:
    """Be a witness for other workshops' logs, or keep what a witness signed.

    A witness sees heads only: a name, a number and a hash, never what stands in the log. It signs a
    head when the log grew from the one it signed last, without a change.
    """


@command.command(short_help="Make a witness with a key of its own.")
@click.argument("folder", type=FOLDER)
@click.argument("name")
def make(folder: Path, name: str) -> None:
    """Make a witness in FOLDER that signs as NAME; prints the line others verify with."""
    from clampwright.bench.anchoring import Witness

    click.echo(Witness.make(folder, name).line)


@command.command(short_help="Let a witness know a log.")
@click.argument("folder", type=FOLDER)
@click.argument("line")
def introduce(folder: Path, line: str) -> None:
    """Let the witness in FOLDER know a log by its key LINE (from `clampwright key show`)."""
    from clampwright.bench.anchoring import Witness
    from clampwright.words import words

    known = Witness(folder).introduce(line)
    _say(words("{origin} is known here now", origin=known.origin))


@command.command(short_help="Countersign a head.")
@click.argument("folder", type=FOLDER)
@click.argument("request")
def sign(folder: Path, request: str) -> None:
    """Countersign the head in the file REQUEST (- is standard input) as the witness in FOLDER.

    The request is what `clampwright head WORKSHOP --since N` writes, N being the number of entries
    this witness has seen. Prints the signature line.
    """
    from clampwright.bench.anchoring import Witness

    click.echo(Witness(folder).sign(read_text(request)), nl=False)


@command.command(short_help="Keep a head that a witness has signed.")
@click.argument("folder", type=FOLDER)
@click.argument("line")
@click.option("--size", type=click.IntRange(1), help="Over which head; the newest if not given.")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write it there too.")
def keep(folder: Path, line: str, size: int | None, out: Path | None) -> None:
    """Keep the witness's signature in the file LINE (- is standard input) in the log of FOLDER."""
    from clampwright.bench.anchoring import keep_head, signed_head_at, with_countersignature
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.proof.witness import read_note
    from clampwright.words import words

    with open_store(Workshop(folder)) as store:
        note = signed_head_at(store, store.signed_size() if size is None else size)
        note = with_countersignature(note, read_text(line))
        witness = read_note(note).witnesses[-1].name
        keep_head(store, note, witness)
    if out is not None:
        out.write_text(note, "utf-8")
    _say(words("Kept: a head countersigned by {witness}", witness=witness))


@command.command(short_help="Ask the witnesses named in outside.toml, over the network.")
@click.argument("folder", type=FOLDER)
@phrase_option
@json_option
def ask(folder: Path, phrase_file: Path | None, *, as_json: bool) -> None:
    """Send the present head of the log in FOLDER to its witnesses, and keep their lines.

    Their addresses and keys stand in [[witness]] of outside.toml in the folder. What is sent is the
    log's name, its length and hashes.
    """
    from clampwright.bench.asking import ask_witnesses
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.words import words

    place = Workshop(folder)
    with open_store(place, pass_phrase=pass_phrase(folder, phrase_file)) as store:
        found = ask_witnesses(place, store)
    if as_json:
        told = [
            {"witness": one.witness, "size": one.size, "problem": one.problem and str(one.problem)}
            for one in found
        ]
        print_json({"asked": told})
    else:
        for one in found:
            kept = words("Kept: a head countersigned by {witness}", witness=one.witness)
            _say(one.problem or kept)
    raise SystemExit(FINDING if any(one.problem for one in found) else DONE)


def _say(sentence: Words) -> None:
    click.echo(text_of(sentence))
