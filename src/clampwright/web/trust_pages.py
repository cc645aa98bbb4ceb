"""The pages for phones: getting in, trusting the server, and what works on the device in hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from cryptography import x509
from fastapi import Request
from fastapi.responses import Response

from clampwright.bench.trust import Trust
from clampwright.errors import Missing
from clampwright.locale import say
from clampwright.proof.certificates import fingerprint
from clampwright.report.sheet import square_code
from clampwright.web.door import Door
from clampwright.web.shared import House, house
from clampwright.words import words

AUTHORITY = "/trust/authority.crt"
_FILE = "workshop-authority.crt"


def trust(request: Request) -> Response:
    """Show how a phone opens the pages, and how it comes to trust the server."""
    return _answer(house(request), bare=False)


def trust_only(request: Request) -> Response:
    """Show the same where there are no other pages."""
    return _answer(house(request), bare=True)


def _answer(place: House, *, bare: bool) -> Response:
    door = place.door
    to_trust = door.to_trust()
    authority = None if to_trust is None else Trust(place.place.folder).read_authority()
    facts: dict[str, Any] = {
        "title": say(words("Phones and tablets")),
        "bare": bare,
        "alone": not door.from_outside,
        "secure": door.scheme == "https",
        "open": _codes(door.from_outside),
        "first": () if to_trust is None else _codes(_trust_addresses(to_trust)),
        "authority": None if authority is None else _facts(authority.certificate),
        "get": AUTHORITY,
    }
    return place.pages.answer("trust.html", facts)


def _trust_addresses(door: Door) -> list[str]:
    return [f"{address}trust" for address in door.from_outside]


def authority(request: Request) -> Response:
    """Send the authority's certificate in the form that phones take in."""
    place = house(request)
    if place.door.trust_port is None:
        raise Missing(words("this server has no authority of its own"), needed="entry")
    found = Trust(place.place.folder).read_authority()
    headers = {
        "content-type": "application/x-x509-ca-cert",
        "content-disposition": f'attachment; filename="{_FILE}"',
    }
    return Response(found.certificate_der(), headers=headers)


def extras(request: Request) -> Response:
    """Show the page whose script tries what this device can do."""
    return house(request).pages.answer(
        "extras.html", {"title": say(words("What works on this device"))}
    )


def _codes(addresses: Sequence[str]) -> list[tuple[str, str]]:
    return [(address, square_code(address, sized=False)) for address in addresses]


def _facts(certificate: x509.Certificate) -> dict[str, Any]:
    pairs = fingerprint(certificate).split(":")
    return {
        "fingerprint": [" ".join(pairs[at : at + 4]) for at in range(0, len(pairs), 4)],
        "until": say(
            words("Good until {day}.", day=certificate.not_valid_after_utc.date().isoformat())
        ),
    }
