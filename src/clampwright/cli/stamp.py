"""``clampwright stamp``: an outside authority's time stamp over a head of the log."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, read_file, text_of
from clampwright.cli.phrase import pass_phrase, phrase_option

if TYPE_CHECKING:
    from clampwright.proof.timestamp import TimeStamp

FOLDER = click.Path(file_okay=False, path_type=Path)
FILE = click.Path(dir_okay=False, path_type=Path)


@click.group(
    epilog="Example: clampwright stamp request demo-workshop ask.tsq",
    short_help="Have a head time-stamped by an authority outside (RFC 3161).",
)
def command() -> None:
    """Have a head time-stamped by an authority outside (RFC 3161), and keep its answer.

    A time stamp shows that the entries under a head were on the log by that time. It does not show
    that they are true, and nothing here needs one. Only `fetch` sends anything, and only a hash.
    """


@command.command(short_help="Write a request to a file; nothing is sent.")
@click.argument("folder", type=FOLDER)
@click.argument("out", type=FILE)
@phrase_option
def request(folder: Path, out: Path, phrase_file: Path | None) -> None:
    """Write a request about the present head of the log in FOLDER to the file OUT.

    Carry it to an authority by any way, and bring the answer back with `clampwright stamp keep`.
    """
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.errors import Refused
    from clampwright.proof.timestamp import stamp_request
    from clampwright.words import words

    with open_store(Workshop(folder), pass_phrase=pass_phrase(folder, phrase_file)) as store:
        asked = stamp_request(store.sign_checkpoint())
        size = store.head()[0]
    try:
        with out.open("xb") as file:
            file.write(asked.data)
    except FileExistsError:
        raise Refused(
            words("{file} is there already; the answer to it may still come", file=str(out))
        ) from None
    click.echo(
        text_of(
            words(
                "Request about the head over {size} entries: {file}. Keep it until the answer is "
                "here.",
                size=size,
                file=str(out),
            )
        )
    )


@command.command(short_help="Take in an authority's answer.")
@click.argument("folder", type=FOLDER)
@click.argument("answer")
@click.option("--request", "asked", type=FILE, required=True, help="The request it answers.")
@click.option("--chain", required=True, help="Certificates you trust it by (PEM).")
@json_option
def keep(folder: Path, answer: str, asked: Path, chain: str, *, as_json: bool) -> None:
    """Verify the authority's answer in the file ANSWER and keep it beside the log in FOLDER."""
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.stamping import keep_stamp, read_request_file

    place, wanted = Workshop(folder), read_request_file(asked)
    with open_store(place) as store:
        data, trusted = read_file(answer), read_file(chain)
        found = keep_stamp(place, store, data, trusted, request=wanted, name=answer)
    _kept(found, as_json=as_json)


@command.command(short_help="Ask the authority named in outside.toml, over the network.")
@click.argument("folder", type=FOLDER)
@phrase_option
@json_option
def fetch(folder: Path, phrase_file: Path | None, *, as_json: bool) -> None:
    """Send a request about the present head of the log in FOLDER, and keep the answer.

    The address and the certificates stand in [time_stamp] of outside.toml in the folder. What is
    sent is a hash and a random number.
    """
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.stamping import fetch_stamp

    place = Workshop(folder)
    with open_store(place, pass_phrase=pass_phrase(folder, phrase_file)) as store:
        found = fetch_stamp(place, store)
    _kept(found, as_json=as_json)


@command.command(short_help="Write the newest time stamp as plain files, for others.")
@click.argument("folder", type=FOLDER)
@click.argument("out", type=FOLDER)
@json_option
def out(folder: Path, out: Path, *, as_json: bool) -> None:
    """Write the newest time stamp of FOLDER into the folder OUT: head, answer and certificates.

    Anybody can check them without this program: openssl ts -verify.
    """
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.stamping import hand_out

    place = Workshop(folder)
    with open_store(place, write=False) as store:
        newest, files = hand_out(place, store, out)
    if as_json:
        names = [str(one) for one in files]
        return print_json({"files": names, "size": newest.size, "time": newest.time})
    for one in files:
        click.echo(str(one))
    return None


@command.command(short_help="Show what an answer says, and whether it holds.")
@click.argument("answer")
@click.option("--chain", multiple=True, help="Certificates you trust it by (PEM).")
@json_option
def show(answer: str, chain: tuple[str, ...], *, as_json: bool) -> None:
    """Show what the authority's answer in the file ANSWER says; with --chain, whether it holds."""
    from clampwright.proof.timestamp import read_chain, read_stamp, stamp_problem

    found = read_stamp(read_file(answer), answer)
    trusted = [one for name in chain for one in read_chain(read_file(name), name)]
    problem = stamp_problem(found, trusted) if trusted else None
    if as_json:
        holds = None if not trusted else problem is None
        print_json({**_as_json(found), "holds": holds, "problem": problem and str(problem)})
    else:
        _show(found)
        if problem is not None:
            click.echo(text_of(problem))
    raise SystemExit(DONE if problem is None else FINDING)


def _kept(found: TimeStamp, *, as_json: bool) -> None:
    from clampwright.words import words

    if as_json:
        print_json(_as_json(found))
        return
    _show(found)
    click.echo(text_of(words("Kept beside the log. It proves that the head existed by then.")))


def _as_json(found: TimeStamp) -> dict[str, object]:
    return {
        "time": found.time.isoformat(),
        "accuracy_seconds": found.accuracy_seconds,
        "authority": found.signer,
        "policy": found.policy,
        "serial": found.serial,
        "imprint": found.imprint.hex(),
    }


def _show(found: TimeStamp) -> None:
    from clampwright.words import words

    accuracy = found.accuracy_seconds
    told = words(
        "Time stamp of {authority}: {time}", authority=found.signer or "?",
        time=found.time.isoformat(),
    )  # fmt: skip
    click.echo(text_of(told))
    if accuracy is not None:
        click.echo(text_of(words("  its clock: within {seconds} s", seconds=f"{accuracy:g}")))
    click.echo(text_of(words("  over SHA-256 {imprint}", imprint=found.imprint.hex())))
