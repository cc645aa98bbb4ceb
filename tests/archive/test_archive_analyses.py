"""What the analyses say: what was put in on purpose is found; one workshop is as it always was."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest
from fleet import ODD, Day, fleet, workshop_like

from clampwright.archive.analyses import ANALYSES
from clampwright.archive.back import SEPARATOR, review_json
from clampwright.archive.joints import friction_from_slope
from clampwright.archive.layout import Archive, archive_at
from clampwright.archive.running import run
from clampwright.archive.sources import open_source
from clampwright.archive.taking import put
from clampwright.archive.telling import TITLES, needs_a_look, tables
from clampwright.archive.traced import traced_pulls
from clampwright.bench.drawers import drawer_of
from clampwright.bench.folder import open_store
from clampwright.bench.histories import happened_of
from clampwright.bench.look_back import look_back
from clampwright.errors import Missing
from clampwright.joint.nut_factor import nut_factor
from clampwright.proof.strictjson import canonical
from clampwright.trace.history import told
from clampwright.work.jobfile import load_job


def found(archive: Archive, name: str, **asked: Any) -> dict[str, Any]:
    return run(archive, ANALYSES[name], asked).found


@pytest.fixture
def own(day: Day, tmp_path: Path) -> tuple[Archive, str]:
    """The one workshop by itself."""
    archive = archive_at(tmp_path / "own", create=True)
    with open_source(day.place.folder) as source:
        put(archive, source)
    return archive, source.origin


def test_a_look_back_of_one_workshop_is_what_that_workshop_sees(
    own: tuple[Archive, str], day: Day
) -> None:
    archive, log = own
    for by in ("days", "uses"):
        with open_store(day.place, write=False) as store:
            alone = look_back(store, drawer_of(day.place, happened_of(store)), "click-60", by=by)
        wanted = review_json(alone.review)
        got = found(archive, "look-back", workshop=log, tool="click-60", by=by)
        assert got.pop("where") == [[log, "workshop", "click-60"]]
        for joint in got["joints"]:
            assert joint.pop("workshop") == log
        for joint in wanted["joints"]:
            assert joint.pop("workshop") == ""
        assert got == wanted
        assert got["pulls"] > 0


def handed(day: Day, *, to: int, origin: str) -> Any:
    """A workshop that took the click wrench in from another, under another id."""
    source = workshop_like(day, to, 1)
    rows = []
    for place, data in source.entries():
        entry = json.loads(data.replace(b"click-60", b"click-61"))
        if entry["kind"].startswith("tool_"):
            entry["kind"] = "passed_over"
        rows.append((place, canonical(entry)))
    last = json.loads(rows[-1][1])
    body = {"what": "tool", "name": "click-60", "as": "click-61", "origin": origin}
    last |= {"kind": "taken_in", "job": None, "job_seq": None, "body": body,
             "id": f"0192f000-00ff-7fff-8000-{to:012x}"}  # fmt: skip
    rows.append((len(rows), canonical(last)))
    return replace(
        source, entries=lambda: rows, drawer=source.drawer.replace("click-60", "click-61")
    )


def test_a_look_back_follows_a_wrench_to_the_next_workshop(day: Day, tmp_path: Path) -> None:
    archive = archive_at(tmp_path / "two", create=True)
    first = workshop_like(day, 0, 2)
    put(archive, first)
    alone = found(archive, "look-back", workshop=first.origin, tool="click-60")
    put(archive, handed(day, to=1, origin=first.origin))
    both = found(archive, "look-back", workshop=first.origin, tool="click-60")
    assert [(log, tool) for log, _name, tool in both["where"]] == [
        (first.origin, "click-60"),
        ("invented-1.log", "click-61"),
    ]
    there = [one for one in both["joints"] if one["workshop"] == "invented-1.log"]
    assert [one for one in both["joints"] if one not in there] == alone["joints"]
    assert len(there) == 1
    assert SEPARATOR not in there[0]["job"]


def test_a_tool_that_is_not_there_is_said_to_be_missing(own: tuple[Archive, str]) -> None:
    archive, log = own
    with pytest.raises(Missing, match="has no tool 'nothing'"):
        found(archive, "look-back", workshop=log, tool="nothing")


def test_what_rests_on_a_bad_calibration(day: Day, tmp_path: Path) -> None:
    """An error that keeps every pull inside changes nothing; a large one spoils them."""
    archive = archive_at(tmp_path / "bad", create=True)
    for source in fleet(day, 2, 2):
        put(archive, source)
    asked = {"named_by": "by", "named": ""}
    small = found(archive, "bad-calibration", **asked, error=0.1)
    large = found(archive, "bad-calibration", **asked, error=20.0)
    assert len(small["calibrations"]) == 4  # two workshops, two months
    assert {one["found"] for one in small["calibrations"]} == {"2026-08-28", None}
    assert small["pulls"] == large["pulls"] == 20
    assert {one["advice"] for one in small["joints"]} == {"fine"}
    assert {one["advice"] for one in large["joints"]} == {"redo"}
    # 44 N·m shown, 20 % more deviation: the fastener got 44/(1 + a) with a about 0.2 - 0.004.
    torque = large["joints"][0]["pulls"][0]["shift_Nm"]
    assert torque == pytest.approx(44.0 / 1.2, rel=0.01)
    assert found(archive, "bad-calibration", **{**asked, "named": "x"}, error=1.0)["pulls"] == 0
    assert not found(archive, "bad-calibration", **asked, since="2026-10-01")["calibrations"]


def test_an_unknown_error_leaves_what_is_permissible(day: Day, tmp_path: Path) -> None:
    archive = archive_at(tmp_path / "bad", create=True)
    put(archive, workshop_like(day, 0, 1))
    (joint,) = found(archive, "bad-calibration", named_by="by", named="")["joints"]
    assert joint["pulls"][0]["shift_Nm"] == pytest.approx(44.0, rel=1e-6)
    assert 0.0 < joint["chance"] < 0.5


def test_drift_finds_the_rates_that_were_put_in(chain: Archive) -> None:
    """Left at 0 each time; found at 0.05 of the first certificate, and 0.1 % more each month."""
    got = found(chain, "drift")
    (kind,) = got["kinds"]
    assert kind["wrenches"] == 9
    assert got["in_all"] == 45
    assert kind["pooled"]["within"] >= 0.0
    low, high = kind["pooled"]["next"]
    assert low < kind["pooled"]["rate"] < high
    assert kind["pooled"]["rate"] < 0.0
    for one in got["wrenches"]:
        assert one["years"] == pytest.approx(one["limit"] / abs(one["rate"]), rel=1e-9)
        assert min(one["own"], kind["pooled"]["rate"]) <= one["rate"] + 1e-9


def test_friction_is_that_of_the_slope(chain: Archive, day: Day) -> None:
    got = found(chain, "friction")["conditions"]
    assert [one["condition"] for one in got] == ["dry"]
    (dry,) = got
    assert dry["joints"] == 27
    assert dry["table"] == [0.14, 0.35]
    assert dry["pooled"]["between_ln"] == pytest.approx(0.10, abs=0.06)  # planted: 0.10
    assert dry["pooled"]["within_ln"] == pytest.approx(0.05, abs=0.03)  # planted: 0.05 of slope
    joint = load_job((day.place.jobs / "trailer-wheel.toml").read_bytes(), "job").joints[0]
    fastening = joint.fastening
    assert fastening is not None
    assert fastening.clamp_rate is not None
    factor = float(
        nut_factor(
            d=fastening.d,
            P=fastening.P,
            d2=fastening.d2,
            bearing_diameter=fastening.bearing_diameter,
            mu_thread=0.17,
            mu_bearing=0.17,
        )
    )
    slope = factor * fastening.clamp_rate * fastening.d / 1000.0
    assert friction_from_slope(joint, slope) == pytest.approx(0.17, rel=1e-12)
    assert friction_from_slope(replace(joint, fastening=None), slope) is None


def test_the_joint_that_turned_further_is_found(chain: Archive) -> None:
    got = found(chain, "outlying")
    number, month = ODD
    first = got["outlying"][0]
    assert (first["workshop"], first["job"]) == (f"invented-{number}.log", f"trailer-wheel-{month}")
    assert first["value"] - first["usual"] == pytest.approx(25.0, abs=1.5)
    assert (got["kinds"], got["joints"], got["too_few"]) == (1, 27, 0)
    assert math.isclose(got["share"], 0.05)


def test_procedures_are_counted_pull_by_pull(chain: Archive, day: Day) -> None:
    (one,) = found(chain, "procedures")["procedures"]
    pulls = sum(entry["kind"] == "pull" for entry in day.entries)
    assert one["pulls"] == 27 * pulls
    assert one["trouble"] == 27  # the socket that slipped, once in each job
    assert one["begun_again"] == 27
    assert one["workshops"] == 9
    assert one["interval"][0] < one["share"] < one["interval"][1]


def test_recorded_pulls_judge_as_they_did(chain: Archive) -> None:
    got = found(chain, "rejudge")
    assert got["turned"] == {"void > void": 27, "within > within": 135}
    assert got["changed_in_all"] == got["unreadable_in_all"] == 0


def test_each_verdict_that_changes_is_named(chain: Archive) -> None:
    before = found(chain, "rejudge")
    path = next(chain.parts("traces", "invented-0.log")).path
    from clampwright.archive.tables import pulls_told, write_traces  # noqa: PLC0415 - only here

    pulls = pulls_told(path, "x")
    narrow = [
        replace(one, given=replace(one.given, torque_low=95.0, torque_high=96.0)) for one in pulls
    ]

    table = pq.read_table(path)
    path.unlink()
    columns = {name: table.column(name).combine_chunks() for name in table.column_names}
    write_traces(path.with_name("traces-narrow.parquet"), columns, narrow)
    after = found(chain, "rejudge")
    assert after["changed_in_all"] == 5
    assert {one["now"] for one in after["changed"]} == {"short"}
    assert after["changed"][0]["where"].startswith("trailer-wheel-0:wheel 2/")
    assert after["pulls"] == before["pulls"]


def test_a_pull_that_cannot_be_rebuilt_says_why(day: Day) -> None:
    from clampwright.archive.tables import EntryRow  # noqa: PLC0415 - only here

    rows = [
        EntryRow(place, e["id"], e["kind"], e["job"], e["recorded"], "", None, b"", canonical(e))
        for place, e in enumerate(day.entries)
    ]
    wanted = {one.id: str(one.job) for one in rows if b'"kind":"trace"' in one.entry}
    got = list(traced_pulls(rows, wanted, day.place.papers.read))
    assert all(one.trace is not None for one in got)
    assert {str(told(step)) for one in got for step in (one.trace.steps if one.trace else ())}
    lost = list(traced_pulls(rows, wanted, lambda _name: b"no trace"))
    assert all(one.problem is not None for one in lost)


@pytest.mark.parametrize("name", sorted(TITLES))
def test_every_result_can_be_told(name: str, chain: Archive) -> None:
    questions: dict[str, dict[str, Any]] = {
        "look-back": {"workshop": "invented-1.log", "tool": "click-60"},
        "bad-calibration": {"named_by": "by", "named": "", "error": 20.0},
    }
    result = run(chain, ANALYSES[name], questions.get(name, {}))
    shown = tables(result)
    assert shown
    assert shown[0].title == TITLES[name]
    for table in shown:
        assert all(len(row) == len(table.columns) for row in table.rows)
        assert all(isinstance(cell, str) for row in table.rows for cell in row)
    wants = {"outlying", "bad-calibration"}
    assert needs_a_look(result) is (name in wants or bool(result.found.get("outlying")))
