"""The files by which a workshop's server speaks https: its own authority, and its certificate.

::

    https-authority.pem    signs the server's certificate
    https-server.pem       the certificate, made anew in time

Each holds the certificate and its key, so that one is never there without the other; both are
readable by their owner only and stand in no backup.
"""

from __future__ import annotations

import datetime as dt
import os
import socket
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path

from clampwright.errors import Missing, Refused
from clampwright.proof.certificates import (
    Certified,
    certified,
    check_name,
    fits,
    new_authority,
    new_server,
)
from clampwright.store.keyfile import sync_folder
from clampwright.words import words

LOOPBACK = ("127.0.0.1", "::1", "localhost")
EVERYWHERE = frozenset({"0.0.0.0", "::"})  # noqa: S104 - only compared with what was asked for; nothing is bound here


@dataclass(frozen=True, slots=True)
class Trust:
    """The files of one workshop folder.

    Parameters
    ----------
    folder : pathlib.Path
    """

    folder: Path

    @property
    def authority(self) -> Path:
        """The authority."""
        return self.folder / "https-authority.pem"

    @property
    def server(self) -> Path:
        """What the server shows."""
        return self.folder / "https-server.pem"

    def read_authority(self) -> Certified:
        """Return the authority.

        Raises
        ------
        Missing
            When none was made yet.
        BadFile
            When the files are damaged.
        """
        found = _read(self.authority)
        if found is None:
            raise Missing(
                words(
                    "{folder} has no authority of its own yet: clampwright serve --https makes it",
                    folder=str(self.folder),
                ),
                needed=self.authority.name,
            )
        return found

    def ready(self, names: Sequence[str], now: dt.datetime) -> Certified:
        """Return the server's certificate, made where there is none that fits.

        Parameters
        ----------
        names : sequence of str
            Under which the server is reached.
        now : datetime.datetime

        Raises
        ------
        Refused
            When the authority cannot vouch for a name, or a file cannot be written.
        BadFile
            When the files are damaged.
        """
        for name in names:
            check_name(name)
        authority = _read(self.authority)
        if authority is None:
            authority = self.anew(now)
        server = _read(self.server)
        if server is None or not fits(server, authority, names, now):
            server = new_server(authority, names, now)
            _write(self.server, server)
        return server

    def anew(self, now: dt.datetime) -> Certified:
        """Make a new authority, in place of one there may be: every phone must take it in again.

        Raises
        ------
        Refused
            When a file cannot be written.
        """
        authority = new_authority(self.folder.resolve().name, now)
        _write(self.authority, authority)
        return authority


def addresses(host: str) -> tuple[str, ...]:
    """Return the addresses and names under which a server bound to a host is reached.

    Parameters
    ----------
    host : str
        An address of this machine; ``0.0.0.0`` or ``::`` for all of them.

    Returns
    -------
    tuple of str
        The best one for a phone first; this machine's own last.
    """
    if host in LOOPBACK:
        return LOOPBACK
    near = [host] if host not in EVERYWHERE else _nearby()
    return (*near, *_own_names(), *LOOPBACK)


def _nearby() -> list[str]:
    """Return the address other machines of the network see, if there is a network.

    A datagram socket that is connected, but never sent on, tells which of the machine's addresses
    leads outside; nothing leaves the machine. The address asked for is kept for documentation
    (RFC 5737).
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(("192.0.2.1", 9))
            found = str(asked.getsockname()[0])
        except OSError:
            return []
    return [] if ip_address(found).is_loopback else [found]


def _own_names() -> list[str]:
    """Return the name by which machines of one network find each other (RFC 6762)."""
    name = f"{socket.gethostname().split('.')[0].lower()}.local"
    try:
        check_name(name)
    except Refused:
        return []
    return [name]


def _read(file: Path) -> Certified | None:
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise Refused(
            words("{file} cannot be read: {problem}", file=str(file), problem=str(error.strerror))
        ) from error
    return certified(content, content, str(file))


def _write(file: Path, made: Certified) -> None:
    try:
        _put(file, made.key_pem() + made.certificate_pem())
        sync_folder(file.parent)
    except OSError as error:
        raise Refused(
            words(
                "{file} cannot be written: {problem}",
                file=str(file),
                problem=str(error.strerror),
            )
        ) from error


def _put(file: Path, content: bytes) -> None:
    handle, temporary = tempfile.mkstemp(dir=file.parent, prefix=f".{file.name}")  # of mode 0600
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        Path(temporary).replace(file)
    finally:
        Path(temporary).unlink(missing_ok=True)
