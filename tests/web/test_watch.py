"""What the server tells of itself."""

from __future__ import annotations

import json
import logging
from typing import TYPE_CHECKING, Any

import pytest
from prometheus_client.parser import text_string_to_metric_families

from clampwright.web.watch import JsonLines

if TYPE_CHECKING:
    from starlette.testclient import TestClient

    from clampwright.bench.folder import Workshop


def figures(client: TestClient) -> dict[tuple[str, frozenset[tuple[str, str]]], float]:
    """The figures as the collector's own parser reads them."""
    answer = client.get("/metrics")
    assert answer.headers["content-type"].startswith("text/plain")
    return {
        (one.name, frozenset(one.labels.items())): one.value
        for family in text_string_to_metric_families(answer.text)
        for one in family.samples
    }


def of(found: Any, name: str, **labels: str) -> float:
    value: float = found[name, frozenset(labels.items())]
    return value


def test_figures_follow_what_happens(opened: TestClient, wheel: Any) -> None:
    wheel.settle(opened, 1)
    found = figures(opened)
    assert of(found, "clampwright_standing_pulls", verdict="within") == 5
    assert of(found, "clampwright_log_entries") == 7
    assert of(found, "clampwright_disk_free_bytes") > 0
    put = {"method": "PUT", "address": "/api/jobs/{job}/pulls/{entry}", "status": "201"}
    assert of(found, "clampwright_requests_total", **put) == 5
    assert of(found, "clampwright_request_seconds_count", address=put["address"]) == 5


def test_addresses_of_nobodys_do_not_make_the_figures_grow(client: TestClient) -> None:
    for number in range(20):
        client.get(f"/nothing/{number}")
        client.request(f"BREW{number}", "/")
    found = figures(client)
    name = "clampwright_requests_total"
    assert of(found, name, method="GET", address="unknown", status="404") == 20
    assert of(found, name, method="unknown", address="/", status="405") == 20
    assert not [one for one in found if any("/nothing" in value for _key, value in one[1])]


def test_it_is_able_until_its_log_is_not(opened: TestClient, workshop: Workshop) -> None:
    assert opened.get("/healthz").json() == {"able": True, "problems": []}
    store = workshop.folder / "workshop.sqlite"
    store.write_bytes(b"spoilt" * 100)
    answer = opened.get("/healthz")
    assert answer.status_code == 503
    assert "workshop.sqlite" in answer.json()["problems"][0]


def test_too_little_room_is_told(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("clampwright.web.watch.LEAST_ROOM", 1e18)
    answer = client.get("/healthz")
    assert answer.status_code == 503
    assert "MB are free" in answer.json()["problems"][0]


def test_the_log_names_patterns_never_what_was_sent(
    opened: TestClient, wheel: Any, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.INFO, "clampwright"):
        wheel.put(opened, wheel.entry(), wheel.click(1))
        opened.get("/find?person=secret-person")
    lines = [json.loads(JsonLines().format(record)) for record in caplog.records]
    told = json.dumps(lines)
    assert {"method": "PUT", "address": "/api/jobs/{job}/pulls/{entry}", "status": 201}.items() <= (
        lines[0].items()
    )
    assert all(line["milliseconds"] >= 0 for line in lines)
    for private in ("trailer-wheel", "secret-person", "click-60", "device-0123456789ab"):
        assert private not in told


def test_an_error_stands_in_its_line() -> None:
    error = RuntimeError("spring broke")
    record = logging.LogRecord(
        "clampwright.web", logging.ERROR, "", 0, "unexpected\nerror", (), (type(error), error, None)
    )
    line = JsonLines().format(record)
    assert "\n" not in line
    assert "spring broke" in json.loads(line)["error"]
