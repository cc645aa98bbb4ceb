"""Invented programs outside, that are told something, and what makes a workshop tell them."""

from __future__ import annotations

import datetime as dt
import ipaddress
import json
import ssl
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.telling import Begun, begin_telling
from clampwright.proof.ids import uuid7

NOW = dt.datetime(2026, 10, 5, 8, tzinfo=dt.UTC)
EXAMPLE = Path(__file__).parents[2] / "examples" / "receive_messages.py"
Got = tuple[str, dict[str, str], bytes]


class Board:
    """An invented receiver; what it answers can be changed while it runs."""

    def __init__(self) -> None:
        self.got: list[Got] = []
        self.answered = 0
        self.status = 204
        self.location = ""
        self.wait = threading.Event()
        self.wait.set()
        board = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                length = int(self.headers["content-length"])
                body = self.rfile.read(length)
                if len(body) < length:
                    return  # the sender was killed in the middle: its digest would not fit
                board.got.append((self.path, dict(self.headers), body))
                board.wait.wait(120)
                self.send_response(board.status)
                if board.location:
                    self.send_header("location", board.location)
                self.end_headers()
                board.answered += 1

            def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the base's name
                """Say nothing."""

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        self.url = f"http://127.0.0.1:{self.server.server_port}/told?token=hidden-in-the-path"

    def heard(self) -> bool:
        """Wait until something has come, on a machine however busy; say whether it has."""
        until = time.monotonic() + 120
        while not self.got and time.monotonic() < until:
            time.sleep(0.01)
        return bool(self.got)

    @property
    def about(self) -> list[str]:
        return [json.loads(body)["about"] for _path, _fields, body in self.got]

    @property
    def jobs(self) -> list[str]:
        return [json.loads(body)["job"] for _path, _fields, body in self.got]


def turned_on(
    folder: Path, url: str, about: tuple[str, ...] = ("job_closed",), *, name: str = "board"
) -> Begun:
    with open_store(Workshop(folder), create=True) as store:
        return begin_telling(store, folder, name=name, url=url, about=about, inside=True)


def put(folder: Path, kind: str, body: Mapping[str, Any] | None = None, job: str = "j") -> str:
    with open_store(Workshop(folder)) as store:
        return store.append(kind, dict(body or {}), entry_id=str(uuid7()), job=job).id


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> dt.datetime:
        return self.now

    def on(self, seconds: float) -> None:
        self.now += dt.timedelta(seconds=seconds)


@contextmanager
def https(place: Path) -> Iterator[str]:
    """A receiver with a certificate that it signed itself, for 127.0.0.1."""

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.oid.NameOID.COMMON_NAME, "Invented Board")])
    now = dt.datetime.now(dt.UTC)
    own = x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address("127.0.0.1"))])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(7)
        .not_valid_before(now - dt.timedelta(days=1))
        .not_valid_after(now + dt.timedelta(days=1))
        .add_extension(own, critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    pem = serialization.Encoding.PEM
    plain = serialization.NoEncryption()
    private = key.private_bytes(pem, serialization.PrivateFormat.PKCS8, plain)
    (place / "cert.pem").write_bytes(made.public_bytes(pem))
    (place / "both.pem").write_bytes(private + made.public_bytes(pem))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(place / "both.pem")
    board = Board()
    board.server.socket = context.wrap_socket(board.server.socket, server_side=True)
    thread = threading.Thread(target=board.server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    try:
        yield board.url.replace("http://", "https://")
    finally:
        board.server.shutdown()
        thread.join()
        board.server.server_close()
