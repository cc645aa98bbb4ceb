"""``clampwright people``: who works here, in which role, and how they sign in."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from clampwright.cli.output import json_option, print_json, read_text, text_of
from clampwright.cli.workshop_option import workshop_option
from clampwright.words import Words, words

if TYPE_CHECKING:
    from clampwright.bench.people import People
    from clampwright.store.log import Store

Command = TypeVar("Command", bound=Callable[..., Any])
FILE = click.Path(dir_okay=False, path_type=Path)
ROLES = click.Choice(["apprentice", "mechanic", "responsible", "administrator"])


def _secret_options(command: Command) -> Command:
    command = click.option(
        "--password-file", type=FILE, help="File whose first line is the password."
    )(command)
    return click.option("--pin-file", type=FILE, help="File whose first line is the PIN.")(command)


@click.group(
    epilog="Example: clampwright people add 'A. Fitter' --role mechanic",
    short_help="Who works here, and who may do what.",
)
def command() -> None:
    """Set up the people of a workshop: names, roles, passwords and PINs.

    The log holds random ids only; a name can be erased and the log stays whole. The first
    administrator is made here, at the terminal, and nowhere else. Whoever may write to the
    workshop's files is trusted here: --as (or CLAMPWRIGHT_AS) says who it is.
    """


@command.command(short_help="Add a person.")
@click.argument("name")
@click.option("--role", type=ROLES, required=True, help="What the person may do.")
@_secret_options
@workshop_option
@json_option
def add(
    name: str,
    role: str,
    *,
    password_file: Path | None,
    pin_file: Path | None,
    workshop: Path,
    as_json: bool,
) -> None:
    """Add a person of this NAME; password and PIN are asked for, or come from files.

    A password is needed to enrol a device, a PIN to sign on one. Either can be left out.
    """
    with _people(workshop, create=True) as (people, store):
        first = not store.people.any()
        password = _secret(password_file, words("Password (Enter for none)"))
        if first and role == "administrator" and password is None:
            _say(words("Without a password nobody can enrol a device or look after people."))
        pin = _secret(pin_file, words("PIN (Enter for none)"))
        person = people.add(name, role, password=password, pin=pin)
    if as_json:
        print_json({"id": person.id, "name": person.name, "role": person.role})
        return
    _say(words("{name} is here as {id}.", name=person.name or "", id=person.id))


@command.command("list", short_help="List people, devices and sessions.")
@workshop_option
@json_option
def list_(*, workshop: Path, as_json: bool) -> None:
    """List people with their roles, the devices enrolled, and who is signed in."""
    from clampwright.bench.people import overview

    with _people(workshop, write=False) as (_, store):
        found = overview(store.people)
    if as_json:
        print_json(found)
        return
    for one in found["people"]:
        _say(
            words(
                "{name}: {role}; {has}",
                name=one["name"] or text_of(words("a person, name erased")),
                role=one["role"],
                has=_has(one),
            )
        )
    for device in found["devices"]:
        ended = words("ended") if device["ended"] else words("enrolled {day}", day=device["day"])
        _say(
            words(
                "Device {name} ({id}): {state}", name=device["name"], id=device["id"], state=ended
            )
        )
    for one in found["sessions"]:
        _say(words("Signed in: {name}, since {since}", name=one["name"], since=one["started"]))
    if not found["people"]:
        _say(words("Nobody is set up yet."))


def _has(one: dict[str, Any]) -> Words:
    if one["password"] and one["pin"]:
        return words("password and PIN")
    if one["password"]:
        return words("password, no PIN")
    return words("PIN, no password") if one["pin"] else words("neither password nor PIN")


@command.command(short_help="Give a person another role.")
@click.argument("name")
@click.argument("new_role", type=ROLES, metavar="ROLE")
@workshop_option
def role(name: str, new_role: str, *, workshop: Path) -> None:
    """Give the person of this NAME another ROLE; open sessions have it at once."""
    with _people(workshop) as (people, _store):
        person = people.set_role(name, new_role)
    _say(words("{name} is {role} now.", name=person.name or "", role=person.role))


@command.command(short_help="Give a person a PIN.")
@click.argument("name")
@click.option("--pin-file", type=FILE, help="File whose first line is the PIN.")
@workshop_option
def pin(name: str, *, pin_file: Path | None, workshop: Path) -> None:
    """Give the person of this NAME a new PIN; a lockout of the PIN ends with it."""
    with _people(workshop) as (people, _store):
        person = people.find(name)
        people.set_pin(person.id, _secret(pin_file, words("New PIN")) or "")
    _say(words("{name} has a new PIN.", name=person.name or ""))


@command.command(short_help="Give a person a password.")
@click.argument("name")
@click.option("--password-file", type=FILE, help="File whose first line is the password.")
@workshop_option
def password(name: str, *, password_file: Path | None, workshop: Path) -> None:
    """Give the person of this NAME a new password; all sessions of the person end."""
    with _people(workshop) as (people, _store):
        person = people.find(name)
        people.set_password(person.id, _secret(password_file, words("New password")) or "")
    _say(words("{name} has a new password; all sessions were ended.", name=person.name or ""))


@command.command(short_help="Erase a person's name, password and PIN.")
@click.argument("name")
@click.option("--yes", is_flag=True, help="Do not ask.")
@workshop_option
def erase(name: str, *, yes: bool, workshop: Path) -> None:
    """Erase what is known of the person of this NAME; the log keeps the random id and stays whole.

    Backups made before still hold the name: delete them, or keep them where nobody looks.
    """
    if not yes:
        question = words("Erase {name}? This cannot be undone", name=name)
        click.confirm(text_of(question), abort=True)
    with _people(workshop) as (people, _store):
        person = people.erase(name)
    _say(words("Erased. In the log this person is {id}.", id=person))


@command.command("end-sessions", short_help="Sign a person out everywhere.")
@click.argument("name")
@workshop_option
def end_sessions(name: str, *, workshop: Path) -> None:
    """End every session of the person of this NAME."""
    with _people(workshop) as (people, _store):
        ended = people.end_sessions(name)
    _say(words("{count} sessions were ended.", count=ended))


@command.command("end-device", short_help="Take a device's enrolment away.")
@click.argument("device")
@workshop_option
def end_device(device: str, *, workshop: Path) -> None:
    """End the enrolment of DEVICE (its id, see list): a PIN is not enough there any more."""
    with _people(workshop) as (people, _store):
        people.end_device(device)
    _say(words("The device is enrolled no more; its sessions were ended."))


@contextmanager
def _people(
    workshop: Path, *, create: bool = False, write: bool = True
) -> Iterator[tuple[People, Store]]:
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.people import People

    with open_store(Workshop(workshop), create=create, write=write) as store:
        yield People(store, workshop), store


def _secret(file: Path | None, question: Words) -> str | None:
    """Return a secret: from a file, or asked for twice; nothing means none."""
    if file is not None:
        return (read_text(str(file)).splitlines() or [""])[0] or None
    if not sys.stdin.isatty():
        return None
    asked: str = click.prompt(
        text_of(question),
        hide_input=True,
        confirmation_prompt=True,
        default="",
        show_default=False,
    )
    return asked or None


def _say(sentence: Words) -> None:
    click.echo(text_of(sentence))
