"""Where a message may go: the rule against being used to reach what was not meant.

Public addresses by https. What is inside the house, by http or https, only for a receiver that a
person has said to be inside, and then nothing that is outside. Link-local addresses, where machines
in a data centre keep their secrets, never. The rule is asked for every address a name stands for,
each time before sending, and the connection goes to the very address that was asked about.
"""

from __future__ import annotations

import ipaddress
import socket
import urllib.parse
from dataclasses import dataclass

from clampwright.errors import Refused
from clampwright.words import Words, words

IPAddress = ipaddress.IPv4Address | ipaddress.IPv6Address
INSIDE = tuple(
    ipaddress.ip_network(one)
    for one in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "::1/128",
                "fc00::/7")
)  # fmt: skip
"""RFC 1918, RFC 4193 and this machine itself."""
NAT64 = ipaddress.ip_network("64:ff9b::/96")
LONGEST = 500


@dataclass(frozen=True, slots=True)
class Target:
    """An address that was asked about.

    Parameters
    ----------
    url : str
        As a person gave it.
    secure : bool
        By https.
    host : str
        Whose certificate is asked for.
    port : int
    path : str
        With the query.
    address : str
        The numeric address to connect to.
    """

    url: str
    secure: bool
    host: str
    port: int
    path: str
    address: str

    @property
    def place(self) -> str:
        """Scheme, host and port: what may be shown and put on the log."""
        return place_of(self.url)


def place_of(url: str) -> str:
    """Return scheme, host and port of an address, without path and query, which may be secret.

    Examples
    --------
    >>> place_of("https://board.example/hooks/4711?token=x")
    'https://board.example:443'
    """
    parts = urllib.parse.urlsplit(url)
    port = parts.port or (443 if parts.scheme == "https" else 80)
    host = f"[{parts.hostname}]" if ":" in (parts.hostname or "") else parts.hostname
    return f"{parts.scheme}://{host}:{port}"


def may_reach(address: IPAddress, *, inside: bool) -> bool:
    """Say whether the rule lets a message go to an address.

    Parameters
    ----------
    address : IPv4Address or IPv6Address
    inside : bool
        Whether the receiver is said to be inside the house.

    Returns
    -------
    bool

    Examples
    --------
    >>> import ipaddress
    >>> [may_reach(ipaddress.ip_address(one), inside=False)
    ...  for one in ("9.9.9.9", "127.0.0.1", "169.254.169.254", "::ffff:10.0.0.1")]
    [True, False, False, False]
    """
    address = _meant(address)
    if address.is_link_local or address.is_multicast or address.is_unspecified:
        return False
    if inside:
        return any(address.version == net.version and address in net for net in INSIDE)
    # Addresses of one site (fec0::/10) were given up by RFC 3879; `ipaddress` calls them global.
    of_a_site = isinstance(address, ipaddress.IPv6Address) and address.is_site_local
    return address.is_global and not address.is_reserved and not of_a_site


def _meant(address: IPAddress) -> IPAddress:
    """Return the IPv4 address that an IPv6 address stands for, where it does."""
    if isinstance(address, ipaddress.IPv4Address):
        return address
    if address in NAT64:
        return ipaddress.IPv4Address(int(address) & 0xFFFFFFFF)
    teredo = address.teredo
    return address.ipv4_mapped or address.sixtofour or (teredo[1] if teredo else address)


def check_form(url: str, *, inside: bool) -> urllib.parse.SplitResult:
    """Check how an address is written.

    Parameters
    ----------
    url : str
    inside : bool

    Returns
    -------
    SplitResult

    Raises
    ------
    Refused
        Says what an address must be.
    """
    try:
        parts = urllib.parse.urlsplit(url)
        port = parts.port
    except ValueError:
        parts, port = urllib.parse.SplitResult("", "", "", "", ""), None
    schemes = {"https", "http"} if inside else {"https"}
    plain = url.isascii() and url.isprintable() and " " not in url and len(url) <= LONGEST
    named = bool(parts.hostname) and port != 0
    if not (plain and named and parts.scheme in schemes) or "@" in parts.netloc or parts.fragment:
        raise Refused(
            words(
                "the address must begin with https://, hold no name, pass word or #, and be plain "
                "text of at most {limit} signs; http:// only for a receiver inside the house",
                limit=LONGEST,
            )
        )
    return parts


def target_of(url: str, *, inside: bool) -> Target:
    """Look an address up, and hold it against the rule.

    Parameters
    ----------
    url : str
    inside : bool

    Returns
    -------
    Target

    Raises
    ------
    Refused
        When it cannot be found, or one of the addresses it stands for may not be reached.
    """
    parts = check_form(url, inside=inside)
    secure = parts.scheme == "https"
    port = parts.port or (443 if secure else 80)
    try:
        found = socket.getaddrinfo(parts.hostname, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise Refused(
            words("{place} cannot be found: {problem}", place=place_of(url), problem=str(error))
        ) from error
    addresses = [str(one[4][0]).partition("%")[0] for one in found]
    for one in addresses:
        if not may_reach(ipaddress.ip_address(one), inside=inside):
            raise Refused(_forbidden(place_of(url), one, inside=inside))
    path = urllib.parse.urlunsplit(("", "", parts.path or "/", parts.query, ""))
    return Target(url, secure, str(parts.hostname), port, path, addresses[0])


def _forbidden(place: str, address: str, *, inside: bool) -> Words:
    if inside:
        return words(
            "{place} is {address}, which is not inside the house: nothing is sent there",
            place=place,
            address=address,
        )
    return words(
        "{place} is {address}, which is no public address: nothing is sent there. If the receiver "
        "is inside the house, turn it on as such",
        place=place,
        address=address,
    )
