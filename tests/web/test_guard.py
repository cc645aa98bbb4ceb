"""Every route and socket, known or not, answers only its own address and its own pages."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from starlette.routing import Route, WebSocketRoute
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from clampwright.web.app import App, own_hosts
from clampwright.web.guard import BETWEEN_PROGRAMS, HEADERS, LARGEST_BODY
from clampwright.web.routes import WAYS

HOST = "127.0.0.1:8123"
OWN = f"http://{HOST}"
FOREIGN = ("http://evil.example", "null", "http://127.0.0.1:8124", "https://127.0.0.1:8123", "")
FOREIGN_HOSTS = ("evil.example", "127.0.0.1", "127.0.0.1:8124", "localhost.evil.example:8123", "")

FILLED = {"job": "trailer-wheel", "version": "0", "name": "a.js"}
ENTRY = "0197f000-0000-7000-8000-000000000001"


def paths(app: App) -> Iterator[tuple[str, str]]:
    """Every HTTP route the application has, its own additions included, and one it has not."""
    for route in app.routes:
        if isinstance(route, Route):
            path = re.sub(r"\{(\w+)(:path)?\}", lambda m: FILLED.get(m[1], ENTRY), route.path)
            for method in sorted((route.methods or set()) - {"HEAD"}):
                yield method, path
    yield "GET", "/no/such/address"
    yield "PUT", "/no/such/address"


def sockets(app: App) -> Iterator[str]:
    """Every socket the application has, and one it has not."""
    found = [route.path for route in app.routes if isinstance(route, WebSocketRoute)]
    assert found
    for path in found:
        yield re.sub(r"\{(\w+)\}", lambda m: FILLED.get(m[1], ENTRY), path)
    yield "/no/such/socket"


@pytest.fixture
def stranger(app: App) -> Iterator[TestClient]:
    """A client that says nothing of itself but what a test gives it."""
    with TestClient(app, base_url=OWN, raise_server_exceptions=False) as found:
        yield found


def test_the_application_has_the_routes_of_the_list_and_its_own_description(app: App) -> None:
    routes = {r.path for r in app.routes if isinstance(r, Route | WebSocketRoute)}
    assert routes == {way.path for way in WAYS} | {"/api/openapi.json"}


@pytest.mark.parametrize("host", FOREIGN_HOSTS)
def test_a_foreign_host_is_refused_everywhere(app: App, stranger: TestClient, host: str) -> None:
    for method, path in paths(app):
        answer = stranger.request(method, path, headers={"host": host, "origin": OWN})
        assert answer.status_code == 421, (method, path)
        assert "only under its own address" in answer.json()["error"]


@pytest.mark.parametrize("origin", FOREIGN)
def test_a_foreign_origin_is_refused_everywhere(
    app: App, stranger: TestClient, origin: str
) -> None:
    for method, path in paths(app):
        answer = stranger.request(method, path, headers={"origin": origin})
        assert answer.status_code == 403, (method, path)
        assert answer.json()["error"] == "only this server's own pages may do that"


def test_what_changes_something_needs_an_origin(app: App, stranger: TestClient) -> None:
    unsafe = [
        (method, path)
        for method, path in paths(app)
        if method != "GET" and path not in BETWEEN_PROGRAMS  # no page can ask there unseen
    ]
    assert len(unsafe) >= 7
    for method, path in unsafe:
        assert stranger.request(method, path).status_code == 403, (method, path)


def test_two_hosts_or_two_origins_are_none(stranger: TestClient) -> None:
    headers = [("host", HOST), ("host", HOST)]
    assert stranger.get("/", headers=headers).status_code == 421
    twice = [("origin", OWN), ("origin", "http://evil.example")]
    assert stranger.get("/", headers=twice).status_code == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"host": "evil.example", "origin": OWN},
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": ""},
        {"origin": "http://127.0.0.1:8124"},
        {"origin": "https://127.0.0.1:8123"},
        {},
    ],
)
def test_a_socket_needs_its_own_host_and_origin(
    app: App, stranger: TestClient, headers: dict[str, str]
) -> None:
    for path in sockets(app):
        with (
            pytest.raises(WebSocketDisconnect) as refused,
            stranger.websocket_connect(f"ws://{HOST}{path}", headers=headers),
        ):
            pass
        assert refused.value.code == 1008


def test_the_own_socket_is_let_in(stranger: TestClient) -> None:
    own = {"origin": OWN}
    with stranger.websocket_connect(f"ws://{HOST}/live/trailer-wheel", headers=own) as socket:
        socket.send_text("no JSON")
        assert "one JSON object a line" in socket.receive_json()["error"]


def test_every_answer_carries_the_headers(app: App, client: TestClient) -> None:
    for method, path in paths(app):
        answer = client.request(method, path, follow_redirects=False)
        for name, wanted in HEADERS.items():
            assert answer.headers.get_list(name) == [wanted], (method, path, name)
        for cookie in answer.headers.get_list("set-cookie"):
            assert {"httponly", "samesite=strict", "path=/"} <= flags(cookie), (method, path)
        kept = "immutable" in answer.headers["cache-control"]
        assert kept is False, (method, path)
    refused = client.get("/", headers={"host": "evil.example"})
    assert refused.headers["content-security-policy"] == HEADERS["content-security-policy"]


def flags(cookie: str) -> set[str]:
    return {part.strip().lower() for part in cookie.split(";")[1:]}


def test_a_page_of_another_site_changes_nothing_anywhere(app: App, client: TestClient) -> None:
    """What a form or a script of another page can send: its own Origin, or that of a frame."""
    for method, path in paths(app):
        if method == "GET" or path in BETWEEN_PROGRAMS:
            continue
        for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data"):
            for origin in ("https://evil.example", "null"):
                headers = {"origin": origin, "content-type": kind, "sec-fetch-site": "cross-site"}
                answer = client.request(method, path, content=b"a=b", headers=headers)
                assert answer.status_code == 403, (method, path, kind)


def test_the_policy_allows_no_inline_script_or_style_and_nothing_from_elsewhere() -> None:
    policy = HEADERS["content-security-policy"]
    assert "unsafe" not in policy
    assert "http" not in policy
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy


def test_a_large_body_is_refused_before_it_is_read(client: TestClient) -> None:
    path = f"/api/jobs/trailer-wheel/pulls/{ENTRY}"
    declared = client.put(path, content=b"x" * (LARGEST_BODY + 1))
    assert declared.status_code == 413
    assert "larger than" in declared.json()["error"]

    def pieces() -> Iterator[bytes]:
        for _ in range(LARGEST_BODY // 1000 + 2):
            yield b"x" * 1000

    assert client.put(path, content=pieces()).status_code == 413


def test_a_failure_of_the_program_is_a_sentence_with_all_headers(
    app: App, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken() -> None:
        raise RuntimeError("a secret of the inside")

    monkeypatch.setattr(app.state.house.desk, "look", broken)
    answer = client.get("/api/jobs")
    assert answer.status_code == 500
    assert "nothing you entered is lost" in answer.json()["error"]
    assert "secret" not in answer.text
    assert answer.headers["content-security-policy"] == HEADERS["content-security-policy"]


def test_own_hosts_are_this_machine_with_the_port() -> None:
    assert own_hosts(80) == {"127.0.0.1", "localhost", "[::1]"}
    assert "localhost:9000" in own_hosts(9000)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-be", "utf-32"])
def test_deep_nesting_is_refused_in_every_form_that_the_parser_takes(
    stranger: TestClient, encoding: str
) -> None:
    body = (" " + "[" * 5000 + "]" * 5000).encode(encoding)
    answer = stranger.post(
        "/api/entries",
        content=body,
        headers={"origin": OWN, "content-type": "application/json"},
    )
    assert answer.status_code == 422
    assert "nested" in answer.json()["error"]
