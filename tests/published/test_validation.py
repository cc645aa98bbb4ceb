"""All published values at once: every row agrees or is explained, and none can agree by itself.

The sources stand in each row of the tables; see `clampwright.standards.published`.
"""

from __future__ import annotations

import csv
import importlib
from collections import Counter
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import clampwright.standards
from clampwright.drawer.metrology import control, gauge_study
from clampwright.joint import cone, stiffness, stress
from clampwright.standards import profile
from clampwright.standards.printed import published
from clampwright.validation import assembly, charts, sheet, tables
from clampwright.validation.cases import interaction, scatter
from clampwright.validation.report import count, row_json, validate
from clampwright.validation.row import Row, tolerance

FOLDER = Path(clampwright.standards.__file__).parent / "published"


@lru_cache(maxsize=1)
def rows() -> tuple[Row, ...]:
    return validate()


def forget() -> None:
    """Forget what was computed, so that a changed constant is felt."""
    for cached in (
        sheet._case,  # noqa: SLF001 - the memory of the cases is what must be cleared
        charts._example,  # noqa: SLF001 - same
        interaction._bed,  # noqa: SLF001 - same
        scatter._sampled,  # noqa: SLF001 - same
        control.chart_constants,
        gauge_study.gauge_constants,
    ):
        cached.cache_clear()


@pytest.fixture
def fresh() -> Iterator[None]:
    forget()
    yield
    forget()


def test_no_published_value_is_missed() -> None:
    red = [(row.id, row.computed, row.printed, row.tolerance) for row in rows() if row.red]
    assert red == []


def test_all_are_there_and_counted() -> None:
    counts = count(rows())
    assert counts.rows == counts.ok + counts.explained
    assert counts.rows > 2600
    names = Counter(row.id for row in rows())
    assert [name for name, times in names.items() if times > 1] == []


@pytest.mark.parametrize(
    "table",
    sorted(path.stem for path in FOLDER.glob("*.csv")),
)
def test_every_table_is_used(table: str) -> None:
    read = {
        "misprints": "reasons",
        "gauge_readings": "data of GRR rows",
        "reference_data": "data of reference rows",
        "aircraft_prevailing_torques": "nothing to compute: least torques as printed",
    }
    if table in read:
        assert published(table)
        return
    prefixes = {line["id"] for line in published(table)} if table in sheet.SHEETS else {table}
    if table == "vdi2230_table_a1":
        prefixes = {line["table"] for line in published(table)}
    if table == "reference_certified":
        prefixes = {"reference_data"}
    assert any(row.id.startswith(tuple(prefixes)) for row in rows())


def test_each_row_of_a_sheet_comes_out_once() -> None:
    for name in sheet.SHEETS:
        wanted = {line["id"] for line in published(name)}
        assert wanted <= {row.id for row in rows()}


def test_explained_is_only_what_the_tables_flag_as_wrong() -> None:
    flagged = {
        f"{line['table']}/{line['row']}/{line['figure']}".replace(
            "vdi2230_table_a1", "VDI2230-coarse"
        )
        for line in published("misprints")
    }
    for name in sheet.SHEETS:
        flagged |= {line["id"] for line in published(name) if line["misprint"]}
    explained = {row.id for row in rows() if row.explained}
    assert explained == flagged
    # No excuse is kept for a row that agrees.
    assert all(not row.ok for row in rows() if row.explained)


def test_every_row_names_source_and_quantity() -> None:
    for row in rows():
        assert row.source
        assert row.quantity
        assert row.topic
        assert row.tolerance >= 0.0


def test_a_result_off_by_one_per_cent_would_not_pass() -> None:
    """Tolerances are those of the print: only figures of two digits are too coarse for it."""
    hidden = [row for row in rows() if row.published and row.ok and not shifted(row)]
    assert len(hidden) < 0.18 * len(rows())


def shifted(row: Row) -> bool:
    """Whether the row would turn red if it were 1 % higher and if it were 1 % lower."""
    return all(
        abs(factor * row.computed - row.published) > row.tolerance for factor in (0.99, 1.01)
    )


CONSTANTS = [
    ("clampwright.joint._arms", "LEAD_ARM"),
    ("clampwright.joint._arms", "THREAD_FRICTION_ARM"),
    ("clampwright.joint._arms", "BEARING_FRICTION_ARM"),
    ("clampwright.joint.stress", "FRICTION_TANGENT"),
    ("clampwright.joint.evaluation", "ISO_THREAD_ARM"),
    ("clampwright.joint.stiffness", "ENGAGED_LENGTH"),
    ("clampwright.joint.stiffness", "FULL_TURN"),
    ("clampwright.joint.stripping", "BENDING_LOW"),
    ("clampwright.joint.outliers", "NORMAL_MAD"),
    ("clampwright.drawer.metrology.readings", "RECTANGULAR"),
    ("clampwright.drawer.metrology.gauge_study", "CATEGORIES"),
]


