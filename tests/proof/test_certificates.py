"""The workshop's own certificates, held against OpenSSL (by Python's ssl) as the other side."""

from __future__ import annotations

import datetime as dt
import ssl
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes

from clampwright.errors import BadFile, Refused
from clampwright.proof.certificates import (
    RENEWED_BEFORE,
    SERVER_DAYS,
    Certified,
    certified,
    check_name,
    fingerprint,
    fits,
    new_authority,
    new_server,
)

NOW = dt.datetime.now(dt.UTC).replace(microsecond=0)


@pytest.fixture(scope="module")
def authority() -> Certified:
    return new_authority("Invented Workshop", NOW)


def accepted(tmp_path: Path, authority: Certified, server: Certified, name: str) -> None:
    """Shake hands in memory, as a phone that took in the authority would."""
    shown = tmp_path / "server.pem"
    shown.write_bytes(server.key_pem() + server.certificate_pem())
    there = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    there.load_cert_chain(shown)
    here = ssl.create_default_context(cadata=authority.certificate_pem().decode())
    here.verify_flags |= ssl.VERIFY_X509_STRICT
    to_there, to_here = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = here.wrap_bio(to_here, to_there, server_hostname=name)
    other = there.wrap_bio(to_there, to_here, server_side=True)
    for _round in range(4):
        for side in (client, other):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    assert client.version() == "TLSv1.3"


@pytest.mark.parametrize(
    "name", ["192.168.1.7", "bench.local", "127.0.0.1", "localhost", "fe80::7"]
)
def test_openssl_accepts_it_for_its_names(tmp_path: Path, authority: Certified, name: str) -> None:
    accepted(tmp_path, authority, new_server(authority, [name, "10.0.0.1"], NOW), name)


@pytest.mark.parametrize("name", ["192.168.1.8", "other.local"])
def test_openssl_refuses_it_for_others(tmp_path: Path, authority: Certified, name: str) -> None:
    server = new_server(authority, ["192.168.1.7", "bench.local"], NOW)
    with pytest.raises(ssl.SSLCertVerificationError):
        accepted(tmp_path, authority, server, name)


@pytest.mark.parametrize("name", ["shop.example", "203.0.113.9"])
def test_a_stolen_authority_is_of_no_use_elsewhere(
    tmp_path: Path, authority: Certified, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a thief would sign, without our check, OpenSSL refuses by the name constraints."""
    monkeypatch.setattr("clampwright.proof.certificates.check_name", lambda _name: None)
    forged = new_server(authority, [name], NOW)
    with pytest.raises(ssl.SSLCertVerificationError, match="subtree"):
        accepted(tmp_path, authority, forged, name)


def test_another_workshops_authority_does_not_vouch(tmp_path: Path, authority: Certified) -> None:
    server = new_server(new_authority("Another", NOW), ["bench.local"], NOW)
    with pytest.raises(ssl.SSLCertVerificationError):
        accepted(tmp_path, authority, server, "bench.local")
    assert not fits(server, authority, ["bench.local"], NOW)


@pytest.mark.parametrize(
    "name",
    [
        "example.org",
        "8.8.8.8",
        "2001:db8::1",
        "",
        ".local",
        "a..local",
        "-a.local",
        "b\u00fc.local",
    ],
)
def test_it_vouches_for_private_names_only(authority: Certified, name: str) -> None:
    with pytest.raises(Refused, match="private networks"):
        check_name(name)
    with pytest.raises(Refused):
        new_server(authority, ["bench.local", name], NOW)


def test_it_is_made_anew_in_time_and_for_new_names(authority: Certified) -> None:
    server = new_server(authority, ["192.168.1.7"], NOW)
    assert fits(server, authority, ["192.168.1.7"], NOW)
    assert not fits(server, authority, ["192.168.1.7", "192.168.1.8"], NOW)
    ends = NOW + dt.timedelta(days=SERVER_DAYS)
    assert fits(server, authority, ["192.168.1.7"], ends - RENEWED_BEFORE - dt.timedelta(hours=1))
    assert not fits(server, authority, ["192.168.1.7"], ends - RENEWED_BEFORE)


def test_an_authority_near_its_end_says_what_to_do(authority: Certified) -> None:
    end = authority.certificate.not_valid_after_utc
    with pytest.raises(Refused, match="clampwright trust --anew"):
        new_server(authority, ["bench.local"], end - dt.timedelta(days=3))


def test_files_round_trip_and_damaged_ones_are_told(authority: Certified) -> None:
    again = certified(authority.certificate_pem(), authority.key_pem(), "a.pem")
    assert again.certificate == authority.certificate
    other = new_authority("Another", NOW)
    for certificate, key in [
        (authority.certificate_pem(), other.key_pem()),
        (b"nothing", authority.key_pem()),
        (authority.certificate_pem(), b"nothing"),
        (authority.certificate_pem()[:200], authority.key_pem()),
    ]:
        with pytest.raises(BadFile, match=r"a\.pem"):
            certified(certificate, key, "a.pem")


def test_the_fingerprint_is_of_the_whole_certificate(authority: Certified) -> None:
    expected = authority.certificate.fingerprint(hashes.SHA256()).hex().upper()
    assert fingerprint(authority.certificate).replace(":", "") == expected
    assert x509.load_der_x509_certificate(authority.certificate_der()) == authority.certificate
