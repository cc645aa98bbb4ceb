"""What ``clampwright serve --https`` needs beside the pages: certificate, names, the plain door."""

from __future__ import annotations

import contextlib
import datetime as dt
import ssl
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from clampwright.errors import BadFile
from clampwright.intake import sized
from clampwright.words import words

if TYPE_CHECKING:
    import socket
    from collections.abc import Iterator

    from clampwright.web.app import App
    from clampwright.web.door import Door


@dataclass(frozen=True, slots=True)
class Secured:
    """How https was asked for.

    Parameters
    ----------
    host : str
        As bound.
    names : tuple of str
        Further ones under which the server is reached.
    certificate, key : pathlib.Path or None
        Brought from elsewhere; None for the workshop's own.
    plain : socket.socket or None
        Bound for the door that gives out the workshop's own authority.
    """

    host: str
    names: tuple[str, ...] = ()
    certificate: Path | None = None
    key: Path | None = None
    plain: socket.socket | None = None

    def door(self, workshop: Path, port: int) -> Door:
        """Return the way in; makes the workshop's own certificate where it is used.

        Parameters
        ----------
        workshop : pathlib.Path
        port : int

        Raises
        ------
        BadFile
            When a certificate does not serve.
        Refused
            When the workshop's own authority cannot vouch for a name.
        """
        from clampwright.bench.trust import Trust, addresses, refuse_public
        from clampwright.web.door import Door

        names = tuple(dict.fromkeys((*self.names, *addresses(self.host))))
        if self.certificate is not None:
            brought = _names_in(self.certificate, self.key)
            return Door(tuple(dict.fromkeys((*brought, *names))), port, "https")
        refuse_public(self.host)
        Trust(workshop).ready(names, dt.datetime.now(dt.UTC))
        plain = None if self.plain is None else self.plain.getsockname()[1]
        return Door(names, port, "https", plain)

    def settings(self, workshop: Path) -> dict[str, Any]:
        """Return the server's settings: where certificate and key lie."""
        from clampwright.bench.trust import Trust

        certificate = self.certificate or Trust(workshop).server
        return {
            "ssl_certfile": str(certificate),
            "ssl_keyfile": None if self.key is None else str(self.key),
        }

    @contextlib.contextmanager
    def plain_door(self, app: App) -> Iterator[None]:
        """Give out the authority by plain http while the block runs, where there is one."""
        from clampwright.web.trust_door import plain_door, trust_app

        if self.plain is None:
            yield
            return
        with plain_door(trust_app(app.state.house), self.plain):
            yield


def _names_in(certificate: Path, key: Path | None) -> list[str]:
    """Return the names a certificate is for, checked to belong to its key."""
    from cryptography import x509

    expected = words("a PEM certificate with names, and its key (--certificate-key)")
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password="")
        found = x509.load_pem_x509_certificates(
            sized(certificate.read_bytes(), "certificates", str(certificate))
        )[0]
        names = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (OSError, ValueError, x509.ExtensionNotFound) as error:
        raise BadFile(
            words(
                "{file} cannot be shown as a certificate: {expected}",
                file=str(certificate),
                expected=expected,
            ),
            file=str(certificate),
            expected=str(expected),
        ) from error
    by_name = names.get_values_for_type(x509.DNSName)
    by_figures = [str(one) for one in names.get_values_for_type(x509.IPAddress)]
    return [*by_name, *by_figures]
