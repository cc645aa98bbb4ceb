"""Ways a result comes in, typed at the terminal; and what the record says of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from click.testing import CliRunner, Result

from clampwright.bench.folder import Workshop
from clampwright.bench.records import record_of, record_text
from clampwright.cli import group
from clampwright.report.mark_dial import dial_of, dial_words
from clampwright.store import Store
from clampwright.work.fold import JobState, fold

PLUG = "gearbox-drain-plug"


def pull_row(body: Mapping[str, Any]) -> dict[str, str]:
    """What the paper shows of a mark."""
    return {"dial": dial_of(body), "dial_alt": str(dial_words(body))}


def tighten(place: Workshop, *lines: str) -> Result:
    file = str(place.jobs / f"{PLUG}.toml")
    return CliRunner().invoke(group, ["tighten", file], input="\n".join([*lines, ""]))


def state(place: Workshop) -> JobState:
    with Store.open(place.folder, write=False) as store:
        return fold(store.entries(job=PLUG))


def test_marks_are_drawn_and_read(workshop: Workshop) -> None:
    result = tighten(workshop, "d", "o 2", "m 2 8:15")
    assert "mark from 12 to 6 o'clock; 3 flats of the hexagon" in result.output
    assert "mark from 2 to 8 o'clock" in result.output, "from where it was painted"
    assert ">> WITHIN" in result.output
    pull = state(workshop).pulls[-1]
    assert pull.body["reading"] == {
        "kind": "marks",
        "start": "2:00",
        "end": "8:15",
        "turns": 0,
        "turning": "cw",
        "step": "7.5",
    }
    assert pull.body["turned"] == {"value": "187.5", "unit": "deg"}
    assert pull.body["measured"]["standard_uncertainty"] == {"value": "3.06186", "unit": "deg"}
    with Store.open(workshop.folder) as store:
        told = "\n".join(record_text(record_of(store, PLUG), {}))
    assert "187.5°, mark from 2:00 to 8:15 on the clock face" in told
    assert "            12" in told, "the record draws it too"
    assert "measured: 187.5 ± 6.1 ° (95 %)" in told
    row = pull_row(pull.body)
    assert row["dial"].startswith("<svg")
    assert row["dial_alt"] == "mark from 2 to 8:15 o'clock"


@pytest.mark.parametrize(
    ("typed", "kind", "turned"),
    [("g 182 play 4", "gauge", "180"), ("g 178 load", "gauge", "178"), ("m 12 6", "marks", "180")],
)
def test_a_dial_on_the_socket(workshop: Workshop, typed: str, kind: str, turned: str) -> None:
    tighten(workshop, "d", typed)
    pull = state(workshop).pulls[-1]
    assert (pull.body["reading"]["kind"], pull.body["turned"]["value"]) == (kind, turned)
    assert pull.verdict == "within"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("m 2", "say where the mark stood and stands"),
        ("m 2 25", "'25' is no place on the clock face"),
        ("g", "say what the dial shows"),
        ("g 90 tight", "after the figure: load, or play"),
        ("l 95 to 95.2", "not a stretch"),
        ("v 1 2 3", "asks for no torque"),
        ("b x slipped", "say what the second person read"),
    ],
)
def test_what_cannot_be_taken(workshop: Workshop, typed: str, says: str) -> None:
    result = tighten(workshop, "d", typed)
    assert says in result.output
    assert len(state(workshop).pulls) == 1


def test_a_second_person_who_reads_something_else_opens_the_pull_again(workshop: Workshop) -> None:
    tighten(workshop, "d", "m 12 6")
    file = str(workshop.jobs / f"{PLUG}.toml")
    result = CliRunner().invoke(group, ["read-again", file, "m", "12", "8"])
    assert (result.exit_code, "they differ" in result.output) == (1, True)
    assert not state(workshop).pulls[-1].settled
    again = CliRunner().invoke(group, ["read-again", file, "m 12 6:15", "--pull", "plug:2:1"])
    assert (again.exit_code, "both read the same" in again.output) == (0, True)
    assert state(workshop).pulls[-1].settled


def test_two_readings_that_differ(workshop: Workshop) -> None:
    result = tighten(workshop, "d", "b d", "150", "b 170", "b 150.5", "30")
    assert "say what the second person read" in result.output
    assert "they differ: 150° and 170° were read" in result.output
    assert "both read the same: 150°" in result.output
    assert [one["agrees"] for one in state(workshop).read_again] == [False, True]
