"""Certificates a workshop makes for its own server (X.509, RFC 5280), so that phones can use https.

A phone trusts what an authority signed. The authority made here is the workshop's own, and it can
vouch for little: its name constraints (RFC 5280, 4.2.1.10) allow addresses of private networks and
names ending in ``.local`` only, so that even a stolen one is of no use against other places.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from typing import Any

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from clampwright.errors import BadFile, Refused
from clampwright.intake import sized
from clampwright.words import words

AUTHORITY_DAYS = 3650
SERVER_DAYS = 397
"""Browsers refuse what is valid for much longer (from memory: 398 days in public use, 825 with an
authority of one's own)."""
RENEWED_BEFORE = dt.timedelta(days=30)
BEHIND = dt.timedelta(days=2)
"""How far the clock of a phone may be behind and still find the certificate valid."""

PRIVATE = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "127.0.0.0/8",
    "fc00::/7",
    "fe80::/10",
    "::1/128",
)
"""Networks not reached from outside: RFC 1918, RFC 3927, RFC 1122, RFC 4193, RFC 4291."""
_NETWORKS = tuple(ip_network(one) for one in PRIVATE)
_NAMES = ("local", "localhost")
_LONGEST_NAME = 40
_SERVER = "workshop server"
"""No host name: some check a common name that looks like one against the constraints."""


@dataclass(frozen=True, slots=True)
class Certified:
    """A certificate and the key it belongs to.

    Parameters
    ----------
    certificate : cryptography.x509.Certificate
    key : EllipticCurvePrivateKey
    """

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    def certificate_pem(self) -> bytes:
        """Return the certificate as text."""
        return self.certificate.public_bytes(serialization.Encoding.PEM)

    def certificate_der(self) -> bytes:
        """Return the certificate in the form phones take in."""
        return self.certificate.public_bytes(serialization.Encoding.DER)

    def key_pem(self) -> bytes:
        """Return the key as text, not encrypted: the file's permissions protect it."""
        return self.key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )


def certified(certificate: bytes, key: bytes, file: str) -> Certified:
    """Read a certificate and its key from PEM text.

    Parameters
    ----------
    certificate, key : bytes
    file : str
        Name for messages.

    Returns
    -------
    Certified

    Raises
    ------
    BadFile
        When either is no such thing, or they do not belong together.
    """
    try:
        found = x509.load_pem_x509_certificate(sized(certificate, "key file", file))
        private = serialization.load_pem_private_key(key, password=None)
    except (ValueError, TypeError) as error:
        raise _unfit(file) from error
    if not isinstance(private, ec.EllipticCurvePrivateKey) or _spki(private.public_key()) != _spki(
        found.public_key()
    ):
        raise _unfit(file)
    return Certified(found, private)


def _unfit(file: str) -> BadFile:
    return BadFile(
        words("{file} is no certificate with a key that belongs to it", file=file),
        file=file,
        expected="a PEM certificate and its P-256 key",
    )


