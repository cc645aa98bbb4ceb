# ruff: noqa: INP001 - an example that is run by itself, not part of a package
"""Receive what Clampwright tells: check the signature, take each message once. Standard library.

An example to start from, invented like all others. Run it with the key id and the secret that
``clampwright tell on`` has shown, and the very address that was given there::

    CLAMPWRIGHT_SECRET=... python receive_messages.py KEY_ID http://127.0.0.1:8900/told seen.sqlite

What is checked: RFC 9530 (the digest of the body), RFC 9421 (the signature over method, address,
kind of content, digest and name of the message), that it was signed within the last five minutes,
and that a message of this name was not taken before. Order: ``index`` in the body is the place in
the workshop's log.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
import os
import re
import sqlite3
import sys
import time
import urllib.parse
from collections.abc import Mapping
from http.server import BaseHTTPRequestHandler, HTTPServer

COMPONENTS = ("@method", "@target-uri", "content-type", "content-digest", "clampwright-message")
INPUT = re.compile(
    r'clampwright=(\((?P<covered>[^)]*)\);created=(?P<created>\d{1,12});keyid="(?P<key>[0-9a-f]+)"'
    r';alg="hmac-sha256";tag="clampwright")'
)
SIGNATURE = re.compile(r"clampwright=:([A-Za-z0-9+/=]+):")
FRESH = 300
"""Seconds for which a signature is good."""
LARGEST = 20_000


class RefusedError(Exception):
    """A message that is not taken; says why."""


def verified(
    fields: Mapping[str, str], body: bytes, *, url: str, key: str, secret: bytes, now: float
) -> dict[str, object]:
    """Return what a message says, if it was signed with the secret; raise RefusedError if not."""
    given = {name.lower(): value for name, value in fields.items()}
    found = INPUT.fullmatch(given.get("signature-input", ""))
    signature = SIGNATURE.fullmatch(given.get("signature", ""))
    if found is None or signature is None or found["key"] != key:
        raise RefusedError("it is not signed as it should be")
    if tuple(found["covered"].replace('"', "").split()) != COMPONENTS:
        raise RefusedError("the signature does not cover what it must")
    digest = base64.b64encode(hashlib.sha256(body).digest()).decode()
    if given.get("content-digest") != f"sha-256=:{digest}:":
        raise RefusedError("the digest is not that of the body")
    values = {**given, "@method": "POST", "@target-uri": url}
    lines = [f'"{name}": {values.get(name, "")}' for name in COMPONENTS]
    base = "\n".join([*lines, f'"@signature-params": {found[1]}'])
    wanted = hmac.new(secret, base.encode(), hashlib.sha256).digest()
    if not hmac.compare_digest(base64.b64encode(wanted).decode(), signature[1]):
        raise RefusedError("the signature does not fit")
    if abs(now - int(found["created"])) > FRESH:
        raise RefusedError("it was signed too long ago, or a clock is wrong")
    content: dict[str, object] = json.loads(body)
    if content["id"] != given["clampwright-message"]:
        raise RefusedError("its name is not the one that was signed")
    return content


def taken(seen: sqlite3.Connection, content: Mapping[str, object]) -> bool:
    """Keep a message if it is new; return whether it was."""
    with seen:
        seen.execute("CREATE TABLE IF NOT EXISTS message (id TEXT PRIMARY KEY, body TEXT)")
        row = (content["id"], json.dumps(content))
        return seen.execute("INSERT OR IGNORE INTO message VALUES (?, ?)", row).rowcount == 1


def main() -> None:
    """Answer on the address given until it is interrupted."""
    key, url, file = sys.argv[1:]
    secret = bytes.fromhex(os.environ["CLAMPWRIGHT_SECRET"])
    seen = sqlite3.connect(file)

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            length = int(self.headers.get("content-length", 0))
            body = self.rfile.read(min(length, LARGEST))
            try:
                content = verified(
                    dict(self.headers), body, url=url, key=key, secret=secret, now=time.time()
                )
            except (RefusedError, ValueError, KeyError) as error:
                print("refused:", error, flush=True)  # noqa: T201 - an example that prints
                self.send_response(403)
            else:
                if taken(seen, content):
                    print(content["about"], content["job"], flush=True)  # noqa: T201 - as above
                self.send_response(204)  # taken, now or before: it need not come again
            self.end_headers()

    parts = urllib.parse.urlsplit(url)
    HTTPServer((parts.hostname or "127.0.0.1", parts.port or 80), Handler).serve_forever()


if __name__ == "__main__":
    main()
