"""Every row of every table says where it comes from."""

import pytest

from clampwright.standards import strength_classes, threads
from clampwright.standards.tables import FOLDER, cited, rows

TABLES = sorted(str(path.relative_to(FOLDER).with_suffix("")) for path in FOLDER.rglob("*.csv"))
BASES = {"seen", "computed", "memory", "ours"}


def test_all_tables_are_found() -> None:
    assert {"threads_metric", "threads_unified", "friction", "published/threads_metric"} <= set(
        TABLES
    )


@pytest.mark.parametrize("name", TABLES)
def test_every_row_has_a_source_and_a_basis(name: str) -> None:
    table = rows(name)
    assert table
    if name == "published/units":  # its basis column holds the source itself
        assert all(row["basis"].startswith("computed from") for row in table)
        return
    for row in table:
        assert len(row["source"].strip()) > 8
        assert {basis for key, basis in row.items() if key.startswith("basis") and basis} <= BASES
        assert any(basis for key, basis in row.items() if key.startswith("basis"))


@pytest.mark.parametrize("name", TABLES)
def test_every_row_has_all_columns(name: str) -> None:
    for row in rows(name):
        assert None not in row
        assert None not in row.values()


@pytest.mark.parametrize("name", [name for name in TABLES if "/" not in name])
def test_a_row_from_memory_says_so_where_it_is_used(name: str) -> None:
    for row in rows(name):
        if row["basis"] == "memory":
            assert "memory" in cited(row) or "recalled" in cited(row)


def test_completed_threads_say_how_they_were_completed() -> None:
    completed = [t for t in threads() if t.stress_area_printed is None]
    assert completed
    assert all("computed from the" in t.source for t in completed)


def test_flags_of_the_sources_are_kept() -> None:
    flags = {t.name: t.flag for t in threads() if t.flag}
    assert "290 mm2" in flags["M20x1.5"]
    assert "1.260 in2" in flags["1-1/2-12 UNF"]
    assert any("up to 6 in long" in c.flag for c in strength_classes())