PARTS: dict[str, tuple[Callable[[], Iterator[Row]], ...]] = {
    "joint": (lambda: sheet.sheet_rows("joint_worked"), assembly.assembly_rows),
    "standards": (tables.threads, tables.strengths, assembly.assembly_rows),
    "drawer": (lambda: sheet.sheet_rows("metrology_worked"),),
}
"""What has to be computed again to see a change in a room."""


def red_ids(room: str) -> set[str]:
    forget()
    return {row.id for part in PARTS[room] for row in part() if row.red}


@pytest.mark.usefixtures("fresh")
@pytest.mark.parametrize(("module", "name"), CONSTANTS, ids=lambda value: value.split(".")[-1])
@pytest.mark.no_cover
def test_a_constant_off_by_one_per_cent_turns_rows_red(
    module: str, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    where: ModuleType = importlib.import_module(module)
    monkeypatch.setattr(where, name, 1.01 * getattr(where, name))
    if name == "BENDING_LOW":  # held below that ratio; one published ratio lies just above it
        monkeypatch.setattr(where, name, 1.10 * 0.4)
    if name == "CATEGORIES":  # cut to whole numbers: 5.09 and 4.86
        monkeypatch.setattr(where, name, 0.97 * 2**0.5)
    assert red_ids(module.split(".")[1])


@pytest.mark.usefixtures("fresh")
@pytest.mark.parametrize(
    ("table", "key"),
    [
        (stress.TORSION_FACTOR, "plastic"),
        (stress.TORSION_FACTOR, "elastic"),
        (stiffness.HEAD_LENGTH, "hexagon"),
        (stiffness.COUNTERPART_LENGTH, "nut"),
        (stiffness.COUNTERPART_LENGTH, "tapped"),
        *((fit, key) for fit in (cone.THROUGH, cone.TAPPED) for key in ("constant", "width")),
    ],
)
@pytest.mark.no_cover
def test_a_tabled_constant_off_by_one_per_cent_turns_rows_red(
    table: dict[str, float], key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(table, key, 1.01 * table[key])
    assert red_ids("joint")


@pytest.mark.usefixtures("fresh")
@pytest.mark.parametrize(
    ("name", "starts"),
    [
        ("pitch_diameter", "threads_metric"),
        ("metric_root_diameter", "threads_metric"),
        ("metric_stress_area", "VDI2230-fine"),
        ("unified_stress_area", "threads_unified"),
        ("unified_root_diameter", "threads_unified"),
    ],
)
def test_a_profile_off_by_one_per_cent_turns_its_table_red(
    name: str, starts: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = getattr(profile, name)
    monkeypatch.setattr(profile, name, lambda *sizes: 1.01 * true(*sizes))
    red = [one for one in red_ids("standards") if one.startswith(starts)]
    assert len(red) > 15


@pytest.mark.usefixtures("fresh")
def test_a_wrong_input_turns_its_row_red(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = published("joint_worked")
    changed = ({**lines[3], "given": lines[3]["given"].replace("25 kN", "25.25 kN")},)
    monkeypatch.setattr(sheet, "published", lambda _: changed)
    (row,) = sheet.sheet_rows("joint_worked")
    assert row.id == "W1.1 total"
    assert row.red


def test_rows_are_chosen_by_a_word() -> None:
    some = validate("grubbs")
    assert 10 < len(some) < 60
    assert all("grubbs" in f"{r.id}{r.topic}{r.quantity}{r.source}".casefold() for r in some)


def test_a_row_as_data_has_the_agreed_members() -> None:
    wanted = {"id", "computed", "published", "tolerance", "source", "ok", "explained"}
    for row in rows()[::97]:
        data: dict[str, Any] = row_json(row)
        assert wanted <= set(data)
        assert isinstance(data["ok"], bool)
        assert data["explained"] is None or not data["ok"]


@pytest.mark.parametrize(
    ("printed", "written", "allowed"),
    [
        ("37.620", "", 0.0005),
        ("75", "", 0.5),
        ("4.25155e-6", "", 5e-12),
        ("200", "0.5 %", 1.0),
        ("-2.0", "1 %", 0.02),
        ("14", "0", 0.0),
    ],
)
def test_tolerance_comes_from_the_print(printed: str, written: str, allowed: float) -> None:
    assert tolerance(printed, written) == pytest.approx(allowed, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("25 kN", 25_000.0),
        ("10 %", 0.1),
        ("0.1419 in²", 0.1419 * 645.16),
        ("-2.5", -2.5),
        ("steel", "steel"),
        ("1; 2 kN", [1.0, 2000.0]),
        ("normal 1.234 0.020", "normal 1.234 0.020"),
    ],
)
def test_values_of_the_sheets(text: str, value: object) -> None:
    assert sheet.plain_value(text) == value


def test_misprints_name_figures_that_exist() -> None:
    with (FOLDER / "misprints.csv").open(encoding="utf-8") as file:
        lines = list(csv.DictReader(file))
    assert lines == list(published("misprints"))
    assert len(tables.misprints()) == len(lines)
