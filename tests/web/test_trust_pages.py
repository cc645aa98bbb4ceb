"""Phones: how they get in, come to trust the server, and see what works."""

from __future__ import annotations

import datetime as dt
import json
import os
import re
import signal
import ssl
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx2
import pytest
from click.testing import CliRunner, Result
from cryptography import x509
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.trust import Trust
from clampwright.cli import group
from clampwright.errors import Missing, Refused
from clampwright.proof.certificates import fingerprint
from clampwright.web.app import create_app
from clampwright.web.door import Door
from clampwright.web.trust_door import trust_app

COMMAND = str(Path(sys.executable).with_name("clampwright"))
NAMES = ("192.168.1.7", "bench.local", "127.0.0.1")


@pytest.fixture
def secured(workshop: Workshop) -> Door:
    """The way in of a server that speaks https on the workshop's network."""
    Trust(workshop.folder).ready(NAMES, dt.datetime.now(dt.UTC))
    return Door(NAMES, 8123, "https", 8124)


@pytest.fixture
def by_https(workshop: Workshop, secured: Door) -> Iterator[TestClient]:
    app = create_app(workshop.folder, hosts=secured.hosts, door=secured)
    own = "https://192.168.1.7:8123"
    with TestClient(app, base_url=own, headers={"origin": own}) as found:
        yield found


def test_for_this_machine_alone_it_says_how_to_serve_the_network(client: TestClient) -> None:
    page = client.get("/trust").text
    assert "serve --https --host 0.0.0.0" in page
    assert "for this machine alone" in page
    assert client.get("/trust/authority.crt").status_code == 404
    assert 'href="/trust"' in client.get("/").text


def test_by_https_it_shows_codes_fingerprint_and_steps(
    workshop: Workshop, by_https: TestClient
) -> None:
    page = by_https.get("/trust").text
    for address in (
        "http://192.168.1.7:8124/trust",
        "http://bench.local:8124/trust",
        "https://192.168.1.7:8123/",
        "https://bench.local:8123/",
    ):
        assert f'href="{address}"' in page
    assert page.count("<svg") == 4
    assert "127.0.0.1" not in page
    found = Trust(workshop.folder).read_authority()
    shown = re.search(r'<p class="fingerprint">(.*?)</p>', page, re.DOTALL)
    assert shown
    figures = re.sub(r"<br>|\s", "", shown[1])
    assert bytes.fromhex(figures) == found.certificate.fingerprint(
        found.certificate.signature_hash_algorithm or pytest.fail("no hash")
    )
    sent = by_https.get("/trust/authority.crt")
    assert sent.headers["content-type"] == "application/x-x509-ca-cert"
    assert x509.load_der_x509_certificate(sent.content) == found.certificate


def test_by_https_only_its_own_https_pages_may_change_something(by_https: TestClient) -> None:
    path = "/api/jobs/trailer-wheel/opening"
    plain = {"origin": "http://192.168.1.7:8123"}
    assert by_https.post(path, headers=plain).status_code == 403
    assert by_https.post(path, headers={"origin": "https://bench.local:8123"}).status_code == 403
    assert by_https.post(path).status_code == 201


def test_the_plain_door_gives_the_authority_and_nothing_else(
    workshop: Workshop, secured: Door
) -> None:
    app = create_app(workshop.folder, hosts=secured.hosts, door=secured)
    plain = TestClient(trust_app(app.state.house), base_url="http://192.168.1.7:8124")
    assert plain.get("/trust").status_code == 200
    assert plain.get("/").status_code == 200
    assert plain.get("/trust/authority.crt").status_code == 200
    for path in (
        "/api/jobs",
        "/jobs/trailer-wheel",
        "/drawer",
        "/api/openapi.json",
        "/static/0/none.js",
    ):
        assert plain.get(path).status_code == 404
    assert plain.post("/trust").status_code in {403, 405}
    assert plain.get("/trust", headers={"host": "elsewhere.example"}).status_code == 421


def test_the_command_serves_https_that_its_authority_vouches_for(workshop: Workshop) -> None:
    with subprocess.Popen(
        [COMMAND, "serve", "--workshop", workshop.folder, "--port", "0", "--https",
         "--trust-port", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    ) as process:  # fmt: skip
        assert process.stdout is not None
        told = process.stdout.readline() + process.stdout.readline()
        server = re.search(r"https://127\.0\.0\.1:\d+/", told)
        plain = re.search(r"http://127\.0\.0\.1:\d+/trust", told)
        assert server, told
        assert plain, told
        authority = httpx2.get(f"{plain[0]}/authority.crt").content
        vouched = ssl.create_default_context(cadata=authority)
        assert httpx2.get(server[0], verify=vouched).status_code == 200
        with pytest.raises(httpx2.ConnectError, match="certificate"):
            httpx2.get(server[0], verify=ssl.create_default_context())
        process.send_signal(signal.SIGINT)
        rest, errors = process.communicate(timeout=20)
    assert "Traceback" not in rest + errors


def test_a_certificate_that_does_not_serve_is_told(workshop: Workshop, tmp_path: Path) -> None:
    spoilt = tmp_path / "bench.pem"
    spoilt.write_text("no certificate")
    done = subprocess.run(
        [COMMAND, "serve", "--workshop", workshop.folder, "--port", "0", "--certificate", spoilt],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 2
    assert "bench.pem cannot be shown as a certificate" in done.stderr
    assert "Traceback" not in done.stderr


def test_the_trust_command_shows_saves_and_renews(workshop: Workshop, tmp_path: Path) -> None:
    def run(*arguments: str) -> Result:
        return CliRunner().invoke(
            group, ["trust", "--workshop", str(workshop.folder), *arguments], standalone_mode=False
        )

    assert isinstance(run().exception, Missing)
    made = Trust(workshop.folder).anew(dt.datetime.now(dt.UTC))
    file = tmp_path / "authority.crt"
    assert "Good until" in run("--save", str(file)).output
    assert x509.load_der_x509_certificate(file.read_bytes()) == made.certificate
    assert isinstance(run("--save", str(file)).exception, Refused), "nothing is written over"
    told = json.loads(run("--anew", "--json").output)
    renewed = Trust(workshop.folder).read_authority().certificate
    assert renewed != made.certificate
    assert told["fingerprint"] == fingerprint(renewed)


def test_extras_are_tried_on_the_device(handset: Any, nearby: Any) -> None:
    page = handset.page
    page.goto(f"{nearby.address}/extras")
    rows = page.locator(".extra")
    page.wait_for_function("() => document.querySelectorAll('.extra').length >= 9")
    told = rows.all_inner_texts()
    assert any("Trusted connection" in one and "works" in one for one in told)
    assert any("Keeping entries" in one and "works" in one for one in told)
    assert all("works" in one or "after a touch" in one or "does not" in one for one in told)


def test_over_plain_http_extras_say_why_not_and_what_instead(handset: Any, nearby: Any) -> None:
    handset.page.add_init_script("Object.defineProperty(window, 'isSecureContext', {value: false})")
    handset.page.goto(f"{nearby.address}/extras")
    handset.page.wait_for_function("() => document.querySelectorAll('.extra').length >= 9")
    told = handset.page.locator(".extra.is-not").all_inner_texts()
    assert any("This page came by plain http" in one for one in told)
    assert any("keep the page open" in one for one in told)
    assert any("use marks, or an angle gauge" in one for one in told)
