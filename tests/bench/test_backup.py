"""A workshop saved and put back: whole, checked, never behind unsaid, and deaf to hostile zips."""

import datetime as dt
import hashlib
import json
import os
import shutil
import threading
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from clampwright.bench import saved as saved_module
from clampwright.bench.backup import PATIENCE, Schedule, dated, thin_out, write_backup, zip_in
from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.restore import restore
from clampwright.bench.saved import check_backup
from clampwright.errors import BadFile, ClampwrightError, Refused, StoreBusy, StoreFull
from clampwright.store import NewEntry, Store

NOW = dt.datetime(2026, 3, 1, 8, 30, tzinfo=dt.UTC)


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    """An invented workshop with a log of 40 entries and some files."""
    folder = tmp_path / "yard"
    with Store.open(folder, create=True, workshop="Invented Yard") as store:
        store.append_many(NewEntry("note", {"n": n}, job="wheel") for n in range(40))
        store.record("wheel")
    (folder / "drawer.toml").write_text('workshop = "Invented Yard"\n')
    (folder / "jobs").mkdir()
    (folder / "jobs" / "wheel.toml").write_text("# an invented job\n")
    (folder / "papers").mkdir()
    (folder / "papers" / ("ab" * 32)).write_bytes(b"time_s,torque_Nm\n0,0\n")
    return folder


def saved(folder: Path, target: Path) -> Path:
    with Store.open(folder, write=False, busy_seconds=PATIENCE) as store:
        return write_backup(store, folder, target, now=NOW).file


def head_of(folder: Path) -> tuple[int, bytes]:
    with Store.open(folder, write=False) as store:
        assert store.check() == store.head()[0]
        return store.head()


def test_what_is_put_back_is_what_was_saved(yard: Path, tmp_path: Path) -> None:
    file = saved(yard, tmp_path / "a.zip")
    done = restore(file, tmp_path / "new", now=NOW)
    assert head_of(tmp_path / "new") == head_of(yard)
    assert done.key_missing
    assert done.saved_before is None
    for name in ("drawer.toml", "jobs/wheel.toml", "papers/" + "ab" * 32):
        assert (tmp_path / "new" / name).read_bytes() == (yard / name).read_bytes()
    assert not list((tmp_path / "new").glob("restoring-*"))
    shutil.copy(yard / "workshop.key", tmp_path / "new" / "workshop.key")
    with Store.open(tmp_path / "new") as store, Store.open(yard) as old:
        assert store.record("wheel") == old.record("wheel")


def test_the_zip_is_readable_without_this_program(yard: Path, tmp_path: Path) -> None:
    file = saved(yard, tmp_path / "a.zip")
    with zipfile.ZipFile(file) as archive:
        names = archive.namelist()
        assert "workshop.key" not in names
        secret = (yard / "workshop.key").read_bytes()
        for name in names:
            assert secret not in archive.read(name)
        for line in archive.read("checksums.txt").decode().splitlines():
            digest, _, name = line.partition("  ")
            assert hashlib.sha256(archive.read(name)).hexdigest() == digest
        lines = archive.read("log/entries.jsonl").splitlines()
        assert [json.loads(line)["kind"] for line in lines][:2] == ["log_opened", "note"]


def test_a_backup_while_fifty_pulls_a_second_arrive_loses_none(yard: Path, tmp_path: Path) -> None:
    stop = threading.Event()
    written: list[int] = []

    def write() -> None:
        with Store.open(yard) as store:
            while not stop.wait(0.02):
                written.append(store.append("note", {"n": len(written)}).index)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        files = [saved(yard, tmp_path / f"{n}.zip") for n in range(5)]
    finally:
        stop.set()
        writer.join()
    with Store.open(yard, write=False) as store:
        assert store.check() == written[-1] + 1
        tree = store.tree()
        for file in files:
            with zipfile.ZipFile(file) as archive:
                manifest = json.loads(archive.read("backup.json"))
            assert tree.root(manifest["size"]).hex() == manifest["root"]


def test_a_backup_goes_not_onto_itself(yard: Path, tmp_path: Path) -> None:
    file = saved(yard, tmp_path / "a.zip")
    before = file.read_bytes()
    with pytest.raises(Refused, match="a backup is never replaced"):
        saved(yard, file)
    assert file.read_bytes() == before
    with pytest.raises(Refused, match="lies in the folder papers that is saved"):
        saved(yard, yard / "papers" / "a.zip")
    with pytest.raises(Refused, match="never replaced"):
        saved(yard, yard / "workshop.sqlite")


def test_a_full_disk_leaves_no_half_backup(
    yard: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StoreFull, match="No space left"):
        saved(yard, tmp_path / "there" / "a.zip")
    assert list((tmp_path / "there").iterdir()) == []


