"""``clampwright hand``: a job, a procedure or a tool to and from another workshop."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.phrase import pass_phrase, phrase_option
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.proof.handover import Handover, What
    from clampwright.words import Words

FILE = click.Path(dir_okay=False, path_type=Path)


@click.group(
    epilog="Example: clampwright hand over tool click-60 --workshop demo-workshop --out click.json",
    short_help="Hand a job, a procedure or a tool to another workshop, or take one in.",
)
def command() -> None:
    """Hand a job, a procedure or a tool to another workshop as one signed file, or take one in.

    What is taken in keeps its origin: which workshop, whose key, which entries of its log. Nothing
    is merged, and nothing is taken in twice.
    """


@command.command(short_help="Write it as one signed file.")
@click.argument("what", type=click.Choice(["job", "procedure", "tool"]))
@click.argument("name")
@click.option("--out", type=FILE, required=True, help="Where to write the file.")
@workshop_option
@phrase_option
@json_option
def over(
    what: str, name: str, *, out: Path, workshop: Path, phrase_file: Path | None, as_json: bool
) -> None:
    """Write the job, procedure or tool NAME (its id) as one signed file.

    The log says that it was handed over. The tool stays in the drawer file here: take it out when
    it has left.
    """
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.handing import hand_over
    from clampwright.errors import Refused
    from clampwright.words import words

    if out.exists():
        raise Refused(words("{file} is there already", file=str(out)))
    place = Workshop(workshop)
    with open_store(place, pass_phrase=pass_phrase(workshop, phrase_file)) as store:
        data = hand_over(place, store, cast("What", what), name)
    try:
        out.write_bytes(data)
    except OSError as error:
        raise Refused(
            words("{file} cannot be written: {problem}", file=str(out), problem=str(error.strerror))
        ) from error
    if as_json:
        return print_json({"file": str(out), "what": what, "name": name, "bytes": len(data)})
    _say(words("Handed over as one signed file: {file}", file=str(out)))
    return None


@command.command(short_help="Show what a file holds and where it comes from.")
@click.argument("file", type=FILE)
@click.option("--key", help="The workshop key you expect.")
@json_option
def show(file: Path, key: str | None, *, as_json: bool) -> None:
    """Check the handover in FILE, offline, and show what it holds and where it comes from."""
    given = _read(file, key)
    if as_json:
        print_json(_as_json(given))
        return
    for line in _lines(given):
        _say(line)


@command.command(short_help="Take it in.")
@click.argument("file", type=FILE)
@click.option("--by", required=True, metavar="NAME", help="Who takes it in.")
@click.option("--as", "name", metavar="ID", help="Id it is to have here.")
@click.option("--file-only", is_flag=True, help="Keep the file and its origin, set up nothing.")
@click.option("--key", help="The workshop key you expect.")
@workshop_option
@json_option
def take(
    file: Path,
    *,
    by: str,
    name: str | None,
    file_only: bool,
    key: str | None,
    workshop: Path,
    as_json: bool,
) -> None:
    """Take in the handover in FILE.

    Where its id is in use here, say under which other one (--as), or keep only the file
    (--file-only): nothing is merged.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, open_store, read_bytes
    from clampwright.bench.taking import prospect, take_in
    from clampwright.words import words

    given, place = _read(file, key), Workshop(workshop)
    with open_store(place, create=True) as store:
        notes = prospect(place, store, given, name=name, file_only=file_only).notes
        taken = take_in(
            place,
            store,
            given,
            read_bytes(file),
            by,
            name=name,
            file_only=file_only,
            today=today(),
        )
    if as_json:
        print_json({**_as_json(given), "as": taken.body["as"], "notes": [str(n) for n in notes]})
        return
    for line in _lines(given):
        _say(line)
    here = words("Taken in here as {name}", name=taken.body["as"])
    _say(here if taken.body["as"] else words("The file is kept; nothing was set up"))
    for note in notes:
        _say(note)


@command.command("list", short_help="List what came from other workshops.")
@workshop_option
@json_option
def listed(*, workshop: Path, as_json: bool) -> None:
    """List what came from other workshops, with its origin."""
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.taking import taken_in
    from clampwright.words import words

    with open_store(Workshop(workshop), write=False) as store:
        found = taken_in(store)
    if as_json:
        print_json({"taken_in": [{**one.body, "recorded": one.recorded} for one in found]})
        return
    for one in found:
        _say(
            words(
                "{date}  {what} {name} ({title}) from {workshop}, log {origin}",
                date=one.recorded[:10],
                what=one.body["what"],
                name=one.body["as"] or "-",
                title=one.body["title"],
                workshop=one.body["workshop"],
                origin=one.body["origin"],
            )
        )


def _read(file: Path, key: str | None) -> Handover:
    from clampwright.bench.folder import read_bytes
    from clampwright.proof.handover import read_handover

    return read_handover(read_bytes(file), str(file), key)


def _lines(given: Handover) -> list[Words]:
    from clampwright.words import words

    return [
        words("{what} {name}: {title}", what=given.what, name=given.name, title=given.title),
        words("From: {workshop}, {date}", workshop=given.workshop, date=given.made),
        words("Log: {origin}, {size} entries", origin=given.head.origin, size=given.head.size),
        words("Key: {key}", key=given.key.fingerprint),
        words(
            "{entries} entries, each shown to lie in that log, and {files} files",
            entries=len(given.entries),
            files=len(given.files),
        ),
        words(
            "Compare the key with the one that workshop gave you by another way: anybody can sign "
            "with a key of their own."
        ),
    ]


def _as_json(given: Handover) -> dict[str, object]:
    return {
        "what": given.what,
        "name": given.name,
        "title": given.title,
        "workshop": given.workshop,
        "made": given.made,
        "origin": given.head.origin,
        "size": given.head.size,
        "key": given.key.fingerprint,
        "entries": [
            {"id": one.entry["id"], "kind": one.entry["kind"], "index": one.index, "leaf": one.leaf}
            for one in given.entries
        ],
        "files": list(given.files),
    }


def _say(sentence: Words) -> None:
    click.echo(text_of(sentence))
