"""Stand-ins for the world outside: an address that answers, and a time-stamp authority.

The authority is ``openssl ts``: nothing of this project takes part in what it signs.
"""

from __future__ import annotations

import datetime as dt
import shutil
import subprocess
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

NO_OPENSSL = (
    "These tests need the openssl command as an independent time-stamp authority. Install it, for "
    "example on Debian with: apt-get install openssl"
)
CONFIGURED = """\
[tsa]
default_tsa = here
[here]
serial = {folder}/serial
signer_cert = {folder}/signer.pem
signer_key = {folder}/signer.key
certs = {folder}/between.pem
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256, sha512
accuracy = secs:1
ess_cert_id_alg = sha256
"""
DAY = dt.timedelta(days=1)

Reply = tuple[int, str, bytes]


class Authority:
    """A time-stamp authority of three certificates: root, one between, and the signer's."""

    def __init__(self, folder: Path, *, ended: bool = False, purpose: bool = True) -> None:
        assert shutil.which("openssl"), NO_OPENSSL
        folder.mkdir()
        self.folder = folder
        keys = [ec.generate_private_key(ec.SECP256R1()) for _ in range(3)]
        now = dt.datetime.now(dt.UTC)
        root = _certificate("Invented Root", keys[0], "Invented Root", keys[0])
        between = _certificate("Invented Between", keys[1], "Invented Root", keys[0])
        signer = _certificate(
            "Invented Stamps",
            keys[2],
            "Invented Between",
            keys[1],
            signer=True,
            purpose=purpose,
            until=now - DAY if ended else now + DAY,
        )
        self.root = root.public_bytes(Encoding.PEM)
        (folder / "root.pem").write_bytes(self.root)
        (folder / "between.pem").write_bytes(between.public_bytes(Encoding.PEM))
        (folder / "signer.pem").write_bytes(signer.public_bytes(Encoding.PEM))
        (folder / "signer.key").write_bytes(
            keys[2].private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        )
        (folder / "serial").write_text("01\n")
        (folder / "ts.cnf").write_text(CONFIGURED.format(folder=folder))

    def answer(self, request: bytes) -> bytes:
        """Stamp what is asked."""
        asked, given = self.folder / "ask.tsq", self.folder / "answer.tsr"
        asked.write_bytes(request)
        self.run("-reply", "-config", self.folder / "ts.cnf", "-queryfile", asked, "-out", given)
        return given.read_bytes()

    def says(self, answer: bytes, data: bytes) -> bool:
        """Whether openssl itself finds that an answer holds over some data."""
        (self.folder / "check.tsr").write_bytes(answer)
        (self.folder / "check.dat").write_bytes(data)
        done = self.run(
            "-verify",
            *("-data", self.folder / "check.dat"),
            *("-in", self.folder / "check.tsr"),
            *("-CAfile", self.folder / "root.pem"),
            *("-untrusted", self.folder / "between.pem"),
            check=False,
        )
        return done.returncode == 0

    def run(self, *words: str | Path, check: bool = True) -> subprocess.CompletedProcess[bytes]:
        """Run ``openssl ts``."""
        line = ["openssl", "ts", *(str(word) for word in words)]
        return subprocess.run(line, check=check, capture_output=True)


def _certificate(
    name: str,
    key: ec.EllipticCurvePrivateKey,
    issuer: str,
    by: ec.EllipticCurvePrivateKey,
    *,
    signer: bool = False,
    purpose: bool = True,
    until: dt.datetime | None = None,
) -> x509.Certificate:
    now = dt.datetime.now(dt.UTC)
    built = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)]))
        .issuer_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, issuer)]))
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - 30 * DAY)
        .not_valid_after(until or now + 30 * DAY)
        .add_extension(x509.BasicConstraints(ca=not signer, path_length=None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(by.public_key()), critical=False
        )
    )
    if signer and purpose:
        stamping = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING])
        built = built.add_extension(stamping, critical=True)
    return built.sign(by, hashes.SHA256())


@contextmanager
def answering(answer: Callable[[str, bytes], Reply]) -> Iterator[str]:
    """Answer POST requests on a port of this machine while the block runs; yields the address."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["content-length"]))
            status, kind, said = answer(self.path, body)
            self.send_response(status)
            self.send_header("content-type", kind)
            self.send_header("content-length", str(len(said)))
            self.end_headers()
            self.wfile.write(said)

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the base's name
            """Say nothing."""

    server = HTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
