"""``clampwright archive``, and the page that shows what it found."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from fleet import Day
from starlette.testclient import TestClient

from clampwright.archive.layout import Archive
from clampwright.cli import group
from clampwright.cli.archive import ARCHIVE_COMMANDS
from clampwright.errors import ClampwrightError
from clampwright.web import archive_pages
from clampwright.web.app import create_app

HOST = "127.0.0.1:8123"
OWN = f"http://{HOST}"


def call(*args: object) -> Result:
    return CliRunner().invoke(group, ["archive", *map(str, args)])


def as_json(*args: object) -> Any:
    return json.loads(call(*args, "--json").stdout)


def refused(*args: object) -> str:
    """The sentence a command ends with."""
    found = call(*args)
    assert isinstance(found.exception, ClampwrightError), found.output
    return str(found.exception)


@pytest.fixture
def chain(few: Archive) -> Archive:
    """Few of them: the numbers are looked at elsewhere."""
    return few


def test_putting_and_showing(day: Day, tmp_path: Path) -> None:
    archive = tmp_path / "chain"
    first = call("put", archive, day.place.folder)
    assert first.exit_code == 0
    assert "6 traces are new" in first.stdout
    again = as_json("put", archive, day.place.folder)["put"][0]
    assert (again["entries"], again["traces"], again["known"]) == (0, 0, len(day.entries))
    shown = call("show", archive)
    assert shown.exit_code == 0
    assert "6 traces with" in shown.stdout
    (held,) = as_json("show", archive)["workshops"]
    assert (held["entries"], held["places_missing"], held["damaged"]) == (len(day.entries), 0, [])


def test_a_record_alone_leaves_places_missing(day: Day, tmp_path: Path) -> None:
    record = next(day.place.records.glob("*.json"))
    put = call("put", tmp_path / "chain", record)
    assert put.exit_code == 1
    assert "came without its trace" in put.stdout
    shown = call("show", tmp_path / "chain")
    assert shown.exit_code == 0  # the record holds the log from its first entry on
    by_papers = as_json("put", tmp_path / "chain", record, "--papers", day.place.folder / "papers")
    assert by_papers["put"][0]["traces"] == 6


@pytest.mark.parametrize("name", ["rejudge", "drift", "friction", "outlying", "procedures"])
def test_every_analysis_answers_in_words_and_as_data(name: str, chain: Archive) -> None:
    found = call(name, chain.folder)
    assert found.exit_code == (1 if name == "outlying" else found.exit_code)
    assert found.exit_code in {0, 1}
    assert "Pieces of work" in found.stdout
    told = as_json(name, chain.folder)
    assert told["work"]["before"] == told["work"]["pieces"]
    assert told["analysis"] == name


def test_looking_back(chain: Archive) -> None:
    log = ("--log", "invented-1.log")
    found = call("look-back", chain.folder, *log, "--tool", "click-60")
    assert found.exit_code == 0
    assert "Invented workshop 1 (click-60)" in found.stdout
    assert "nothing was done" not in found.stdout
    bad = as_json("bad-calibration", chain.folder, "--laboratory", "nobody", "--error", "20")
    assert bad["found"]["calibrations"] == []
    with_two = refused("bad-calibration", chain.folder, "--device", "x", "--certificate", "y")
    assert "by one of --certificate" in with_two
    assert "has no tool" in refused("look-back", chain.folder, *log, "--tool", "x")


def test_what_changed_is_written_as_a_table(chain: Archive, tmp_path: Path) -> None:
    file = tmp_path / "changes.csv"
    assert call("rejudge", chain.folder, "--changes", file).exit_code == 0
    with file.open(newline="") as rows:
        assert next(csv.reader(rows))[:3] == ["workshop", "id", "place"]


def test_a_damaged_part_ends_in_one_sentence(chain: Archive) -> None:
    part = next(chain.parts("traces"))
    part.path.write_bytes(b"PAR1")
    assert "damaged or was cut off" in refused("rejudge", chain.folder)
    set_aside = call("rejudge", chain.folder, "--set-aside")
    assert set_aside.exit_code == 1
    assert f"Set aside: {chain.told(part.path)}" in set_aside.stdout
    assert call("show", chain.folder).exit_code == 1


def test_no_archive_is_said(tmp_path: Path) -> None:
    assert "holds no archive" in refused("show", tmp_path / "none")
    assert "say with --given" in refused("put", tmp_path / "a", __file_of_traces(tmp_path))


def __file_of_traces(tmp_path: Path) -> Path:
    file = tmp_path / "rig.parquet"
    file.write_bytes(b"PAR1")
    return file


def test_every_command_says_what_it_does() -> None:
    for name in ARCHIVE_COMMANDS:
        assert call(name, "--help").exit_code == 0


@pytest.fixture
def client(day: Day) -> Any:
    app = create_app(day.place.folder, hosts=[HOST])
    with TestClient(app, base_url=OWN, headers={"origin": OWN}) as found:
        yield found
    (day.place.folder / "archive.toml").unlink(missing_ok=True)


def test_the_page_shows_the_newest_results(
    client: Any, day: Day, chain: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "points at no archive" in client.get("/archive").text
    pointer = day.place.folder / "archive.toml"
    pointer.write_text(f'folder = "{chain.folder}"\n')
    assert "No analysis of this archive was made yet" in client.get("/archive").text
    for name in ("friction", "outlying", "drift"):
        call(name, chain.folder)
    page = client.get("/archive").text
    assert "Friction by condition" in page
    assert "/archive/charts/friction.svg" in page
    assert "Invented workshop 3" in page
    assert "are drawn" not in page, "all four are"
    monkeypatch.setattr(archive_pages, "DRAWN", 3)
    german = client.get("/archive", headers={"accept-language": "de"}).text
    assert german.count("Die ersten 3 von 4 sind gezeichnet.") == 2
    assert re.search(r"<td>0,\d{3} – 0,\d{3}</td>", german)
    assert not re.search(r"<td>[+-]?\d+\.\d+[^.\d]", german), (
        "figures by the language; days have points"
    )
    assert len(client.get("/api/archive").json()["results"]) == 3
    for show in ("friction", "drift"):
        drawn = client.get(f"/archive/charts/{show}.svg?look=strong&size=narrow")
        assert drawn.status_code == 200
        assert drawn.headers["content-type"] == "image/svg+xml"
        assert "Invented workshop" in drawn.text
    assert client.get("/archive/charts/other.svg").status_code == 422


def test_a_pointer_that_leads_nowhere_is_said(client: Any, day: Day, tmp_path: Path) -> None:
    pointer = day.place.folder / "archive.toml"
    pointer.write_text(f'folder = "{tmp_path / "gone"}"\n')
    page = client.get("/archive")
    assert page.status_code == 422
    assert "holds no archive" in page.text
    pointer.write_text("folders = 1\n")
    assert (
        "did you mean" in client.get("/archive").text or client.get("/archive").status_code == 422
    )
    assert client.get("/archive/charts/friction.svg").status_code in {404, 422}


def test_a_plan_multiplies_what_was_measured(day: Day, tmp_path: Path) -> None:
    archive = tmp_path / "chain"
    assert call("put", archive, day.place.folder).exit_code == 0
    assert "was not made on this archive yet" in refused("plan", archive, "--workshops", 9)
    for name in ("rejudge", "drift", "friction", "outlying", "procedures"):
        call(name, archive)
    one = as_json("plan", archive, "--workshops", 1, "--years", 1)
    many = as_json("plan", archive, "--workshops", 1000, "--years", 1, "--price", 2, "--workers", 4)
    assert many["bytes"] == pytest.approx(1000 * one["bytes"])
    for name, hours in many["first_core_hours"].items():
        assert hours == pytest.approx(1000 * one["first_core_hours"][name])
    assert many["money"]["first"] == pytest.approx(2 * many["core_hours"]["first"])
    assert many["hours"]["first"] == pytest.approx(many["core_hours"]["first"] / (4 * 0.9))
    assert many["costs"]["entries"] == len(day.entries)
    shown = call("plan", archive, "--workshops", 1000, "--price", 2)
    assert shown.exit_code == 0
    assert "Money:" in shown.stdout
