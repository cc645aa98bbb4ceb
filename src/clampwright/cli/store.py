"""``clampwright store``: save a workshop, put it back, move it, make its tables anew."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, json_option, print_json, text_of

if TYPE_CHECKING:
    from clampwright.proof.checkpoint import Head
    from clampwright.words import Words

FOLDER = click.Path(path_type=Path)


@click.group(
    epilog="Example: clampwright store backup demo-workshop saved/today.zip",
    short_help="Back up, restore, move and check a workshop's log.",
)
def command() -> None:
    """Look after a workshop's log: save it, put it back, move it, make its tables anew.

    The log is one file, workshop.sqlite, in the workshop's folder, or lies in a PostgreSQL database
    that the file workshop.database there names. Its signing key is never part of a backup or an
    export.
    """


@command.command(short_help="Save a workshop into one zip, while it works.")
@click.argument("folder", type=FOLDER)
@click.argument("target", type=FOLDER)
@click.option("--keep", type=click.IntRange(1), help="Keep this many of the newest backups.")
@json_option
def backup(folder: Path, target: Path, keep: int | None, *, as_json: bool) -> None:
    """Save the workshop in FOLDER into TARGET: a zip, or a folder for dated ones.

    The zip is read back and compared before this says done. It can be read without this program.
    Others may go on writing to the workshop meanwhile. With a folder, --keep removes the oldest
    backups beyond that number; only files that this command named itself are ever removed.
    """
    from clampwright.bench.backup import PATIENCE, thin_out, write_backup, zip_in
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.words import words

    now = dt.datetime.now(dt.UTC)
    dated = target.is_dir() or not target.suffix
    with open_store(Workshop(folder), write=False, patience=PATIENCE) as store:
        made = write_backup(store, folder, zip_in(target, now) if dated else target, now=now)
    removed = thin_out(target, keep) if dated and keep else []
    if as_json:
        return print_json(
            {
                "file": str(made.file),
                "files": made.files,
                **_head(made.head),
                "removed": [str(file) for file in removed],
            }
        )
    _say(
        words(
            "{file}: saved and read back; {size} entries of the log, {files} files",
            file=str(made.file),
            size=made.head.size,
            files=made.files,
        )
    )
    for file in removed:
        _say(words("{file}: an older backup, removed", file=str(file)))
    return _say(words("The signing key is not in it: keep the key in another place."))


@command.command(short_help="Put a workshop back from a backup.")
@click.argument("backup_file", type=FOLDER)
@click.argument("folder", type=FOLDER)
@click.option(
    "--go-back", is_flag=True, help="Put it back although newer entries here would be taken away."
)
@json_option
def restore(backup_file: Path, folder: Path, *, go_back: bool, as_json: bool) -> None:
    """Put the workshop saved in BACKUP_FILE back into FOLDER.

    What is in the folder is saved first. A backup that is older than what is known here is refused
    unless you say --go-back.
    """
    from clampwright.bench.restore import restore as put_back
    from clampwright.words import words

    done = put_back(backup_file, folder, now=dt.datetime.now(dt.UTC), go_back=go_back)
    if as_json:
        return print_json(
            {
                **_head(done.head),
                "files": done.files,
                "lost": done.lost,
                "saved_before": str(done.saved_before) if done.saved_before else None,
                "key_missing": done.key_missing,
                "people_missing": done.people_missing,
            }
        )
    _say(
        words(
            "{folder}: put back; {size} entries of the log, {files} files",
            folder=str(folder),
            size=done.head.size,
            files=done.files,
        )
    )
    if done.lost:
        _say(words("{count} entries that were known here are not in it.", count=done.lost))
    if done.saved_before:
        _say(words("What was there before: {file}", file=str(done.saved_before)))
    if done.key_missing:
        _say(
            words(
                "The signing key is missing: put workshop.key back into the folder before a record "
                "is signed."
            )
        )
    if done.people_missing:
        _say(
            words(
                "Names are back; roles, passwords and PINs are in no backup: give them anew with "
                "clampwright people."
            )
        )
    return None


@command.command(short_help="Write everything as open files.")
@click.argument("folder", type=FOLDER)
@click.argument("target", type=FOLDER)
@json_option
def export(folder: Path, target: Path, *, as_json: bool) -> None:
    """Write the log of the workshop in FOLDER as open files into the empty folder TARGET.

    JSON lines with every entry, and a table of all pulls as CSV and Parquet with a description of
    its columns.
    """
    from clampwright.bench.export import export_log
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.words import words

    with open_store(Workshop(folder), write=False) as store:
        made = export_log(store, target)
    if as_json:
        return print_json({"folder": str(made.folder), "pulls": made.pulls, **_head(made.head)})
    return _say(
        words(
            "{folder}: {size} entries, {pulls} pulls",
            folder=str(made.folder),
            size=made.head.size,
            pulls=made.pulls,
        )
    )


@command.command("import", short_help="Make a workshop's log from an export.")
@click.argument("source", type=FOLDER)
@click.argument("folder", type=FOLDER)
@json_option
def import_(source: Path, folder: Path, *, as_json: bool) -> None:
    """Make the log of a new workshop in FOLDER from the export in SOURCE.

    Every entry keeps its bytes, so the root hash is the same as where it came from.
    """
    from clampwright.bench.export import import_log
    from clampwright.words import words

    head = import_log(source, folder)
    if as_json:
        return print_json({"folder": str(folder), **_head(head)})
    return _say(
        words(
            "{folder}: {size} entries taken in, root hash {root}",
            folder=str(folder),
            size=head.size,
            root=head.root.hex(),
        )
    )


@command.command(short_help="Make all tables anew from the log.")
@click.argument("folder", type=FOLDER)
@json_option
def rebuild(folder: Path, *, as_json: bool) -> None:
    """Make the store of the workshop in FOLDER anew from the log's entries.

    Nobody may be writing. Says whether anything was not as its entries say.
    """
    from clampwright.store.copying import rebuild as make_anew
    from clampwright.store.folder import folder_at
    from clampwright.words import words

    differs = make_anew(folder_at(folder, create=False))
    if as_json:
        return print_json({"folder": str(folder), "differed": differs})
    if differs:
        return _say(
            words(
                "{folder}: made anew; the table {table} was not as the entries say, and is now",
                folder=str(folder),
                table=differs,
            )
        )
    return _say(
        words("{folder}: made anew; every table was as the entries say", folder=str(folder))
    )


@command.command(short_help="Move the log into a PostgreSQL database, or back.")
@click.argument("folder", type=FOLDER)
@click.option("--to", "url", metavar="URL", help="postgresql://role@host:5432/database")
@click.option("--schema", metavar="NAME", help="Its own schema there; after the workshop's name.")
@click.option("--into-folder", is_flag=True, help="Back into FOLDER, as workshop.sqlite.")
@json_option
def move(
    folder: Path, url: str | None, schema: str | None, *, into_folder: bool, as_json: bool
) -> None:
    """Move the log of the workshop in FOLDER into a PostgreSQL database, or back into the folder.

    Every entry keeps its bytes, so the root hash stays. The copy is read back and compared before
    the folder is switched to it. Nobody may be writing. The address holds no password: that stands
    in PostgreSQL's password file (~/.pgpass).
    """
    from clampwright.bench.moving import move_to_database, move_to_folder
    from clampwright.errors import Missing
    from clampwright.words import words

    if (url is None) == (not into_folder):
        raise Missing(words("say where to: --to URL, or --into-folder"), needed="to")
    now = dt.datetime.now(dt.UTC)
    if url is None:
        done = move_to_folder(folder, now=now)
    else:
        done = move_to_database(folder, url, schema, now=now)
    if as_json:
        return print_json({"place": done.place, "left": done.left, **_head(done.head)})
    _say(
        words(
            "{folder}: moved to {place}; {size} entries, root hash {root} as before",
            folder=str(folder),
            place=done.place,
            size=done.head.size,
            root=done.head.root.hex(),
        )
    )
    return _say(
        words(
            "A copy as it was is left: {left}. Names that are erased from now on still stand in "
            "it; remove it when you trust the new place.",
            left=done.left,
        )
    )


@command.command(short_help="Check that the log is whole.")
@click.argument("folder", type=FOLDER)
@click.option("--quick", is_flag=True, help="Hashes and signed heads only.")
@json_option
def check(folder: Path, *, quick: bool, as_json: bool) -> None:
    """Hash every entry of the log in FOLDER again and compare it with its signed heads.

    Without --quick every entry is read, every column compared, and the database file itself
    checked.
    """
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.words import words

    with open_store(Workshop(folder), write=False) as store:
        count = store.verify_log() if quick else store.check()
        unsigned = count - store.signed_size()
    if as_json:
        print_json({"folder": str(folder), "entries": count, "after_last_head": unsigned})
    else:
        _say(
            words(
                "{folder}: {count} entries, all as they were written",
                folder=str(folder),
                count=count,
            )
        )
        if unsigned:
            _say(
                words(
                    "{count} entries came after the newest signed head: only the next head "
                    "shows whether the end was cut off",
                    count=unsigned,
                )
            )
    raise SystemExit(DONE)


def _head(head: Head) -> dict[str, object]:
    return {"origin": head.origin, "entries": head.size, "root": head.root.hex()}


def _say(sentence: Words) -> None:
    click.echo(text_of(sentence))
