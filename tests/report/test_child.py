"""The other process is held to its limits and reaches nothing outside."""

from __future__ import annotations

import socket
from contextlib import suppress
from typing import Any

import pytest

from clampwright.errors import Refused
from clampwright.report import child
from clampwright.report.charts import charts_svg

PLAIN: dict[str, Any] = {
    "data": {"values": [{"a": 1, "b": 2}, {"a": 2, "b": 1}]},
    "mark": "line",
    "encoding": {
        "x": {"field": "a", "type": "quantitative"},
        "y": {"field": "b", "type": "quantitative"},
    },
}


def test_the_listener_hears_a_connection(listening: Any) -> None:
    with listening() as (address, heard):
        port = int(address.rpartition(":")[2])
        with socket.create_connection(("127.0.0.1", port)) as connection:
            connection.sendall(b"hello")
            connection.shutdown(socket.SHUT_WR)
            connection.recv(1)
    assert heard == [b"hello"]


def test_data_from_an_address_are_not_fetched(listening: Any) -> None:
    with listening() as (address, heard):
        spec = PLAIN | {"data": {"url": f"{address}/data.json"}}
        picture = PLAIN | {
            "mark": {"type": "image", "url": f"{address}/picture.png", "width": 9, "height": 9}
        }
        for one in (spec, picture):
            with suppress(Refused):  # drawn without it or not at all: only nothing may go out
                charts_svg([one])
    assert heard == []


def test_too_slow_a_task_is_stopped_and_says_so() -> None:
    with pytest.raises(Refused, match="1 s"):
        child.run("charts", [PLAIN] * 2000, seconds=1)


def test_too_hungry_a_task_is_stopped_and_says_so() -> None:
    with pytest.raises(Refused, match="200 MB"):
        child.run("charts", [PLAIN], megabytes=200)


def test_what_cannot_be_drawn_is_refused_in_one_line() -> None:
    with pytest.raises(Refused) as caught:
        charts_svg([{"mark": 17}])
    assert str(caught.value).startswith("it could not be drawn: ")
    assert "\n" not in str(caught.value)
