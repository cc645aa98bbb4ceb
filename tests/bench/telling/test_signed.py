"""A message is signed as the standards say, and a stranger can tell a false one."""

from __future__ import annotations

import base64
import json
import sqlite3
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from receivers import NOW, Board, Clock, put, turned_on

from clampwright.bench.telling import tell
from clampwright.proof.message import content_digest, signature_base, signed_with


def test_the_signature_is_that_of_the_standard() -> None:
    """RFC 9421, appendix B.2.5: shared secret, base and signature as printed there."""
    secret = base64.b64decode(
        "uzvJfB4u3N0Jy4T7NZ75MDVcr8zSTInedJtkgcu46YW4XByzNJjxBdtjUkdJPBtbmHhIDi6pcl8jsasjlTMtDQ=="
    )
    values = {
        "date": "Tue, 20 Apr 2021 02:07:55 GMT",
        "@authority": "example.com",
        "content-type": "application/json",
    }
    parameters = (
        '("date" "@authority" "content-type");created=1618884473;keyid="test-shared-secret"'
    )
    base = signature_base(values, parameters)
    assert signed_with(secret, base) == "pxcQw6G3AjtMBQjwo8XzkZf/bws5LelbaMk5rGIGtE8="


def test_the_digest_is_that_of_the_standard() -> None:
    """RFC 9421, appendix B.2 (test message): the SHA-256 of its body, in the form of RFC 9530."""
    assert content_digest(b'{"hello": "world"}') == (
        "sha-256=:X48E9qOokqqrvdts8nOJRJN3OWDUoyWxBf7kbu9DBPE=:"
    )


def test_the_stranger_refuses_what_was_changed_replayed_or_signed_by_another(
    folder: Path, board: Board, clock: Clock, stranger: ModuleType
) -> None:
    begun = turned_on(folder, board.url)
    put(folder, "job_closed")
    tell(folder, clock)
    _path, fields, body = board.got[0]
    good: dict[str, Any] = {
        "url": board.url, "key": begun.receiver.id, "secret": bytes.fromhex(begun.secret),
        "now": NOW.timestamp(),
    }  # fmt: skip
    stranger.verified(fields, body, **good)
    wrong: list[tuple[dict[str, str], bytes, dict[str, Any]]] = [
        (fields, body.replace(b"job_closed", b"job_opened"), good),
        (fields, body, {**good, "secret": bytes(32)}),
        (fields, body, {**good, "url": board.url + "/other"}),
        (fields, body, {**good, "now": NOW.timestamp() + 301}),
        (fields, body, {**good, "key": "00"}),
        ({**fields, "Clampwright-Message": 32 * "0"}, body, good),
        ({**fields, "Content-Type": "text/plain"}, body, good),
        ({**fields, "Signature": "clampwright=:AAAA:"}, body, good),
        ({**fields, "Content-Digest": content_digest(b"x")}, body, good),
        ({k: v for k, v in fields.items() if k != "Signature-Input"}, body, good),
        ({**fields, "Signature-Input": fields["Signature-Input"].replace('"@method" ', "")}, body,
         good),
    ]  # fmt: skip
    for changed, sent, way in wrong:
        with pytest.raises(stranger.RefusedError):
            stranger.verified(changed, sent, **way)
    seen = sqlite3.connect(":memory:")
    content = json.loads(body)
    assert [stranger.taken(seen, content) for _ in range(3)] == [True, False, False]
    seen.close()
