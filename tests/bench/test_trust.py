"""The files of https: made once, kept private, made anew when they must be."""

from __future__ import annotations

import datetime as dt
import socket
import stat
from pathlib import Path

import pytest

from clampwright.bench import trust as trust_files
from clampwright.bench.trust import (
    LOOPBACK,
    Trust,
    addresses,
    is_private,
    private_addresses,
    refuse_public,
)
from clampwright.errors import BadFile, Missing, Refused

NOW = dt.datetime(2026, 11, 30, 8, tzinfo=dt.UTC)


def test_they_are_made_once_and_readable_by_their_owner_only(tmp_path: Path) -> None:
    trust = Trust(tmp_path)
    with pytest.raises(Missing, match="serve --https makes it"):
        trust.read_authority()
    first = trust.ready(["192.168.1.7"], NOW)
    again = trust.ready(["192.168.1.7"], NOW + dt.timedelta(days=300))
    assert again.certificate == first.certificate
    for file in (trust.authority, trust.server):
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert sorted(one.name for one in tmp_path.iterdir()) == [
        "https-authority.pem",
        "https-server.pem",
    ]


def test_a_new_address_needs_a_new_certificate_but_no_new_authority(tmp_path: Path) -> None:
    trust = Trust(tmp_path)
    first = trust.ready(["192.168.1.7"], NOW)
    authority = trust.read_authority().certificate
    moved = trust.ready(["192.168.1.9"], NOW)
    assert moved.certificate != first.certificate
    assert trust.read_authority().certificate == authority


def test_a_new_authority_makes_the_certificate_new_too(tmp_path: Path) -> None:
    trust = Trust(tmp_path)
    first = trust.ready(["bench.local"], NOW)
    trust.anew(NOW)
    assert trust.ready(["bench.local"], NOW).certificate != first.certificate


def test_a_name_that_cannot_be_vouched_for_makes_nothing(tmp_path: Path) -> None:
    with pytest.raises(Refused, match=r"not for shop\.example"):
        Trust(tmp_path).ready(["bench.local", "shop.example"], NOW)
    assert list(tmp_path.iterdir()) == []


def test_a_damaged_file_is_told_and_left(tmp_path: Path) -> None:
    trust = Trust(tmp_path)
    trust.ready(["bench.local"], NOW)
    trust.authority.write_text("spoilt")
    with pytest.raises(BadFile, match=r"https-authority\.pem"):
        trust.ready(["bench.local"], NOW)
    assert trust.authority.read_text() == "spoilt"


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="cannot be written"):
        Trust(tmp_path / "gone").ready(["bench.local"], NOW)


def test_what_is_served_here_is_reached_here_only() -> None:
    assert addresses("127.0.0.1") == LOOPBACK
    assert addresses("192.168.1.7")[0] == "192.168.1.7"
    assert set(LOOPBACK) < set(addresses("0.0.0.0"))  # noqa: S104 - asked about, not bound to


def test_on_all_addresses_a_public_one_is_refused_and_the_private_ones_are_named(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(trust_files, "_nearby", lambda: ["203.0.113.9"])
    monkeypatch.setattr(trust_files, "private_addresses", lambda: ("10.1.2.3", "192.168.7.1"))
    with pytest.raises(Refused) as refused:
        refuse_public("0.0.0.0")  # noqa: S104 - only compared
    assert "203.0.113.9" in str(refused.value)
    assert "--host 10.1.2.3, --host 192.168.7.1" in str(refused.value)
    monkeypatch.setattr(trust_files, "private_addresses", lambda: ())
    with pytest.raises(Refused, match="no private address was found here"):
        refuse_public("::")
    refuse_public("203.0.113.9")  # named: told where the certificate is made
    monkeypatch.setattr(trust_files, "_nearby", lambda: ["10.1.2.3"])
    refuse_public("0.0.0.0")  # noqa: S104 - as above


def test_the_private_addresses_of_this_machine_are_its_own_and_private() -> None:
    for one in private_addresses():
        assert is_private(one)
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as bound:
            bound.bind((one, 0))
