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
import struct
import sys
import tempfile
from collections.abc import Sequence
from contextlib import suppress
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

_SIOCGIFADDR = 0x8915
"""Linux: tell the address of an interface (netdevice(7))."""


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


def private_addresses() -> tuple[str, ...]:
    """Return the addresses of private networks that this machine has, of version 4.

    The operating system is asked for each of its network interfaces; nothing leaves the machine.
    Empty where the system does not tell (none but Linux is asked this way).
    """
    if not sys.platform.startswith("linux"):
        return ()
    import fcntl

    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        for _number, name in socket.if_nameindex():
            request = struct.pack("256s", name.encode()[:15])
            with suppress(OSError):  # an interface without an address of version 4
                answer = fcntl.ioctl(asked.fileno(), _SIOCGIFADDR, request)
                found.append(socket.inet_ntoa(answer[20:24]))
    return tuple(one for one in found if one not in LOOPBACK and is_private(one))


def is_private(name: str) -> bool:
    """Return whether the workshop's own authority vouches for an address or a name.

    Examples
    --------
    >>> is_private("192.168.1.7"), is_private("203.0.113.9")
    (True, False)
    """
    try:
        check_name(name)
    except Refused:
        return False
    return True


def refuse_public(host: str) -> None:
    """Refuse to serve by the own authority on all addresses where one of them is public.

    Parameters
    ----------
    host : str
        As asked for; only ``0.0.0.0`` and ``::`` stand for addresses that nobody named.

    Raises
    ------
    Refused
        Names the private addresses that this machine has.
    """
    public = [one for one in _nearby() if not is_private(one)] if host in EVERYWHERE else []
    if not public:
        return
    private = private_addresses()
    if private:
        ways = ", ".join(f"--host {one}" for one in private)
        raise Refused(
            words(
                "this machine is reached as {public}, which is no address of a private network: "
                "the workshop's own authority does not vouch for it. Serve on a private one that "
                "this machine has: {ways}; for others bring a certificate with --certificate and "
                "--certificate-key",
                public=public[0],
                ways=ways,
            )
        )
    raise Refused(
        words(
            "this machine is reached as {public}, which is no address of a private network: the "
            "workshop's own authority does not vouch for it, and no private address was found "
            "here. Give one with --host ADDRESS, or bring a certificate with --certificate and "
            "--certificate-key",
            public=public[0],
        )
    )


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
