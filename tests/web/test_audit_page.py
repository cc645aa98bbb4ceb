"""Trying a tightened fastener: over the API, on the page, at the terminal, in the record."""

from __future__ import annotations

import json
from typing import Any

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.records import record_of, record_text
from clampwright.cli import group
from clampwright.proof.record import verify
from clampwright.store import Store


@pytest.fixture
def tightened(opened: TestClient, wheel: Any) -> TestClient:
    wheel.settle(opened, 1)
    return opened


def tried(wheel: Any, **more: Any) -> dict[str, Any]:
    body = {
        "joint": "wheel",
        "fastener": 2,
        "way": "first_movement",
        "reading": "30 N·m",
        "read_as": "moving",
        "tool": "electronic-200",
        "note": "cold",
        "device": dict(wheel.device),
    }
    return {**body, **more}


def test_kept_once_shown_and_in_the_record(
    tightened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    page = tightened.get("/jobs/trailer-wheel/audit")
    assert page.status_code == 200
    assert "No way gives back the torque it was tightened to" in page.text
    entry = wheel.entry()
    assert wheel.put(tightened, entry, tried(wheel), "audits").status_code == 201
    assert wheel.put(tightened, entry, tried(wheel), "audits").status_code == 200
    assert wheel.put(tightened, entry, tried(wheel, fastener=3), "audits").status_code == 409
    assert wheel.kinds(workshop).count("joint_audited") == 1
    assert (
        "it takes less than the procedure asks" in tightened.get("/jobs/trailer-wheel/audit").text
    )
    with Store.open(workshop.folder) as store:
        record = record_of(store, "trailer-wheel")
    assert verify(record).ok
    lines = list(record_text(record))
    assert "-- Tried afterwards" in lines
    assert any("Fastener 2" in line and "First movement, 30 N·m: less" in line for line in lines)


WRONG: tuple[tuple[dict[str, Any], int, str], ...] = (
    ({"fastener": 77}, 409, "has no fastener 77"),
    ({"reading": "30"}, 422, ""),
    ({"reading": "30 mm"}, 422, ""),
    ({"tool": "click-60"}, 409, "a click wrench tells only whether it clicked"),
    ({"read_as": "stood"}, 409, "does not click"),
    ({"way": "to_mark", "read_as": "peak"}, 409, "read while it turns"),
    ({"way": "by_ear"}, 422, ""),
    ({"tool": "no-such"}, 409, "the drawer has no"),
)


def test_what_cannot_be_kept_is_told(tightened: TestClient, wheel: Any, workshop: Workshop) -> None:
    before = len(wheel.kinds(workshop))
    for more, status, said in WRONG:
        answer = wheel.put(tightened, wheel.entry(), tried(wheel, **more), "audits")
        assert answer.status_code == status, (more, answer.text)
        assert said in answer.json()["error"]
    assert len(wheel.kinds(workshop)) == before


def test_at_the_terminal(tightened: TestClient, workshop: Workshop) -> None:
    job = workshop.jobs / "trailer-wheel.toml"

    def run(*more: str) -> Any:
        words = ["audit", str(job), "wheel", "--fastener", "1", "--tool", "electronic-200", *more]
        return CliRunner().invoke(group, words)

    assert tightened.get("/").status_code == 200
    less = run("--by", "first_movement", "--read", "30 N·m")
    assert less.exit_code == 1
    assert "LESS: it takes less than the procedure asks" in less.output
    told = json.loads(run("--by", "breakaway", "--read", "31 N·m", "--json").output)
    assert (told["verdict"], told["read_as"]) == ("not known", "peak")
    assert told["received"]["torque"]["unit"] == "N·m"
