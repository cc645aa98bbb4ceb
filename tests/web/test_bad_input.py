"""Whatever is sent: an answer in words, never a failure of the program, and nothing stored."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import quote

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop

JOB = "trailer-wheel"
REFUSED = {400, 404, 409, 413, 422}
ADDRESS = "ws://127.0.0.1:8123/live/trailer-wheel"

names = st.sampled_from(
    ["joint", "stage", "fastener", "tool", "adapter", "reading", "device", "kind", "value", "unit"]
)
plain = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=12),
    st.sampled_from(["wheel", "value", "click", "angle", "done", "N·m", "electronic-200", "1e999"]),
)
anything = st.recursive(
    plain,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(names, inner, max_size=5),
    max_leaves=12,
)
often = settings(
    max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)


@often
@given(body=anything)
def test_any_body(opened: TestClient, workshop: Workshop, wheel: Any, body: Any) -> None:
    for way in ("pulls", "acceptances", "restarts", "closings"):
        answer = wheel.put(opened, wheel.entry(), body, way)
        assert answer.status_code in REFUSED, answer.text
        assert set(answer.json()) == {"error"}
    assert wheel.kinds(workshop) == ["job_opened"]


@often
@given(part=st.sampled_from(["joint", "tool", "reading", "device", "stage"]), other=anything)
def test_one_part_of_a_good_body_replaced(
    opened: TestClient, wheel: Any, part: str, other: Any
) -> None:
    """It may happen to be a good one again; then it is taken, and only once."""
    answer = wheel.put(opened, wheel.entry(), {**wheel.click(1), part: other})
    assert answer.status_code in REFUSED | {201}, answer.text


@often
@given(figure=st.text(max_size=20))
def test_any_figure(opened: TestClient, wheel: Any, figure: str) -> None:
    answer = wheel.put(opened, wheel.entry(), wheel.value(1, figure))
    assert answer.status_code in REFUSED | {201}, answer.text


@often
@given(address=st.text(max_size=30))
def test_any_address(opened: TestClient, address: str) -> None:
    for folder in ("/api/jobs/", "/jobs/", "/static/", "/"):
        answer = opened.get(folder + quote(address, errors="surrogatepass"))
        assert answer.status_code < 500, answer.text


@often
@given(message=anything | st.text(max_size=40), started=st.booleans())
def test_any_message_of_a_wrench(
    opened: TestClient, wheel: Any, message: Any, *, started: bool
) -> None:
    with opened.websocket_connect(ADDRESS) as wrench:
        if started:
            start = {"joint": "wheel", "stage": 1, "fastener": 1}
            begin = {"pull": start, "tool": "electronic-200", "entry": wheel.entry()}
            wrench.send_text(json.dumps(begin))
            wrench.receive_json()
        text = message if isinstance(message, str) else json.dumps(message)
        wrench.send_text(text if text.strip() else "{")
        told = wrench.receive_json()
        while "changed" in told:  # said to every page whenever the log was looked at
            told = wrench.receive_json()
        assert set(told) & {"error", "stopped", "live"}
