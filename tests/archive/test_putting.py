"""What is put into an archive is there once, whole, and says where it is from."""

from __future__ import annotations

import errno
import io
import json
import os
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from fleet import Day, workshop_like
from pyarrow import parquet

from clampwright.archive.layout import Archive, archive_at, write_file
from clampwright.archive.reading import entries_of, held_of
from clampwright.archive.sources import open_source
from clampwright.archive.tables import pulls_told
from clampwright.archive.taking import put, put_traces
from clampwright.bench.export import export_log
from clampwright.bench.folder import open_store
from clampwright.errors import BadFile, Missing, Refused, StoreFailed, StoreFull
from clampwright.trace.given import Given


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    return archive_at(tmp_path / "archive", create=True)


@pytest.fixture(scope="session")
def exported(day: Day, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("export") / "log"
    with open_store(day.place, write=False) as store:
        export_log(store, folder)
    return folder


def taken(archive: Archive, path: Path, papers: Path | None = None) -> tuple[int, int, int, int]:
    with open_source(path, papers) as source:
        done = put(archive, source)
    return done.entries, done.known, done.traces, done.lacking


def test_the_same_log_by_every_way_in_is_once(archive: Archive, day: Day, exported: Path) -> None:
    count = len(day.entries)
    record = next(day.place.records.glob("*.json"))
    assert taken(archive, exported) == (count, 0, 0, 6)  # the traces are not in an export
    entries, known, traces, lacking = taken(archive, record)
    assert (entries, traces, lacking) == (0, 0, 6)
    assert 0 < known < count
    assert taken(archive, day.place.folder) == (0, count, 6, 0)
    assert taken(archive, exported) == (0, count, 0, 0)


def test_entries_keep_their_bytes_and_their_place(
    archive: Archive, day: Day, exported: Path
) -> None:
    with open_source(exported) as source:
        put(archive, source)
        rows = list(entries_of(archive, source.origin))
    lines = (exported / "entries.jsonl").read_bytes().splitlines()
    assert [row.entry for row in rows] == lines
    assert [row.place for row in rows] == list(range(len(lines)))
    assert {row.id for row in rows} == {entry["id"] for entry in day.entries}


def test_a_trace_knows_its_entry_and_what_was_known(archive: Archive, day: Day) -> None:
    assert taken(archive, day.place.folder)[2] == 6
    (part,) = archive.parts("traces")
    told = pulls_told(part.path, "traces")
    by_id = {entry["id"]: (place, entry) for place, entry in enumerate(day.entries)}
    for one in told:
        place, entry = by_id[one.id]
        assert one.place == place
        assert one.verdict == entry["body"]["found"]["verdict"]
        assert one.given.target_torque_Nm == 90.0
        assert one.given.angle_mode is not None
    assert {one.verdict for one in told} == {"within", "void"}


def test_a_log_that_grew_is_taken_further(archive: Archive, day: Day) -> None:
    whole = workshop_like(day, 0, 2)
    rows = list(whole.entries())
    first = put(archive, replace(whole, entries=lambda: rows[:20]))
    second = put(archive, whole)
    assert (first.entries, second.known) == (20, 20)
    assert second.entries == len(rows) - 20
    assert held_of(archive, whole.origin).places_missing == 0
    assert held_of(archive, whole.origin).months == ("2026-07", "2026-08")


def test_another_log_of_the_same_name_is_refused(archive: Archive, day: Day) -> None:
    source = workshop_like(day, 0, 1)
    put(archive, source)
    other = replace(workshop_like(day, 1, 1), origin=source.origin)
    before = list(entries_of(archive, source.origin))
    with pytest.raises(BadFile, match="another log of the name"):
        put(archive, other)
    assert list(entries_of(archive, source.origin)) == before


def test_months_and_places_that_are_missing_are_seen(archive: Archive, day: Day) -> None:
    source = workshop_like(day, 0, 3)
    put(archive, source)
    archive.entries_of(source.origin, "2026-08").unlink()
    for path in (archive.folder / "traces").rglob("month=2026-08/*"):
        path.unlink()
    held = held_of(archive, source.origin)
    assert held.months_between == ("2026-08",)
    assert held.places_missing == len(day.entries) - 1
    assert put(archive, source).entries == len(day.entries) - 1  # and putting it in again mends it
    assert held_of(archive, source.origin).places_missing == 0


def test_entries_of_a_clock_that_jumped_stay_in_the_order_of_the_log(
    archive: Archive, day: Day
) -> None:
    source = workshop_like(day, 0, 2)
    rows = list(source.entries())
    early = json.loads(rows[30][1])
    early["recorded"] = "2025-12-01T00:00:00Z"
    early["device"]["time"] = "2025-12-01T00:00:00Z"
    from clampwright.proof.strictjson import canonical  # noqa: PLC0415 - only here

    rows[30] = (30, canonical(early))
    put(archive, replace(source, entries=lambda: rows))
    assert [row.place for row in entries_of(archive, source.origin)] == list(range(len(rows)))


def test_an_export_that_was_altered_is_not_taken(
    archive: Archive, exported: Path, tmp_path: Path
) -> None:
    bad = tmp_path / "bad"
    bad.mkdir()
    data = (exported / "entries.jsonl").read_bytes()
    (bad / "heads.jsonl").write_bytes((exported / "heads.jsonl").read_bytes())
    (bad / "entries.jsonl").write_bytes(data.replace(b'"moved":true', b'"moved":false', 1))
    with pytest.raises(BadFile, match="do not fit a signed head"), open_source(bad):
        pass
    (bad / "entries.jsonl").write_bytes(b"".join(data.splitlines(keepends=True)[:5]))
    with pytest.raises(BadFile, match="at the end of the log are missing"), open_source(bad):
        pass
    assert not archive.workshops()


def test_a_record_that_was_altered_is_not_taken(day: Day, tmp_path: Path) -> None:
    data = next(day.place.records.glob("*.json")).read_bytes()
    bad = tmp_path / "bad.json"
    bad.write_bytes(data.replace(b'"moved":true', b'"moved":false', 1))
    with pytest.raises(BadFile, match="the record does not hold"), open_source(bad):
        pass


@pytest.mark.parametrize("text", ["", "{", "[1]", '{"format": "something"}'])
def test_what_is_none_of_these_is_said_to_be_none(text: str, tmp_path: Path) -> None:
    file = tmp_path / "x.json"
    file.write_text(text)
    with pytest.raises(BadFile, match="no workshop's folder, no export"), open_source(file):
        pass
    with pytest.raises(BadFile, match="no workshop's folder"), open_source(tmp_path / "none"):
        pass


def test_entries_that_a_device_carries_go_to_their_workshop_first(tmp_path: Path) -> None:
    file = tmp_path / "carried.json"
    file.write_text('{"format": "clampwright-entries", "version": 1}')
    with pytest.raises(Refused, match="take them into their workshop first"), open_source(file):
        pass


def test_a_folder_that_is_no_archive_is_left_alone(tmp_path: Path) -> None:
    with pytest.raises(Missing, match="holds no archive"):
        archive_at(tmp_path / "none")
    (tmp_path / "mine.txt").write_text("x")
    with pytest.raises(Refused, match="not empty and is no archive"):
        archive_at(tmp_path, create=True)
    (tmp_path / "archive.json").write_text('{"format": "clampwright-archive", "version": 2}')
    with pytest.raises(Refused, match="a newer program"):
        archive_at(tmp_path)


def many_pulls(pulls: int = 3, samples: int = 50, unit: str = "torque_Nm") -> io.BytesIO:
    rise = np.linspace(0.0, 40.0, samples)
    table = {
        "pull": np.repeat([f"p{i}" for i in range(pulls)], samples),
        "time_s": np.tile(np.arange(samples) / 100.0, pulls),
        unit: np.tile(1.25 * rise, pulls),
        "angle_deg": np.tile(rise, pulls),
    }
    sink = io.BytesIO()
    parquet.write_table(pa.table(table), sink)
    sink.seek(0)
    return sink


def test_a_file_of_many_pulls_needs_no_log(archive: Archive) -> None:
    given = Given(target_torque_Nm=50.0, torque_low=48.0, torque_high=52.0)
    told: dict[str, Any] = {"given": given, "workshop": "rig", "month": "2026-03"}
    assert put_traces(archive, many_pulls(), "rig.parquet", **told).traces == 3
    again = put_traces(archive, many_pulls(4), "rig.parquet", **told)
    assert (again.traces, again.known) == (1, 3)
    assert held_of(archive, "rig").samples == 200


def test_a_month_that_is_none_is_refused(archive: Archive) -> None:
    told: dict[str, Any] = {"given": Given(target_torque_Nm=50.0), "workshop": "rig"}
    with pytest.raises(Refused, match="write it as 2026-03"):
        put_traces(archive, many_pulls(), "rig.parquet", month="March", **told)
    assert not archive.workshops()


def test_traces_without_a_log_do_not_go_under_the_name_of_one(archive: Archive, day: Day) -> None:
    source = workshop_like(day, 0, 1)
    put(archive, source)
    with pytest.raises(Refused, match="is a log of this archive"):
        put_traces(
            archive,
            many_pulls(),
            "rig.parquet",
            given=Given(target_torque_Nm=50.0),
            workshop=source.origin,
            month="2026-03",
        )


@pytest.mark.parametrize(
    ("number", "kind"), [(errno.ENOSPC, StoreFull), (errno.EROFS, StoreFailed)]
)
def test_a_disk_that_takes_no_more_leaves_what_was_there(
    number: int, kind: type[Exception], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "kept.json"
    write_file(path, lambda file: file.write(b"old"))

    def full(_handle: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("clampwright.archive.layout.os.fsync", full)
    with pytest.raises(kind):
        write_file(path, lambda file: file.write(b"new"))
    assert path.read_bytes() == b"old"
    assert [one.name for one in tmp_path.iterdir()] == ["kept.json"]
