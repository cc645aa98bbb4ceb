"""``clampwright key``: the workshop's signing key, looked after."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import json_option, print_json, read_text, text_of
from clampwright.cli.phrase import new_phrase, pass_phrase, phrase_option

if TYPE_CHECKING:
    from clampwright.proof.keys import SigningKey
    from clampwright.words import Words

FOLDER = click.Path(file_okay=False, path_type=Path)
FILE = click.Path(dir_okay=False, path_type=Path)


def _new_phrase_option(command: Any) -> Any:
    return click.option(
        "--new-pass-phrase-file", "new_file", type=FILE, help="File whose first line locks the key."
    )(command)


@click.group(
    epilog="Example: clampwright key show demo-workshop",
    short_help="Look after a workshop's signing key.",
)
def command() -> None:
    """Look after the signing key of a workshop: show it, lock it, put it on paper, change it.

    The key signs the heads of the log, and with them every record. Who has it can sign in the
    workshop's name; without it nothing more can be signed.
    """


@command.command(short_help="Show whose key signs, and since when.")
@click.argument("folder", type=FOLDER)
@json_option
def show(folder: Path, *, as_json: bool) -> None:
    """Show the fingerprint of the key that signs for the workshop in FOLDER, and earlier ones."""
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.store.keyfile import is_locked
    from clampwright.words import words

    with open_store(Workshop(folder), write=False) as store:
        chain, origin, there = store.keys(), store.origin, store.folder.key.is_file()
        locked = is_locked(store.folder.key)
    if as_json:
        return print_json(
            {
                "origin": origin,
                "fingerprint": chain.current.fingerprint,
                "line": chain.current.line(origin),
                "file": "missing" if not there else "locked" if locked else "open",
                "changes": [
                    {
                        "place": one.size,
                        "reason": one.reason,
                        "old": one.old.fingerprint,
                        "new": one.new.fingerprint,
                        "signed_by_old": one.vouched,
                    }
                    for one in chain.changes
                ],
            }
        )
    _say(words("Fingerprint: {key}", key=chain.current.fingerprint))
    _say(words("To hand on: {line}", line=chain.current.line(origin)))
    for one in chain.changes:
        _say(
            words(
                "Since place {place} of the log ({reason}); before: {old}",
                place=one.size,
                reason=_reasons()[one.reason],
                old=one.old.fingerprint,
            )
        )
    if not there:
        return _say(words("The key file is missing: nothing can be signed."))
    return _say(
        words("The key file is locked with a pass phrase.")
        if locked
        else words(
            "The key file has no pass phrase: only its permissions protect it (key lock sets one)."
        )
    )


@command.command(short_help="Lock the key with a pass phrase, or change it.")
@click.argument("folder", type=FOLDER)
@phrase_option
@_new_phrase_option
def lock(folder: Path, phrase_file: Path | None, new_file: Path | None) -> None:
    """Lock the key of the workshop in FOLDER with a new pass phrase; an empty one unlocks it."""
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.store.keyfile import replace_key, sync_folder
    from clampwright.words import words

    with open_store(Workshop(folder)) as store:
        key = store.signing_key(pass_phrase(folder, phrase_file))
        phrase = new_phrase(new_file)
        replace_key(store.folder.next_key, key, phrase)
        store.folder.next_key.replace(store.folder.key)
        sync_folder(folder)
    _say(
        words("The key is locked; without the pass phrase nothing can be signed.")
        if phrase
        else words("The key has no pass phrase now.")
    )


@command.command(short_help="Write the recovery sheet of the key.")
@click.argument("folder", type=FOLDER)
@click.option("--pdf", type=FILE, help="Write it as a page to print, in place of the terminal.")
@phrase_option
def sheet(folder: Path, pdf: Path | None, phrase_file: Path | None) -> None:
    """Write the key of the workshop in FOLDER as rows of letters, to keep on paper.

    Whoever reads the sheet can sign in the workshop's name: lock it away, in another place than the
    workshop.
    """
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.proof.sheet import rows_of
    from clampwright.words import words

    with open_store(Workshop(folder), write=False) as store:
        key = store.signing_key(pass_phrase(folder, phrase_file))
        workshop, origin = store.workshop, store.origin
    if pdf is not None:
        from clampwright.bench.sheets import write_recovery_sheet

        write_recovery_sheet(key, workshop, origin, pdf)
        return _say(words("{file}: print it, lock it away, and remove the file", file=str(pdf)))
    _say(words("Recovery sheet of the signing key of {workshop}", workshop=workshop))
    for number, row in enumerate(rows_of(key), 1):
        click.echo(f"  {number}  {row}")
    _say(words("Fingerprint: {key}", key=key.public.fingerprint))
    return _say(
        words("Whoever reads this can sign in the workshop's name. Keep it locked away, elsewhere.")
    )


@command.command("from-sheet", short_help="Make the key file again from its recovery sheet.")
@click.argument("folder", type=FOLDER)
@click.option("--rows", "rows_file", help="File with the eight rows; - is standard input.")
@_new_phrase_option
def from_sheet(folder: Path, rows_file: str | None, new_file: Path | None) -> None:
    """Make the key file of the workshop in FOLDER again from the rows of its recovery sheet."""
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.proof.sheet import ROWS, key_from_rows
    from clampwright.store.keyfile import check_own, write_key
    from clampwright.words import words

    if rows_file is not None:
        text = read_text(rows_file)
    elif sys.stdin.isatty():
        text = "\n".join(click.prompt(f"{number}") for number in range(1, ROWS + 1))
    else:
        text = sys.stdin.read(10_000)
    key = key_from_rows(text)
    with open_store(Workshop(folder)) as store:
        check_own(key, store.public_key, store.workshop)
        write_key(store.folder.key, key, new_phrase(new_file))
    _say(words("The key is back: {key}", key=key.public.fingerprint))


@command.command(short_help="Change the key; old and new one sign the change.")
@click.argument("folder", type=FOLDER)
@click.option("--lost", is_flag=True, help="The old key is gone: the change goes without it.")
@click.option(
    "--stolen", is_flag=True, help="Somebody else has the old key; it signs the change if it can."
)
@phrase_option
@_new_phrase_option
@json_option
def change(
    *,
    folder: Path,
    lost: bool,
    stolen: bool,
    phrase_file: Path | None,
    new_file: Path | None,
    as_json: bool,
) -> None:
    """Make a new signing key for the workshop in FOLDER and put the change on the log.

    The old key signs the change too. After a loss it cannot; then verifying a record says that only
    a head handed out before shows that it is still the same workshop.
    """
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.errors import Refused
    from clampwright.proof.keychain import Reason
    from clampwright.proof.keys import SigningKey
    from clampwright.words import words

    if lost and stolen:
        raise Refused(words("say --lost or --stolen, not both"))
    reason: Reason = "lost" if lost else "stolen" if stolen else "planned"
    with open_store(Workshop(folder)) as store:
        old = None if lost else _old_key(store, folder, phrase_file, stolen=stolen)
        new = SigningKey.new()
        note = store.change_key(new, reason, old=old, pass_phrase=new_phrase(new_file))
    if as_json:
        return print_json({"fingerprint": new.public.fingerprint, "reason": reason, "head": note})
    _say(words("The key was changed. Its fingerprint is now {key}", key=new.public.fingerprint))
    if old is None:
        _say(
            words(
                "The old key did not sign. Tell those who hold records the new fingerprint "
                "yourself, and keep a head that was handed out before."
            )
        )
    if stolen:
        _say(
            words(
                "Whoever has the old key can still sign under it. Tell those who hold records from "
                "when on it is not to be trusted; heads they were given before stay good."
            )
        )
    return _say(words("Write a new recovery sheet, and destroy the old one."))


def _old_key(
    store: Any, folder: Path, phrase_file: Path | None, *, stolen: bool
) -> SigningKey | None:
    """Read the old key; a stolen one may be gone."""
    if stolen and not store.folder.key.is_file():
        return None
    key: SigningKey = store.signing_key(pass_phrase(folder, phrase_file))
    return key


def _say(sentence: Words) -> None:
    click.echo(text_of(sentence))


def _reasons() -> dict[str, Words]:
    from clampwright.words import words

    return {
        "planned": words("planned"),
        "lost": words("the old key was lost"),
        "stolen": words("the old key was stolen"),
    }