def new_authority(workshop: str, now: dt.datetime) -> Certified:
    """Make the authority of a workshop.

    Parameters
    ----------
    workshop : str
        Its name, shown by phones.
    now : datetime.datetime

    Returns
    -------
    Certified

    Examples
    --------
    >>> import datetime as dt
    >>> made = new_authority("Invented Workshop", dt.datetime(2026, 11, 30, tzinfo=dt.UTC))
    >>> made.certificate.not_valid_after_utc.year
    2036
    """
    key = ec.generate_private_key(ec.SECP256R1())
    name = _named(f"{workshop[:_LONGEST_NAME]}, own authority")
    permitted: list[x509.GeneralName] = [x509.DNSName(one) for one in _NAMES]
    permitted += [x509.IPAddress(network) for network in _NETWORKS]
    usage = _usage(digital_signature=False, key_cert_sign=True, crl_sign=True)
    certificate = (
        _builder(name, name, key.public_key(), now, dt.timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(
            x509.NameConstraints(permitted_subtrees=permitted, excluded_subtrees=None),
            critical=True,
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    return Certified(certificate, key)


def new_server(authority: Certified, names: Sequence[str], now: dt.datetime) -> Certified:
    """Make the server's certificate.

    Parameters
    ----------
    authority : Certified
    names : sequence of str
        Addresses in figures and names under which the server is reached.
    now : datetime.datetime

    Returns
    -------
    Certified

    Raises
    ------
    Refused
        When the authority cannot vouch for a name.

    Examples
    --------
    >>> import datetime as dt
    >>> now = dt.datetime(2026, 11, 30, tzinfo=dt.UTC)
    >>> server = new_server(new_authority("Invented", now), ["192.168.1.7", "bench.local"], now)
    >>> fits(server, new_authority("Other", now), ["192.168.1.7"], now)
    False
    """
    for name in names:
        check_name(name)
    key = ec.generate_private_key(ec.SECP256R1())
    issuer = authority.certificate
    if issuer.not_valid_after_utc - RENEWED_BEFORE <= now:
        raise Refused(
            words(
                "the workshop's own authority ends on {day}: make a new one with "
                "clampwright trust --anew",
                day=issuer.not_valid_after_utc.date().isoformat(),
            )
        )
    ends = min(now + dt.timedelta(days=SERVER_DAYS), issuer.not_valid_after_utc)
    identifier = issuer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    certificate = (
        _builder(_named(_SERVER), issuer.subject, key.public_key(), now, ends - now)
        .add_extension(
            x509.SubjectAlternativeName([_general(name) for name in names]), critical=False
        )
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(
            _usage(digital_signature=True, key_cert_sign=False, crl_sign=False), critical=True
        )
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(identifier),
            critical=False,
        )
        .sign(authority.key, hashes.SHA256())
    )
    return Certified(certificate, key)


def fits(server: Certified, authority: Certified, names: Sequence[str], now: dt.datetime) -> bool:
    """Whether a server's certificate is the authority's, good for all names, and for a while yet.

    Parameters
    ----------
    server, authority : Certified
    names : sequence of str
    now : datetime.datetime

    Returns
    -------
    bool
    """
    try:
        server.certificate.verify_directly_issued_by(authority.certificate)
        found = server.certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName)
    except (ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound):
        return False
    begins, ends = server.certificate.not_valid_before_utc, server.certificate.not_valid_after_utc
    in_time = begins <= now < ends - RENEWED_BEFORE
    return in_time and {_general(name) for name in names} <= set(found.value)


def check_name(name: str) -> None:
    """Check that the authority can vouch for a name.

    Parameters
    ----------
    name : str
        An address in figures, or a name.

    Raises
    ------
    Refused
        When it is not of a private network.

    Examples
    --------
    >>> check_name("10.0.0.9")
    """
    address = _address(name)
    if address is None:
        ours = name in _NAMES or name.endswith(".local")
        good = ours and all(_label(part) for part in name.split("."))
    else:
        good = any(address in network for network in _NETWORKS)
    if not good:
        raise Refused(
            words(
                "the workshop's own authority vouches for addresses of private networks and names "
                "that end in .local, not for {name}; for others bring a certificate with "
                "--certificate and --certificate-key",
                name=name,
            )
        )


def fingerprint(certificate: x509.Certificate) -> str:
    """Return the SHA-256 fingerprint in pairs, as phones and browsers show it."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def _label(part: str) -> bool:
    inner = part.replace("-", "")
    return (
        0 < len(part) <= 63
        and inner.isascii()
        and inner.isalnum()
        and not part.startswith("-")
        and not part.endswith("-")
    )


def _address(name: str) -> IPv4Address | IPv6Address | None:
    try:
        return ip_address(name)
    except ValueError:
        return None


def _general(name: str) -> x509.GeneralName:
    address = _address(name)
    return x509.DNSName(name) if address is None else x509.IPAddress(address)


def _named(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text[:64])])


def _builder(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePublicKey,
    now: dt.datetime,
    lasts: dt.timedelta,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BEHIND)
        .not_valid_after(now + lasts)
    )


def _usage(**used: bool) -> x509.KeyUsage:
    rest = dict.fromkeys(
        (
            "content_commitment",
            "key_encipherment",
            "data_encipherment",
            "key_agreement",
            "encipher_only",
            "decipher_only",
        ),
        False,
    )
    return x509.KeyUsage(**used, **rest)


def _spki(key: Any) -> bytes:
    found: bytes = key.public_bytes(
        serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo
    )
    return found
