"""``clampwright tell``: tell another program what happens; off until a person turns it on."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option
from clampwright.words import words


@click.group(
    epilog="Example: clampwright tell on https://board.example/hook --about job_closed",
    short_help="Let another program be told what happens.",
)
def command() -> None:
    """Send signed messages to another program when something happens. Off until turned on.

    Nothing leaves this machine before `tell on`. While the pages are served messages go out by
    themselves; without a server `tell send` sends what waits.
    """


@command.command(short_help="Turn a receiver on.")
@click.argument("address")
@click.option("--name", default="receiver", show_default=True, help="What it is called here.")
@click.option("--about", multiple=True, help="What is told; can be given several times.")
@click.option("--inside", is_flag=True, help="It is inside the house (private address, or http).")
@workshop_option
@json_option
def on(
    address: str, name: str, *, about: tuple[str, ...], inside: bool, workshop: Path, as_json: bool
) -> None:
    """Turn on a receiver at ADDRESS; its secret is shown this once.

    Without --about it says what can be told. The log keeps who turned it on and its host, not the
    address and not the secret.
    """
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.telling import begin_telling

    with open_store(Workshop(workshop), create=True) as store:
        begun = begin_telling(store, workshop, name=name, url=address, about=about, inside=inside)
    if as_json:
        told = {"receiver": begun.receiver.id, "name": name, "secret": begun.secret}
        print_json({**told, "about": list(begun.receiver.about)})
        return
    click.echo(text_of(words("{name} is told: {about}", name=name,
                             about=", ".join(begun.receiver.about))))  # fmt: skip
    click.echo(text_of(words("Key id: {id}", id=begun.receiver.id)))
    click.echo(text_of(words("Secret, shown this once: {secret}", secret=begun.secret)))


@command.command(short_help="Turn a receiver off.")
@click.argument("receiver")
@workshop_option
def off(receiver: str, *, workshop: Path) -> None:
    """Turn RECEIVER (name or id) off; what waits for it is dropped."""
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.telling import end_telling

    with open_store(Workshop(workshop)) as store:
        gone = end_telling(store, workshop, receiver)
    click.echo(text_of(words("{name} is told nothing any more", name=gone.name)))


@command.command("list", short_help="Show receivers, what waits, and what was given up.")
@workshop_option
@json_option
def list_(*, workshop: Path, as_json: bool) -> None:
    """Show receivers, what waits for them, and letters that were given up.

    Exit status 1 when letters were given up.
    """
    from clampwright.bench.outbox import read_outbox
    from clampwright.bench.telling import shown

    receivers = [shown(one) for one in read_outbox(workshop).receivers]
    if as_json:
        print_json({"receivers": receivers})
    elif not receivers:
        click.echo(text_of(words("Nobody outside is told anything.")))
    else:
        for one in receivers:
            told = words(
                "{name} ({place}): {delivered} delivered, {waiting} waiting, {dead} given up",
                name=one["name"],
                place=one["place"],
                delivered=one["delivered"],
                waiting=len(one["waiting"]),
                dead=len(one["dead"]),
            )
            click.echo(text_of(told))
            for letter in (*one["waiting"], *one["dead"]):
                if letter["problem"]:
                    click.echo(f"  {letter['id']} {letter['about']}: {letter['problem']}")
    if any(one["dead"] for one in receivers):
        raise SystemExit(FINDING)


@command.command(short_help="Send what waits, now.")
@click.option("--all", "now_all", is_flag=True, help="Also what is to be tried again later.")
@workshop_option
def send(*, now_all: bool, workshop: Path) -> None:
    """Look through the log and send what waits, once. Exit status 1 when something failed."""
    import datetime as dt

    from clampwright.bench.telling import tell

    tried = tell(workshop, lambda: dt.datetime.now(dt.UTC), now_all=now_all)
    for one in tried:
        if one.problem is None:
            told = words("{name}: {about} delivered", name=one.receiver, about=one.letter.about)
        else:
            told = words("{name}: {about} not taken: {why}", name=one.receiver,
                         about=one.letter.about, why=one.problem)  # fmt: skip
        click.echo(text_of(told))
    if not tried:
        click.echo(text_of(words("Nothing is to be sent now.")))
    if any(one.problem is not None for one in tried):
        raise SystemExit(FINDING)


@command.command(short_help="Send again what was given up.")
@click.argument("receiver")
@click.argument("letter", default="")
@workshop_option
def again(receiver: str, letter: str, *, workshop: Path) -> None:
    """Let letters of RECEIVER that were given up wait once more; LETTER (its id), or all."""
    from clampwright.bench.telling import allowed, send_again

    allowed(workshop)
    count = send_again(workshop, receiver, letter)
    click.echo(text_of(words("{count} letters wait again", count=count)))


@command.command("try", short_help="Send a trial message.")
@click.argument("receiver")
@workshop_option
def try_(receiver: str, *, workshop: Path) -> None:
    """Let a trial message wait for RECEIVER, and send what waits. Exit status 1 when it failed."""
    import datetime as dt

    from clampwright.bench.telling import allowed, send_trial, tell

    now = dt.datetime.now(dt.UTC)
    name = send_trial(workshop, receiver, allowed(workshop), now)
    tried = tell(workshop, lambda: now, now_all=True)
    problem = next((one.problem for one in tried if one.problem is not None), None)
    if problem is None and any(one.letter.id == name for one in tried):
        click.echo(text_of(words("The trial message was taken.")))
        return
    click.echo(text_of(problem or words("it waits: another program is sending just now")))
    raise SystemExit(FINDING)
