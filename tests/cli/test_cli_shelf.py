"""``clampwright shelf``: from a text with a question to a job that pins one version."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, load_plan, open_session, open_store
from clampwright.cli import group
from clampwright.errors import Ambiguous, ClampwrightError, Refused

PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + (8).to_bytes(4, "big") * 2 + bytes(40)
SOURCE = ("--source", "Gauge leaflet (invented)", "--page", "2", "--by", "A. Fitter")
FEW = ("--pattern", "circle", "--count", "4", "--diameter-mm", "60", "--harm-level", "3")
RULES = ("--torque-percent", "8", "--angle-deg", "5")
M6 = ("--thread", "M6", "--strength", "8.8", "--head", "ISO 4014/4017", "--friction", "oiled")


@pytest.fixture
def asks(tmp_path: Path) -> str:
    file = tmp_path / "gauge.txt"
    file.write_text("Oil the threads. Torque the bolts to 20 lbs.\n", "utf-8")
    return str(file)


def run(place: Workshop, *arguments: str, typed: str | None = None) -> Result:
    return CliRunner().invoke(
        group, ["shelf", *arguments, "--workshop", str(place.folder)], input=typed
    )


def add(place: Workshop, file: str, *more: str, typed: str | None = None) -> Result:
    return run(place, "add", file, "--title", "Gauge cover", *SOURCE, *more, typed=typed)


def shelved(place: Workshop) -> list[str]:
    if not (place.folder / "workshop.sqlite").exists():
        return []
    with open_store(place, write=False) as store:
        return [entry["kind"] for entry in store.entries() if "procedure" in entry["kind"]]


def test_from_a_question_to_the_bench(workshop: Workshop, asks: str, tmp_path: Path) -> None:
    photograph = tmp_path / "page.png"
    photograph.write_bytes(PNG)
    done = add(workshop, asks, "--settle", *M6, "--attach", str(photograph), typed="2\n")
    assert done.exit_code == 0, done.output
    assert "Reading 2 is taken." in done.output
    assert "gauge-cover, version 1: Gauge cover" in done.output
    assert "No second person has compared it with its source yet" in done.output
    seen = run(workshop, "confirm", "gauge-cover", "--version", "1", "--by", "B. Reader")
    assert "Compared with its source by B. Reader" in seen.output
    listed = run(workshop, "list", "--find", "GAUGE leaflet").output
    assert listed.startswith("gauge-cover, version 1: Gauge cover")
    shown = run(workshop, "show", "gauge-cover").output
    assert "* 2  torque 20 in·lbf" in shown
    assert "  1. torque 20 in·lbf" in shown
    assert "File: page.png, " in shown
    given = ("--title", "Gauge again", "--machine", "Compressor (invented)", *FEW, *RULES, *M6)
    made = run(workshop, "job", "gauge-cover", *given, "--json")
    assert json.loads(made.output)["job"] == "gauge-again"
    file = Path(json.loads(made.output)["file"])
    with open_session(workshop, file, today=today()) as session:
        assert session.plan.joints[0].stages[0].stage.unit == "in·lbf"
        assert (session.state.opened or {})["shelf"][0]["confirmed"][0]["entry"]


def test_a_question_that_is_open_keeps_nothing(workshop: Workshop, asks: str) -> None:
    done = add(workshop, asks)
    assert isinstance(done.exception, Ambiguous)
    assert done.exception.readings == ("torque 20 ft·lbf", "torque 20 in·lbf")
    left = add(workshop, asks, "--settle", typed="q\n")
    assert isinstance(left.exception, Ambiguous)
    assert shelved(workshop) == []


def test_what_no_choice_can_settle_is_kept_open_and_used_by_no_job(
    workshop: Workshop, asks: str
) -> None:
    Path(asks).write_text("Tighten the cover securely.\n", "utf-8")
    assert isinstance(add(workshop, asks).exception, Ambiguous)
    kept = add(workshop, asks, "--stays-open")
    assert kept.exit_code == 0, kept.output
    assert "Open, so no job can use it: " in kept.output
    given = ("--title", "Gauge again", "--machine", "Compressor (invented)", *FEW, *RULES, *M6)
    used = run(workshop, "job", "gauge-cover", *given)
    assert isinstance(used.exception, ClampwrightError)
    assert "is kept with an open point" in str(used.exception)
    assert not (workshop.jobs / "gauge-again.toml").exists()
    Path(asks).write_text("Tighten the cover to 9 N·m.\n", "utf-8")
    settled = add(workshop, asks, "--of", "gauge-cover")
    assert settled.exit_code == 0
    assert "Open, so" not in settled.output
    assert run(workshop, "job", "gauge-cover", *given).exit_code == 0


def test_what_can_be_settled_is_not_kept_open(workshop: Workshop, asks: str) -> None:
    assert isinstance(add(workshop, asks, "--stays-open").exception, Refused)
    Path(asks).write_text("Tighten to 9 N·m.\n", "utf-8")
    assert isinstance(add(workshop, asks, "--stays-open").exception, Refused)
    assert shelved(workshop) == []


def test_a_lying_file_keeps_nothing(workshop: Workshop, asks: str, tmp_path: Path) -> None:
    program = tmp_path / "photo.png"
    program.write_bytes(b"MZ\x90")
    good = tmp_path / "good.png"
    good.write_bytes(PNG)
    both = ("--attach", str(good), "--attach", str(program))
    done = add(workshop, asks, "--choice", "2", *both)
    assert "whatever its name says" in str(done.exception)
    assert shelved(workshop) == []
    assert not workshop.papers.folder.exists()


def test_versions_and_what_changed(workshop: Workshop, asks: str) -> None:
    assert add(workshop, asks, "--choice", "2").exit_code == 0
    again = add(workshop, asks, "--choice", "2", "--of", "gauge-cover")
    assert isinstance(again.exception, Refused)
    Path(asks).write_text("Oil the threads. Torque the bolts to 25 in-lb.\n", "utf-8")
    assert add(workshop, asks, "--of", "gauge-cover", "--edition", "B").exit_code == 0
    told = run(workshop, "compare", "gauge-cover", "1", "2").output
    assert told.splitlines() == [
        "The work changed:",
        "  - torque 20 in·lbf",
        "  + torque 25 in·lbf",
        "The text changed:",
        "  - Oil the threads. Torque the bolts to 20 lbs.",
        "  + Oil the threads. Torque the bolts to 25 in-lb.",
        "edition: B (nothing before)",
        "another reading was chosen",
    ]
    plain = json.loads(run(workshop, "compare", "gauge-cover", "1", "2", "--json").output)
    assert plain["stages"] == [["-", "torque 20 in·lbf"], ["+", "torque 25 in·lbf"]]
    assert run(workshop, "compare", "gauge-cover", "2", "2").output == "Nothing changed.\n"
    assert json.loads(run(workshop, "show", "gauge-cover", "--json").output)["versions"] == 2


def test_the_same_person_is_no_second_reader(workshop: Workshop, asks: str) -> None:
    add(workshop, asks, "--choice", "2")
    done = run(workshop, "confirm", "gauge-cover", "--version", "1", "--by", "a. fitter")
    assert "another person" in str(done.exception)
    assert shelved(workshop) == ["procedure_shelved"]


def test_a_job_gets_an_id_of_its_own_and_is_never_written_over(
    workshop: Workshop, asks: str
) -> None:
    add(workshop, asks, "--choice", "2")
    given = ("job", "gauge-cover", "--title", "Trailer wheel", "--machine", "x", *FEW, *RULES)
    before = (workshop.jobs / "trailer-wheel.toml").read_bytes()
    assert "trailer-wheel-2.toml" in run(workshop, *given).output
    assert "trailer-wheel-3.toml" in run(workshop, *given).output
    assert (workshop.jobs / "trailer-wheel.toml").read_bytes() == before
    load_plan(workshop.jobs / "trailer-wheel-3.toml", None, today=today())


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--pattern", "circle", "--count", "4"), "diameter_mm"),
        (("--pattern", "single", "--thread", "M99"), "M99"),
        (("--pattern", "single", "--thread", "M6"), "give head"),
        (("--pattern", "single", "--title", 'a"\n[x]'), ""),
    ],
)
def test_a_job_that_cannot_be_is_not_written(
    workshop: Workshop, asks: str, more: tuple[str, ...], said: str
) -> None:
    add(workshop, asks, "--choice", "2")
    files = sorted(workshop.jobs.iterdir())
    given = ("--title", "Gauge", "--machine", "x", "--harm-level", "3", *RULES)
    done = run(workshop, "job", "gauge-cover", *given, *more)
    if said:
        assert isinstance(done.exception, ClampwrightError)
        assert said in str(done.exception)
        assert sorted(workshop.jobs.iterdir()) == files
    else:
        made = next(one for one in sorted(workshop.jobs.iterdir()) if one not in files)
        assert load_plan(made, None, today=today()).job.title == 'a"\n[x]'


@pytest.mark.parametrize("command", [("show", "x"), ("compare", "x", "1", "2"), ("list",)])
def test_an_empty_shelf(workshop: Workshop, command: tuple[str, ...]) -> None:
    done = run(workshop, *command)
    if command == ("list",):
        assert done.output == "The shelf is empty.\n"
        assert json.loads(run(workshop, "list", "--json").output) == {"procedures": []}
    else:
        assert "no procedure 'x' on the shelf" in str(done.exception)
    assert not (workshop.folder / "workshop.sqlite").exists(), "looking makes no log"
