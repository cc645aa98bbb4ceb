"""The pages of the past, from the log."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import pytest
from click.testing import CliRunner
from looked_over import complaints
from postgres import on_both

from clampwright.bench.days import today
from clampwright.bench.folder import open_session
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.bench.rehearsal import rehearse
from clampwright.cli import group

if TYPE_CHECKING:
    from starlette.testclient import TestClient

    from clampwright.bench.folder import Workshop

TRAILER = "Boat trailer, single axle (invented)"


@pytest.fixture
def pulled(opened: TestClient, wheel: Any) -> TestClient:
    """The wheel job with its first stage done, and one pull above the limit after it."""
    wheel.settle(opened, 1)
    assert wheel.put(opened, wheel.entry(), wheel.value(1, "120")).status_code == 201
    return opened


def test_before_the_first_job_there_is_nothing_and_that_is_said(client: TestClient) -> None:
    assert "No job was begun yet." in client.get("/history").text
    assert client.get("/api/machines").json() == {"machines": []}
    assert client.get("/api/pulls").json() == {"pulls": [], "more": False}
    assert "No pull fits." in client.get("/find").text


@on_both
def test_a_machine_leads_to_its_joints_and_they_to_the_job(pulled: TestClient) -> None:
    listed = pulled.get("/history").text
    where = f"/history/machine?name={quote(TRAILER, safe='/')}"
    assert where.replace("&", "&amp;") in listed
    page = pulled.get(where).text
    assert "Left wheel" in page
    assert "clamp load planned" in page.casefold()
    assert "<td>over</td>" in page
    assert 'href="/jobs/trailer-wheel"' in page
    told = pulled.get("/api/machines/history", params={"name": "boat trailer"}).json()
    assert told["machine"] == TRAILER
    assert told["joints"][0]["visits"][0]["fasteners"][0]["verdict"] == "over"


def test_pulls_are_found_by_the_form(pulled: TestClient) -> None:
    page = pulled.get("/find", params={"verdict": "over", "machine": "trailer"}).text
    assert page.count("<strong>over</strong>") == 1
    assert "120" in page
    assert "electronic-200" in page
    assert '<option value="over" selected>over</option>' in page
    none = pulled.get("/find", params={"tool": "beam"})
    assert (none.status_code, "No pull fits." in none.text) == (200, True)
    found = pulled.get("/api/pulls", params={"tool": "click", "most": 2}).json()
    assert (len(found["pulls"]), found["more"]) == (2, True)


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"since": "yesterday"}, "is no day; write it as 2026-03-01"),
        ({"since": "2026-03-02", "until": "2026-03-01"}, "is after the last"),
        ({"verdict": "<b>"}, "there is no verdict"),
    ],
)
def test_what_cannot_be_looked_for_is_said(
    pulled: TestClient, asked: dict[str, str], says: str
) -> None:
    page = pulled.get("/find", params=asked)
    assert page.status_code == 422
    assert says in page.text.replace("There is", "there is")
    assert "<b>" not in page.text
    told = pulled.get("/api/pulls", params=asked)
    assert told.status_code in {409, 422}
    assert says in told.json()["error"]


def test_a_machine_that_is_not_there_is_said(pulled: TestClient) -> None:
    page = pulled.get("/history/machine", params={"name": "lathe"})
    assert page.status_code == 404
    assert "no job was begun on a machine" in page.text.casefold()


@on_both
def test_the_commands_show_the_same(pulled: TestClient, workshop: Workshop) -> None:
    def run(*arguments: str) -> str:
        where = ["--workshop", str(workshop.folder)]
        return CliRunner().invoke(group, [*arguments, *where]).output

    assert pulled.get("/api/machines").json()["machines"][0]["machine"] == TRAILER
    assert TRAILER in run("history")
    shown = run("history", "trailer")
    assert re.search(r"  1  over +1(19|20)\.\d N·m", shown), "read, less the wrench's deviation"
    assert "over" in run("find", "wheel", "--verdict", "over")
    assert "No pull fits." in run("find", "gearbox")
    assert "There are more" in run("find", "--most", "1")


def test_axe_finds_nothing_and_nothing_runs_out_of_the_side(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    """The same head done twice, so that there is something to compare."""
    first = workshop.jobs / "propeller-coupling.toml"
    again = workshop.jobs / "propeller-coupling-again.toml"
    again.write_text(first.read_text("utf-8").replace('"propeller-coupling"', f'"{again.stem}"'))
    for job in (first, again):
        with open_session(workshop, job, today=today()) as session:
            rehearse(session, SimulatedMechanic(session.plan, seed=1), lambda *_: None)
    page = handset.page
    for path in ("/history", "/history/machine?name=stern%20gear", "/find?text=coupling"):
        page.goto(f"{nearby.address}{path}")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        assert complaints(page) == [], path
