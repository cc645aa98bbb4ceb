"""No figure: the path stops, says where to look, keeps the question, and never answers itself."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from clampwright import standards
from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.records import record_text
from clampwright.cli import group
from clampwright.joint.model import Fastening
from clampwright.procedure.no_figure import CONDITIONS, SHARE, general_table, places
from clampwright.work.figures import questions


def run(place: Workshop, *arguments: str) -> Result:
    return CliRunner().invoke(group, ["nofigure", "--workshop", str(place.folder), *arguments])


ASK = ("bolt of the rudder arm", "--thread", "M12", "--strength", "8.8")


def test_it_stops_says_where_to_look_and_keeps_the_question(workshop: Workshop) -> None:
    shown = run(workshop, *ASK, "--looked", "plate=painted over")
    assert shown.exit_code == 1
    assert "STOP: there is no figure for this." in shown.output
    assert "[painted over] plate" in shown.output
    for place in places():
        assert place.source in shown.output
    assert "N·m" not in shown.output, "no figure is offered unless asked for"
    with open_store(workshop) as store:
        (one,) = questions(store.entries())
    assert one.asked["looked"] == {"plate": "painted over"}
    assert one.asked["general_shown"] is False
    assert one.found is None


def test_the_general_table_is_labelled_and_kept_apart(workshop: Workshop) -> None:
    shown = run(workshop, *ASK, "--general").output
    assert "not the maker's figure for this joint" in shown
    assert "No job takes a figure from this table." in shown
    data = json.loads(run(workshop, *ASK, "--general", "--json").output)
    assert all("not the maker's figure" in row["general"] for row in data["general"])
    assert data["questions"][0]["general_shown"] is True
    assert data["questions"][0]["found"] is None


def test_a_found_figure_needs_its_source(workshop: Workshop) -> None:
    run(workshop, *ASK)
    with open_store(workshop) as store:
        (one,) = questions(store.entries())
    name = one.entry[-8:]
    bare = run(workshop, "--question", name, "--found", "85 N·m")
    assert "name the source" in str(bare.exception)
    slip = run(workshop, "--question", name, "--found", "85 Nmm2", "--source", "desk")
    assert slip.exception is not None
    done = run(
        workshop, "--question", name, "--found", "85 N·m", "--source", "Service desk, Tuesday"
    )
    assert done.exit_code == 0
    assert "85 N·m (Service desk, Tuesday)" in done.output
    again = run(workshop, "--question", name, "--found", "86 N·m", "--source", "desk")
    assert "answered already" in str(again.exception)
    assert run(workshop, "--open").exit_code == 0


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((" ",), "say which fastener"),
        (("bolt", "--looked", "cellar=dark"), "no place 'cellar'"),
        (("bolt", "--looked", "plate"), "as plate=none"),
        (("bolt", "--general"), "needs --thread and --strength"),
        (("bolt", "--general", "--thread", "M11", "--strength", "8.8"), "M11"),
        (("--question", "nobody", "--found", "1 N·m", "--source", "x"), "no question 'nobody'"),
    ],
)
def test_what_cannot_be_asked_is_said(
    workshop: Workshop, arguments: tuple[str, ...], told: str
) -> None:
    run(workshop, "other bolt")
    result = run(workshop, *arguments)
    assert told in str(result.exception)
    with open_store(workshop) as store:
        assert len(questions(store.entries())) == 1


@pytest.mark.parametrize("size", ["M8", "M10", "M12x1.5", "M24"])
def test_the_table_never_passes_its_share_of_the_proof_load(size: str) -> None:
    """Proof loads as printed in ISO 898-1 for 8.8: the clamp at the lowest friction is 75 %."""
    thread = standards.thread(size)
    bolt = Fastening.from_standards(
        thread,
        head=standards.head("ISO 4014", size),
        hole=standards.hole(size, "medium"),
        strength=standards.strength("8.8", d=thread.d),
    )
    assert bolt.proof_load is not None
    for row, name in zip(general_table(size, "8.8"), CONDITIONS, strict=True):
        low = standards.friction(name).low
        assert row.clamp[1] == pytest.approx(SHARE * bolt.proof_load)
        clamp = bolt.clamp_from_torque(row.torque, mu_thread=low, mu_bearing=low)
        assert float(clamp) == pytest.approx(SHARE * bolt.proof_load, rel=1e-9)
        assert row.torque < float(bolt.yield_torque(mu_thread=low, mu_bearing=low))
        assert row.clamp[0] < row.clamp[1]


def test_a_published_proof_load_gives_the_tables_clamp() -> None:
    """ISO 898-1, M10 8.8: proof load 33.7 kN (as printed), so at most 25.3 kN."""
    assert general_table("M10", "8.8")[0].clamp[1] == pytest.approx(0.75 * 33_700, rel=0.003)


def test_the_record_of_an_open_job_shows_its_question(workshop: Workshop) -> None:
    job = str(workshop.jobs / "gearbox-drain-plug.toml")
    CliRunner().invoke(group, ["tighten", job], input="q\n")
    run(workshop, "breather screw", "--job", "gearbox-drain-plug")
    with open_store(workshop) as store:
        told = "\n".join(record_text(store.record("gearbox-drain-plug")))
    assert "No figure was found for: breather screw" in told
