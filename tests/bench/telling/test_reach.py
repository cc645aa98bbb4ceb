"""Where a message may go: public addresses, or the house's own when a person says so."""

from __future__ import annotations

import ipaddress
import socket
from typing import Any

import pytest

from clampwright.bench.reach import may_reach, target_of
from clampwright.errors import Refused

REACH = {
    "9.9.9.9": "outside", "2620:fe::fe": "outside", "10.1.2.3": "inside", "172.31.0.1": "inside",
    "192.168.1.1": "inside", "127.0.0.1": "inside", "::1": "inside", "fd00::1": "inside",
    "169.254.169.254": "never", "fe80::1": "never", "fec0::1": "never", "::": "never",
    "0.0.0.0": "never",  # noqa: S104 - asked about, not bound to
    "224.0.0.1": "never", "ff02::1": "never", "255.255.255.255": "never", "240.0.0.1": "never",
    "100.64.0.1": "never", "192.0.2.1": "never", "::ffff:127.0.0.1": "inside",
    "::ffff:169.254.169.254": "never", "64:ff9b::7f00:1": "inside", "64:ff9b::a9fe:a9fe": "never",
    "2002:7f00:1::": "inside", "2002:a9fe:a9fe::": "never",
}  # fmt: skip


@pytest.mark.parametrize(("address", "where"), REACH.items())
def test_where_a_message_may_go(address: str, where: str) -> None:
    found = ipaddress.ip_address(address)
    assert may_reach(found, inside=False) == (where == "outside")
    assert may_reach(found, inside=True) == (where == "inside")


def test_a_name_is_looked_up_each_time_and_every_address_counts(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    answers = [["9.9.9.9"], ["9.9.9.9", "127.0.0.1"], ["127.0.0.1"]]

    def looked_up(_host: object, port: int, **_more: object) -> list[Any]:
        return [(2, 1, 6, "", (one, port)) for one in answers.pop(0)]

    monkeypatch.setattr(socket, "getaddrinfo", looked_up)
    assert target_of("https://board.example/x", inside=False).address == "9.9.9.9"
    for _ in range(2):
        with pytest.raises(Refused, match=r"127\.0\.0\.1, which is no public address"):
            target_of("https://board.example/x", inside=False)


def test_outside_the_house_only_https() -> None:
    with pytest.raises(Refused, match="must begin with https"):
        target_of("http://9.9.9.9/x", inside=False)
