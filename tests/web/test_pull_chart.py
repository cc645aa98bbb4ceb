"""The chart of a recorded pull is drawn from what was judged, upright and in the page's size."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.session import Session
from clampwright.store import Store
from clampwright.trace.model import Trace
from clampwright.trace.writing import write_csv
from clampwright.work.fold import PullKey


def recorded(place: Workshop, job: str, sign: float) -> str:
    """Take a recorded pull of the second stage, turned one way or the other; return its entry."""
    counted = np.linspace(0.0, 45.0, 900)
    torque = np.clip(2.4 * (counted - 7.0), 0.0, 90.4)
    data = write_csv(Trace(np.arange(900) / 200.0, sign * torque, sign * counted))
    with Store.open(place.folder) as store:
        session = Session(store, job, place.papers)
        key = PullKey("wheel", 2, 1)
        reading = session.trace_reading(key, data, "pull", "electronic-200")
        return session.take(key, reading, tool_id="electronic-200").receipt.id


def highest(chart: dict[str, Any]) -> float:
    lines = [layer for layer in chart["layer"] if layer["mark"].get("type") == "line"]
    return max(float(row["y"]) for layer in lines for row in layer["data"]["values"])


@pytest.mark.parametrize("left_hand", [False, True])
def test_a_left_hand_pull_is_drawn_upright(
    client: TestClient, workshop: Workshop, wheel: Any, *, left_hand: bool
) -> None:
    if left_hand:
        file = workshop.jobs / f"{wheel.job}.toml"
        text = file.read_text("utf-8")
        file.write_text(text.replace("[[joint]]\n", "[[joint]]\nleft_hand = true\n", 1), "utf-8")
    assert client.post(f"/api/jobs/{wheel.job}/opening").status_code == 201
    entry = recorded(workshop, wheel.job, -1.0 if left_hand else 1.0)
    chart = client.get(f"/api/jobs/{wheel.job}/pulls/{entry}/chart").json()
    assert highest(chart) >= 85.0


def test_a_phone_gets_a_narrow_chart_with_letters_as_large(
    opened: TestClient, workshop: Workshop, wheel: Any
) -> None:
    entry = recorded(workshop, wheel.job, 1.0)
    address = f"/api/jobs/{wheel.job}/pulls/{entry}/chart.svg"
    wide, narrow = (opened.get(f"{address}?size={size}").text for size in ("wide", "narrow"))

    def width(svg: str) -> float:
        return float(svg.partition('width="')[2].partition('"')[0].removesuffix("px"))

    assert width(narrow) < 0.75 * width(wide)
    assert 'font-size="17px"' in narrow
    assert opened.get(f"{address}?size=huge").status_code == 422
    over_time = opened.get(f"{address}?over=time").text
    assert ">time, s<" in over_time
    assert ">time, s<" not in wide