def test_going_back_is_refused_until_it_is_said(yard: Path, tmp_path: Path) -> None:
    file = saved(yard, tmp_path / "a.zip")
    old = head_of(yard)
    with Store.open(yard) as store:
        store.append_many(NewEntry("note", {"n": n}) for n in range(7))
    newer = head_of(yard)
    with pytest.raises(Refused, match="7 entries here are newer than the backup"):
        restore(file, yard, now=NOW)
    assert head_of(yard) == newer
    done = restore(file, yard, now=NOW, go_back=True)
    assert (done.lost, done.key_missing) == (7, False)
    assert head_of(yard) == old
    # What was there was saved first, and can be had again.
    assert done.saved_before is not None
    restore(done.saved_before, yard, now=NOW)
    assert head_of(yard) == newer


def test_a_log_that_went_another_way_is_told(yard: Path, tmp_path: Path) -> None:
    shutil.copytree(yard, tmp_path / "other")
    with Store.open(tmp_path / "other") as store:
        store.append("note", {"n": 1})
    with Store.open(yard) as store:
        store.append("note", {"n": 2})
    file = saved(tmp_path / "other", tmp_path / "a.zip")
    with pytest.raises(Refused, match="went different ways"):
        restore(file, yard, now=NOW)


def test_a_record_that_knows_more_than_the_backup_is_told(yard: Path, tmp_path: Path) -> None:
    file = saved(yard, tmp_path / "a.zip")
    with Store.open(yard) as store:
        store.append("note", {"n": 1}, job="later")
        record = store.record("later")
    (tmp_path / "new" / "records").mkdir(parents=True)
    (tmp_path / "new" / "records" / "later.json").write_bytes(record)
    with pytest.raises(Refused, match="was signed when the log had 44 entries; the backup has 42"):
        restore(file, tmp_path / "new", now=NOW)
    assert restore(file, tmp_path / "new", now=NOW, go_back=True).lost == 2


def test_another_workshops_backup_is_refused(yard: Path, tmp_path: Path) -> None:
    with Store.open(tmp_path / "other", create=True, workshop="Other Yard") as store:
        store.append("note", {"n": 1})
    file = saved(tmp_path / "other", tmp_path / "a.zip")
    before = head_of(yard)
    for go_back in (False, True):
        with pytest.raises(Refused, match="restore it into an empty"):
            restore(file, yard, now=NOW, go_back=go_back)
    assert head_of(yard) == before


def test_a_damaged_store_is_kept_beside_and_its_backup_named(yard: Path) -> None:
    whole = head_of(yard)
    file = saved(yard, yard / "backups" / "good.zip")
    damaged = (yard / "workshop.sqlite").read_bytes()[:9000]
    (yard / "workshop.sqlite").write_bytes(damaged)
    with (
        pytest.raises(BadFile, match=r"newest backup here is .*good\.zip"),
        open_store(Workshop(yard), write=False),
    ):
        pass
    done = restore(file, yard, now=NOW)
    assert done.saved_before is not None
    assert (done.saved_before / "workshop.sqlite").read_bytes() == damaged
    assert head_of(yard) == whole


def test_nobody_writes_while_it_is_put_back(yard: Path, tmp_path: Path) -> None:
    file = saved(yard, tmp_path / "a.zip")
    with Store.open(yard), pytest.raises(StoreBusy):
        restore(file, yard, now=NOW)


def remade(file: Path, change: Callable[[dict[str, bytes]], None], *, sums: bool = True) -> None:
    """Change the content of a zip; make its sums fit again, as a forger would."""
    with zipfile.ZipFile(file) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    change(parts)
    if sums:
        parts["checksums.txt"] = "".join(
            f"{hashlib.sha256(data).hexdigest()}  {name}\n"
            for name, data in parts.items()
            if name != "checksums.txt"
        ).encode()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)


def drop(name: str) -> Callable[[dict[str, bytes]], None]:
    return lambda parts: parts.__delitem__(name)


def put(name: str, data: bytes) -> Callable[[dict[str, bytes]], None]:
    return lambda parts: parts.__setitem__(name, data)


def swap(name: str, old: bytes, new: bytes) -> Callable[[dict[str, bytes]], None]:
    return lambda parts: parts.__setitem__(name, parts[name].replace(old, new))


def cut_lines(name: str, count: int) -> Callable[[dict[str, bytes]], None]:
    return lambda parts: parts.__setitem__(
        name, b"".join(parts[name].splitlines(keepends=True)[:-count])
    )


