"""``clampwright entries unsigned``: what waits to be signed, and whose hand nobody knows."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.bench.names import Names
    from clampwright.bench.session import Session
    from clampwright.store.log import Store
    from clampwright.store.writing import Actor
    from clampwright.work.unsigned import Unsigned


@click.command(
    epilog="Example: clampwright entries unsigned trailer-wheel --workshop demo-workshop"
)
@click.argument("job", required=False)
@click.option("--sign", default="", metavar="ID", help="Sign this one; asks for the password.")
@click.option("--refuse", default="", metavar="ID", help="It is not to count; with --reason.")
@click.option("--whose", default="", metavar="ID", help="Say whose hand it was; with --person.")
@click.option("--person", default="", metavar="NAME", help="Somebody who works here.")
@click.option("--reason", default="", metavar="TEXT", help="Why; it stands in the record.")
@workshop_option
@json_option
def command(
    *,
    job: str | None,
    sign: str,
    refuse: str,
    whose: str,
    person: str,
    reason: str,
    workshop: Path,
    as_json: bool,
) -> None:
    """List what waits to be signed in JOB or in all jobs, and entries whose hand nobody knows.

    Only with JOB something is signed, refused or named. Exit status 1: something still waits.
    """
    from clampwright.bench.names import Names
    from clampwright.store.log import Store

    if job is not None and sign:
        _sign(workshop, job, sign)
    elif job is not None and (refuse or whose):
        _settle(workshop, job, refuse=refuse, whose=(whose, person), reason=reason)
    elif sign or refuse or whose:
        raise click.UsageError("say which job it belongs to")
    with Store.open(workshop, write=False) as store:
        jobs = [job] if job is not None else _jobs(store.entries())
        rows = [row for one in jobs for row in _rows(store, one, Names(workshop))]
    if as_json:
        print_json({"waiting": rows})
    for row in [] if as_json else rows:
        click.echo(f"{row['job']}  {row['id']}  {row['told']}")
    sys.exit(1 if rows else 0)


def _jobs(entries: Any) -> list[str]:
    return list(dict.fromkeys(one["job"] for one in entries if one["kind"] == "job_opened"))


def _rows(store: Store, job: str, names: Names) -> list[dict[str, str]]:
    from clampwright.work.fold import fold
    from clampwright.work.hands import nobodys, nobodys_words
    from clampwright.work.unsigned import told, waiting

    state = fold(store.entries(job=job))
    known = names.all() if state.unsigned else {}
    unsigned = [
        {"job": job, "id": one.sent_as, "entry": one.entry, "told": text_of(told(one, known))}
        for one in waiting(state.unsigned)
    ]
    return unsigned + [
        {"job": job, "id": one["id"], "entry": one["id"], "told": text_of(nobodys_words(one))}
        for one in nobodys(state.log)
    ]


def _sign(workshop: Path, job: str, which: str) -> None:
    from clampwright.bench.folder import Workshop
    from clampwright.bench.session import Session
    from clampwright.store.log import Store
    from clampwright.web.carried import sign_held

    with Store.open(workshop) as store:
        hand = _proved(store)
        held = _held(Session(store, job, Workshop(workshop).papers), which)
    sign_held(workshop, job, held, hand)


def _proved(store: Store) -> Actor:
    """Return who is named at the terminal, after the password (or the PIN) was given."""
    from dataclasses import replace

    from clampwright.bench.acting import sign_for
    from clampwright.bench.passwords import Hashing
    from clampwright.bench.sign_in import prove
    from clampwright.errors import Missing
    from clampwright.words import words

    sign_for(store)
    hand = store.actor
    person = store.people.get(hand.person) if hand else None
    if hand is None or person is None or not (person.password or person.pin):
        raise Missing(
            words("say who signs: --as NAME, before the command; with a password or a PIN"),
            needed="person",
        )
    how = "password" if person.password else "pin"
    asked = words("Password of {name}", name=person.name or person.id)
    if how == "pin":
        asked = words("PIN of {name}", name=person.name or person.id)
    secret = click.prompt(text_of(asked), hide_input=True)
    prove(store, Hashing(), person.id, secret, place="terminal")
    return replace(hand, signed=how)


def _held(session: Session, which: str) -> Unsigned:
    from clampwright.errors import Missing
    from clampwright.words import words

    for one in session.state.unsigned:
        if one.open and which in {one.sent_as, one.entry}:
            return one
    raise Missing(words("nothing waits to be signed as {id} in this job", id=which), needed="entry")


def _settle(workshop: Path, job: str, *, refuse: str, whose: tuple[str, str], reason: str) -> None:
    from clampwright.bench.folder import Workshop
    from clampwright.bench.session import Session
    from clampwright.bench.unsigned import name_hand, refuse_unsigned
    from clampwright.store.log import Store

    with Store.open(workshop) as store:
        session = Session(store, job, Workshop(workshop).papers)
        if refuse:
            refuse_unsigned(session, _held(session, refuse).entry, reason)
        if whose[0]:
            name_hand(session, *whose, reason)
