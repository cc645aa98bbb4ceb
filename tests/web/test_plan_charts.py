"""Charts under each joint of a plan: pictures from this server, in either look, wide or narrow."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

HEAD = "/jobs/launch-engine-head"


@pytest.mark.parametrize("show", ["fan", "curve", "contributions"])
def test_a_chart_of_a_job_not_begun(client: TestClient, show: str) -> None:
    page = client.get(HEAD).text
    address = f"{HEAD}/charts/head/{show}.svg"
    assert f'src="{address}"' in page
    answer = client.get(address)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "image/svg+xml"
    assert answer.text.startswith("<svg")
    assert "<script" not in answer.text


def test_looks_and_sizes_differ(client: TestClient) -> None:
    address = f"{HEAD}/charts/head/curve.svg"
    ways = ("", "?look=dark", "?size=narrow", "?look=dark&size=narrow")
    drawn = {way: client.get(address + way).text for way in ways}
    assert len(set(drawn.values())) == 4
    assert "#11161c" in drawn["?look=dark"]
    wide, narrow = (float(drawn[way].split('width="')[1].split('"')[0]) for way in ways[::2])
    assert narrow < 450 < wide


def test_an_opened_job_keeps_its_pinned_plan(opened: TestClient) -> None:
    assert opened.get("/jobs/trailer-wheel/charts/wheel/fan.svg").status_code == 200


@pytest.mark.parametrize(("path", "status"), [
    (f"{HEAD}/charts/no/curve.svg", 404),
    ("/jobs/no-such-job/charts/head/curve.svg", 404),
    (f"{HEAD}/charts/head/other.svg", 422),
    (f"{HEAD}/charts/head/curve.svg?look=pink", 422),
    ("/jobs/gearbox-drain-plug/charts/plug/curve.svg", 422),
])  # fmt: skip
def test_what_there_is_not_is_a_sentence(client: TestClient, path: str, status: int) -> None:
    answer = client.get(path)
    assert answer.status_code == status
    assert "Traceback" not in answer.text


def test_a_joint_without_clamp_load_has_no_charts_and_says_why(client: TestClient) -> None:
    page = client.get("/jobs/gearbox-drain-plug").text
    assert "/charts/" not in page
    assert "No clamp load is worked out here" in page
    assert "No clamp load is worked out here" not in client.get(HEAD).text
