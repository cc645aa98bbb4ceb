"""How the server is reached: its names, its port, and whether what passes is encrypted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from clampwright.bench.trust import LOOPBACK


@dataclass(frozen=True, slots=True)
class Door:
    """One way into the server.

    Parameters
    ----------
    names : sequence of str
        Addresses in figures and names, the best one for a phone first.
    port : int
    scheme : str
        ``http`` or ``https``.
    trust_port : int, optional
        Where, by plain http, a phone gets the workshop's own authority.

    Examples
    --------
    >>> Door(("192.168.1.7", "bench.local"), 8123, "https").addresses
    ('https://192.168.1.7:8123/', 'https://bench.local:8123/')
    """

    names: Sequence[str] = LOOPBACK
    port: int = 8123
    scheme: Literal["http", "https"] = "http"
    trust_port: int | None = None

    @property
    def hosts(self) -> frozenset[str]:
        """The Host headers of requests that are meant for this server."""
        usual = {"http": 80, "https": 443}[self.scheme]
        ends = "" if self.port == usual else f":{self.port}"
        return frozenset(f"{_bracketed(name)}{ends}" for name in self.names)

    @property
    def addresses(self) -> tuple[str, ...]:
        """Where a browser goes."""
        return tuple(f"{self.scheme}://{_bracketed(name)}:{self.port}/" for name in self.names)

    @property
    def from_outside(self) -> tuple[str, ...]:
        """The addresses by which another machine reaches it; none when it is for this one alone."""
        pairs = zip(self.names, self.addresses, strict=True)
        return tuple(address for name, address in pairs if name not in LOOPBACK)

    def to_trust(self) -> Door | None:
        """Return the way to the page that gives out the authority."""
        return None if self.trust_port is None else Door(self.names, self.trust_port)


def _bracketed(name: str) -> str:
    return f"[{name}]" if ":" in name else name