@pytest.mark.parametrize(
    ("change", "sums", "message"),
    [
        (swap("drawer.toml", b"Invented", b"Forged"), False, "drawer.toml is not what was saved"),
        (drop("drawer.toml"), False, "drawer.toml is missing or was added"),
        (put("jobs/more.toml", b"x"), False, "jobs/more.toml is missing or was added"),
        (drop("backup.json"), True, "backup.json is missing or damaged"),
        (put("backup.json", b"[]"), True, "is not a backup of this program"),
        (put("backup.json", b"[" * 90_000), True, "is not a backup of this program"),
        (swap("backup.json", b'"version": 1', b'"version": 2'), True, "made by a newer version"),
        (swap("backup.json", b'"size"', b'"length"'), True, "does not say its size"),
        (swap("log/entries.jsonl", b'"n":7', b'"n":8'), True, "does not fit the head signed"),
        (cut_lines("log/entries.jsonl", 5), True, "at the end of the log are missing"),
        (put("log/entries.jsonl", b'{"n":1}'), True, "line 1 of entries.jsonl is cut off"),
        (put("log/entries.jsonl", b""), True, "holds no entries"),
        (put("log/heads.jsonl", b"{}\n"), True, "line 1 of heads.jsonl is not a signed head"),
        (put("log/heads.jsonl", b""), True, ""),
        (put("../evil.toml", b"x"), True, "of checksums.txt is not as it should be"),
        (put("jobs/../../evil", b"x"), True, "of checksums.txt is not as it should be"),
        (put("/etc/evil", b"x"), True, "of checksums.txt is not as it should be"),
        (put("workshop.key/evil", b"x"), True, "of checksums.txt is not as it should be"),
        (put("jobs/CON.", b"x"), True, "of checksums.txt is not as it should be"),
        (put("checksums.txt", b"x\n"), False, "line 1 of checksums.txt"),
    ],
)
def test_a_changed_backup_is_refused_and_nothing_changes(
    yard: Path,
    tmp_path: Path,
    *,
    change: Callable[[dict[str, bytes]], None],
    sums: bool,
    message: str,
) -> None:
    file = saved(yard, tmp_path / "a.zip")
    remade(file, change, sums=sums)
    before = {path: path.read_bytes() for path in sorted(yard.rglob("*")) if path.is_file()}
    if not message:  # without its heads a log is whole, only less is known of it
        assert restore(file, tmp_path / "new", now=NOW).head.size == 42
        return
    with pytest.raises(BadFile, match=message):
        restore(file, yard, now=NOW)
    with pytest.raises(ClampwrightError, match=message):
        restore(file, tmp_path / "new", now=NOW)
    after = {path: path.read_bytes() for path in sorted(yard.rglob("*")) if path.is_file()}
    assert {p: d for p, d in after.items() if p.suffix != ".lock"} == {
        p: d for p, d in before.items() if p.suffix != ".lock"
    }
    assert not (tmp_path / "evil.toml").exists()


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"not a zip", b"PK\x05\x06" + bytes(18)])
def test_what_is_no_backup(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "a.zip").write_bytes(data)
    with pytest.raises(BadFile, match=r"a\.zip"):
        check_backup(tmp_path / "a.zip")


def test_a_bomb_is_not_unpacked(
    yard: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(saved_module, "SLACK", 1 << 20)
    file = saved(yard, tmp_path / "a.zip")
    with (
        zipfile.ZipFile(file, "a", zipfile.ZIP_DEFLATED) as archive,
        archive.open("papers/big", "w", force_zip64=True) as out,
    ):
        for _ in range(30):
            out.write(bytes(1 << 20))
    with pytest.raises(BadFile, match=r"would unpack to .* no workshop is like that"):
        check_backup(file)


def test_a_cut_off_backup_is_refused(yard: Path, tmp_path: Path) -> None:
    file = saved(yard, tmp_path / "a.zip")
    data = file.read_bytes()
    for keep in (0.2, 0.5, 0.9, 0.999):
        file.write_bytes(data[: int(len(data) * keep)])
        with pytest.raises(BadFile):
            check_backup(file)


def test_only_dated_backups_are_thinned_out(yard: Path, tmp_path: Path) -> None:
    target = tmp_path / "saved"
    target.mkdir()
    (target / "mine.zip").write_bytes(b"x")
    for hour in range(4):
        saved(yard, zip_in(target, NOW + dt.timedelta(hours=hour)))
    gone = thin_out(target, 3)
    assert [path.name for path in gone] == ["workshop-20260301T083000Z.zip"]
    assert len(dated(target)) == 3
    assert (target / "mine.zip").exists()


def test_backups_on_schedule(yard: Path, tmp_path: Path) -> None:
    plan = Schedule(tmp_path / "saved", dt.timedelta(hours=6), keep=2)
    assert plan.run(tmp_path / "nothing-here", NOW) is None
    made = [plan.run(yard, NOW + dt.timedelta(hours=hours)) for hours in (0, 5, 7, 14)]
    assert [one is not None for one in made] == [True, False, True, True]
    assert dated(plan.folder) == [made[2], made[3]]
    # A clock set back a year does not stop them.
    assert plan.due(NOW - dt.timedelta(days=365))
