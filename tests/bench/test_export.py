"""A log as open files and back: nothing lost, nothing computed by a spreadsheet."""

import csv
import json
from pathlib import Path

import pyarrow.parquet as pq
import pytest

from clampwright.bench.export import export_log, import_log
from clampwright.errors import BadFile, Refused
from clampwright.store import NewEntry, Store
from clampwright.store.copying import reader_of, tables_differ

PULL = {
    "joint": "=1+1",
    "stage": 1,
    "fastener": 3,
    "tool": "@home",
    "adapter": None,
    "reading": {"kind": "value", "value": "-1.5", "unit": "ft·lbf"},
    "limits": {
        "quantity": "torque",
        "low": {"value": "38", "unit": "N·m"},
        "high": {"value": "42", "unit": "N·m"},
        "origin": "procedure",
    },
    "received": {"torque": {"value": "40.1", "unit": "N·m"}},
    "verdict": "within",
    "reasons": [],
}


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    with Store.open(tmp_path / "yard", create=True, workshop="Invented Yard") as store:
        store.append_many(NewEntry("pull", PULL, job="wheel") for _ in range(25))
        store.append("note", {"text": "zwei\nZeilen – π"})
        store.record("wheel")
        store.append("note", {"n": 1})
    return tmp_path / "yard"


def exported(yard: Path, target: Path) -> Path:
    with Store.open(yard, write=False) as store:
        export_log(store, target)
    return target


def test_a_round_trip_keeps_every_hash_and_head(yard: Path, tmp_path: Path) -> None:
    out = exported(yard, tmp_path / "out")
    head = import_log(out, tmp_path / "new")
    with Store.open(yard, write=False) as old, Store.open(tmp_path / "new", write=False) as new:
        assert (head.size, head.root) == old.head() == new.head()
        assert tables_differ(old, new) is None
        assert new.check() == 29
    again = exported(tmp_path / "new", tmp_path / "again")
    for name in ("entries.jsonl", "heads.jsonl", "pulls.csv", "pulls.parquet", "schema.json"):
        assert (again / name).read_bytes() == (out / name).read_bytes()


def test_the_tables_say_the_same_and_fit_their_schema(yard: Path, tmp_path: Path) -> None:
    out = exported(yard, tmp_path / "out")
    columns = json.loads((out / "schema.json").read_text())["properties"]
    with (out / "pulls.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    table = pq.read_table(out / "pulls.parquet").to_pylist()
    assert len(rows) == len(table) == 25
    assert list(rows[0]) == list(table[0]) == list(columns)
    assert table[0]["joint"] == "=1+1"
    assert rows[0]["joint"] == "'=1+1"
    assert rows[0]["tool"] == "'@home"
    assert rows[0]["reading"] == "-1.5"
    assert table[0]["limit_low"] == "38"
    assert table[0]["received"] == "40.1"


def test_pulls_of_another_shape_leave_their_cells_empty(tmp_path: Path) -> None:
    odd = [
        {"tool": ["a", "list"], "stage": "one", "fastener": True, "verdict": 7},
        {"reading": [], "limits": "none", "received": 3, "turned": None},
        {"reading": {"value": 1}, "limits": {"low": []}, "received": {"torque": "x"}},
        {},
    ]
    with Store.open(tmp_path / "yard", create=True) as store:
        store.append_many(NewEntry("pull", body) for body in odd)
    out = exported(tmp_path / "yard", tmp_path / "out")
    table = pq.read_table(out / "pulls.parquet").to_pylist()
    always = {"place_in_log", "id", "recorded", "device", "device_time"}
    assert [{name for name, cell in row.items() if cell is not None} for row in table] == [
        always
    ] * 4
    import_log(out, tmp_path / "new")


def test_an_export_goes_into_an_empty_folder_only(yard: Path, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("keep me")
    with pytest.raises(Refused, match="is not empty; nothing was written"):
        exported(yard, tmp_path / "out")
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["mine.txt"]


def test_an_import_replaces_no_log(yard: Path, tmp_path: Path) -> None:
    out = exported(yard, tmp_path / "out")
    before = (yard / "workshop.sqlite").read_bytes()
    with pytest.raises(Refused, match=r"has a workshop\.sqlite"):
        import_log(out, yard)
    assert (yard / "workshop.sqlite").read_bytes() == before


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (b'"fastener":3', b'"fastener":4', "does not fit the head signed over 28 entries"),
        (b'"version":1}\n', b'"version":1} \n', "exact form"),
        (b'"log_opened"', b'"note"', "does not open a log"),
    ],
)
def test_a_changed_export_is_refused(
    yard: Path, tmp_path: Path, old: bytes, new: bytes, message: str
) -> None:
    out = exported(yard, tmp_path / "out")
    file = out / "entries.jsonl"
    file.write_bytes(file.read_bytes().replace(old, new, 1))
    with pytest.raises(BadFile, match=message):
        import_log(out, tmp_path / "new")
    assert not (tmp_path / "new" / "workshop.sqlite").exists()


def test_a_missing_export(tmp_path: Path) -> None:
    with pytest.raises(BadFile, match=r"entries\.jsonl"):
        import_log(tmp_path / "nothing", tmp_path / "new")


def test_reading_a_file_that_is_no_store(tmp_path: Path) -> None:
    (tmp_path / "a.sqlite").write_bytes(b"x" * 5000)
    with pytest.raises(BadFile), reader_of(tmp_path / "a.sqlite"):
        pass
