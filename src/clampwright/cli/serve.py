"""``clampwright serve``: the pages and the API, for this machine."""

from __future__ import annotations

import contextlib
import gc
import socket
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import text_of
from clampwright.cli.phrase import pass_phrase, phrase_option

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clampwright.bench.backup import Schedule
    from clampwright.cli.secured import Secured
    from clampwright.web.door import Door

LAST_PORT = 65535
IDLE_FOR = 65
"""Seconds for which an idle connection is kept: between two pulls nobody needs to open one."""
LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})


@click.command(
    epilog="Example: clampwright serve --workshop demo-workshop",
    short_help="Serve the pages on this machine.",
)
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path(),
    show_default="this folder",
    help="Workshop folder.",
)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8123,
    show_default=True,
    help="0 takes any free one.",
)
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Address to serve on; 0.0.0.0 for all of this machine. Others than this machine sign in.",
)
@click.option(
    "--without-people",
    is_flag=True,
    help="Let everybody who reaches this machine do everything, without signing in.",
)
@click.option(
    "--sign-in", is_flag=True, help="Ask who it is on this machine too, as for a shared bench."
)
@click.option(
    "--backup-to",
    type=click.Path(file_okay=False, path_type=Path),
    help="Save the workshop into this folder while serving.",
)
@click.option(
    "--backup-every",
    type=click.FloatRange(min=0.1),
    default=24.0,
    show_default=True,
    help="Hours between backups.",
)
@click.option(
    "--keep",
    type=click.IntRange(1),
    default=30,
    show_default=True,
    help="How many of the newest backups are kept.",
)
@click.option(
    "--https",
    is_flag=True,
    help="Speak https, by the workshop's own authority (made at first use).",
)
@click.option(
    "--name",
    "more_names",
    multiple=True,
    metavar="NAME",
    help="A further address or name under which phones reach this machine; may be repeated.",
)
@click.option(
    "--trust-port",
    type=click.IntRange(0, 65535),
    help="Where new phones get the authority by plain http; the port after --port if not given.",
)
@click.option(
    "--certificate",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="PEM file with a certificate of another authority to show instead.",
)
@click.option(
    "--certificate-key",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="PEM file with its key, if it is not in the same file.",
)
@click.option(
    "--log",
    "log_form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="json: one object a line on standard error, for every request too.",
)
@phrase_option
def command(
    *,
    workshop: Path,
    port: int,
    host: str,
    without_people: bool,
    sign_in: bool,
    https: bool,
    more_names: tuple[str, ...],
    trust_port: int | None,
    certificate: Path | None,
    certificate_key: Path | None,
    log_form: str,
    backup_to: Path | None,
    backup_every: float,
    keep: int,
    phrase_file: Path | None,
) -> None:
    """Serve the pages for the bench, and the API, on this machine until stopped with Ctrl-C.

    The right to write is taken only while something is stored, so that a terminal can work on the
    same job in turn.
    """
    import datetime as dt

    if log_form == "json":
        _log_as_json()

    with _loading():
        from clampwright.bench.backup import Schedule
        from clampwright.bench.folder import DRAWER_FILE, Workshop
        from clampwright.bench.people import refuse_open_network
        from clampwright.cli.secured import Secured
        from clampwright.errors import BadFile
        from clampwright.words import words

    if not Workshop(workshop).drawer.is_file():
        raise BadFile(
            words(
                "{folder} is no workshop: it has no {drawer}",
                folder=str(workshop),
                drawer=DRAWER_FILE,
            ),
            file=str(workshop),
            expected="a workshop folder",
        )
    alone = host in LOOPBACK
    if sign_in or not (alone or without_people):
        refuse_open_network(workshop, host)
        sign_in = True
    backups = None
    if backup_to is not None:
        backups = Schedule(backup_to, dt.timedelta(hours=backup_every), keep)
    phrase = pass_phrase(workshop, phrase_file)
    taken = bound(host, port)
    secured = None
    if certificate is not None:
        secured = Secured(host, more_names, certificate, certificate_key)
    elif https:
        secured = Secured(host, more_names, plain=bound(host, _after(taken, trust_port)))
    serve(
        workshop,
        taken,
        backups,
        phrase,
        secured,
        own_log=log_form == "json",
        sign_in=sign_in,
        more_names=more_names,
    )


def _after(taken: socket.socket, wanted: int | None) -> int:
    """Return the port of the plain door: the one asked for, or the next one."""
    if wanted is not None:
        return wanted
    port: int = taken.getsockname()[1]
    return port + 1 if port < LAST_PORT else 0


