"""Whether a workshop is in good order, one fault at a time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from clampwright.bench.backup import write_backup, zip_in
from clampwright.bench.examine import Point, examine
from clampwright.bench.trust import Trust
from clampwright.cli import group
from clampwright.store import NewEntry, Store

if TYPE_CHECKING:
    from clampwright.bench.folder import Workshop

NOW = dt.datetime.now(dt.UTC)


@pytest.fixture
def worked(workshop: Workshop) -> Workshop:
    """A log with a few entries; calibrations of the invented drawer that are overdue are left."""
    with Store.open(workshop.folder, create=True) as store:
        store.append_many(NewEntry("note", {"n": n}) for n in range(4))
    return workshop


def points(place: Workshop, **more: object) -> dict[str, Point]:
    options: dict[str, object] = {"now": dt.datetime.now(dt.UTC), **more}
    found: dict[str, Point] = {}
    for one in examine(place.folder, **options):  # type: ignore[arg-type]  # options by name
        if one.name not in found or one.state == "wrong":
            found[one.name] = one
    return found


def test_a_sound_workshop_is_told_to_be_so(worked: Workshop) -> None:
    found = points(worked)
    fine = {name for name, one in found.items() if one.state == "fine"}
    assert {"log", "clock", "writer", "rights", "disk", "jobs"} <= fine
    assert found["anchored"].state == "look"
    assert found["backup"].state == "look"


def _spoil_log(place: Workshop) -> None:
    file = place.folder / "workshop.sqlite"
    data = bytearray(file.read_bytes())
    at = data.find(b'"n":3')
    data[at + 4] ^= 1
    file.write_bytes(data)


def _open_key(place: Workshop) -> None:
    (place.folder / "workshop.key").chmod(0o644)


def _spoil_drawer(place: Workshop) -> None:
    place.drawer.write_text("tools = ")


def _spoil_authority(place: Workshop) -> None:
    Trust(place.folder).authority.write_text("no certificate")


@pytest.mark.parametrize(
    ("spoil", "name"),
    [
        (_spoil_log, "log"),
        (_open_key, "rights"),
        (_spoil_drawer, "tools"),
        (_spoil_authority, "certificate"),
    ],
)
def test_each_fault_is_found(
    worked: Workshop, spoil: Callable[[Workshop], None], name: str
) -> None:
    spoil(worked)
    assert points(worked)[name].state == "wrong"


def test_a_clock_set_back_is_found(worked: Workshop) -> None:
    early = points(worked, now=NOW - dt.timedelta(days=1))
    assert early["clock"].state == "wrong"
    assert "set it right" in str(early["clock"].says)


def test_too_little_room_is_found(worked: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("clampwright.bench.examine.LEAST_ROOM", 1e18)
    assert points(worked)["disk"].state == "wrong"


def test_the_end_of_the_authority_is_told_in_time(worked: Workshop) -> None:
    Trust(worked.folder).anew(NOW)
    assert points(worked)["certificate"].state == "fine"
    later = points(worked, now=NOW + dt.timedelta(days=3640))
    assert later["certificate"].state == "wrong"


def test_the_age_of_the_newest_backup_is_told(worked: Workshop) -> None:
    with Store.open(worked.folder, write=False) as store:
        target = zip_in(worked.folder / "backups", NOW)
        write_backup(store, worked.folder, target, now=NOW)
    assert points(worked)["backup"].state == "fine"
    assert points(worked, now=NOW + dt.timedelta(days=9))["backup"].state == "look"


def test_a_job_that_cannot_be_read_and_another_program_are_told(worked: Workshop) -> None:
    (worked.jobs / "odd.toml").write_text("[job]\n")
    with Store.open(worked.folder):
        found = points(worked)
    assert found["writer"].state == "look"
    assert "odd.toml" in str(found["jobs"].says)


def test_nothing_is_changed_and_without_a_log_that_is_said(workshop: Workshop) -> None:
    before = sorted(path.name for path in workshop.folder.iterdir())
    assert "no log yet" in str(points(workshop)["log"].says)
    assert sorted(path.name for path in workshop.folder.iterdir()) == before


def test_the_command_says_the_same_and_its_status_tells(worked: Workshop) -> None:
    where = ["examine", "--workshop", str(worked.folder)]
    done = CliRunner().invoke(group, where)
    assert "calibration is overdue" in done.output
    assert done.exit_code == 1
    quick = CliRunner().invoke(group, [*where, "--quick", "--json"])
    assert "counted, not read again" in quick.output