def bound(host: str, port: int) -> socket.socket:
    """Return a socket of this machine, bound.

    Parameters
    ----------
    host : str
        An address of this machine.
    port : int
        0 for any free one.

    Raises
    ------
    Refused
        When the host is no address of this machine, or the port is taken.
    """
    from clampwright.errors import Refused
    from clampwright.words import words

    if host not in LOOPBACK and not _in_figures(host):
        raise Refused(
            words(
                "{host}: give an address of this machine in figures, or 0.0.0.0 for all", host=host
            )
        )
    # TCP by name: only then does asyncio send small answers at once, instead of up to 40 ms late
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    taken = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind(("127.0.0.1" if host == "localhost" else host, port))
        taken.listen()  # so that a browser that is quicker than the start waits, not fails
    except OSError as error:
        taken.close()
        raise Refused(
            words(
                "port {port} cannot be had on {host} ({problem}); name another one with --port, "
                "or 0 for any",
                port=port,
                host=host,
                problem=str(error.strerror),
            )
        ) from error
    return taken


def _in_figures(host: str) -> bool:
    """Whether it is an address; a name would have to be asked for outside."""
    from ipaddress import ip_address

    try:
        ip_address(host)
    except ValueError:
        return False
    return True


def serve(
    workshop: Path,
    taken: socket.socket,
    backups: Schedule | None = None,
    phrase: str | None = None,
    secured: Secured | None = None,
    *,
    own_log: bool = False,
    sign_in: bool = False,
    more_names: tuple[str, ...] = (),
) -> None:
    """Serve until stopped; says where.

    Parameters
    ----------
    workshop : pathlib.Path
    taken : socket.socket
        Bound.
    backups : Schedule, optional
        Backups to make meanwhile.
    phrase : str, optional
        Opens the signing key.
    secured : Secured, optional
        Speak https.
    own_log : bool
        Leave the log as it was set up, for the server too.
    sign_in : bool
        Nothing but signing in is answered to who has not.
    more_names : tuple of str
        Further names under which it is reached.
    """
    with _loading():
        import uvicorn

        from clampwright.bench.folder import bring_up_to_date
        from clampwright.bench.trust import addresses
        from clampwright.web.app import create_app
        from clampwright.web.door import Door

        bring_up_to_date(workshop)
        port = taken.getsockname()[1]
        plainly = ("[::1]",) if taken.family == socket.AF_INET6 else ()
        names = tuple(dict.fromkeys((*more_names, *addresses(taken.getsockname()[0]))))
        door = Door(names, port) if secured is None else secured.door(workshop, port)
        app = create_app(
            workshop,
            hosts=door.hosts,
            backups=backups,
            pass_phrase=phrase,
            door=door,
            sign_in=sign_in,
        )
    config = uvicorn.Config(
        app,
        log_config=None if own_log else uvicorn.config.LOGGING_CONFIG,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,  # nobody in between may say by what way a request came
        ws="websockets-sansio",
        ws_max_size=65_536,
        timeout_graceful_shutdown=3,
        timeout_keep_alive=IDLE_FOR,
        **({} if secured is None else secured.settings(workshop)),
    )
    server = uvicorn.Server(config)
    _say_where(door, plainly)
    meanwhile = contextlib.nullcontext() if secured is None else secured.plain_door(app)
    with meanwhile, contextlib.suppress(KeyboardInterrupt):  # it has stopped in good order by then
        server.run(sockets=[taken])


@contextlib.contextmanager
def _loading() -> Iterator[None]:
    """Look for no garbage while the server is loaded, and leave alone for good what is loaded then.

    It is no garbage, and going over all of it takes a tenth of a second: at the start it would be
    waited for, and later it would hold up a live pull.
    """
    gc.disable()
    try:
        yield
        gc.freeze()
    finally:
        gc.enable()


def _log_as_json() -> None:
    """Write what the program logs, every request too, as JSON lines on standard error."""
    import logging

    from clampwright.web.watch import JsonLines

    lines = logging.StreamHandler()
    lines.setFormatter(JsonLines())
    own = logging.getLogger("clampwright")
    own.setLevel(logging.INFO)
    for one in (own, logging.getLogger("uvicorn")):
        one.handlers = [lines]
        one.propagate = False


def _say_where(door: Door, names: tuple[str, ...]) -> None:
    from clampwright.words import words

    here = names or tuple(name for name in door.names if name == "127.0.0.1")
    shown = (*door.from_outside, *(f"{door.scheme}://{name}:{door.port}/" for name in here))
    click.echo(
        text_of(words("Open {addresses} in a browser; Ctrl-C stops.", addresses=" or ".join(shown)))
    )
    to_trust = door.to_trust()
    if to_trust is not None:
        first = (to_trust.from_outside or to_trust.addresses)[0]
        click.echo(text_of(words("For a new phone first: {address}trust", address=first)))
