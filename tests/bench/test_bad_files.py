"""Files that were cut, mixed up or come from elsewhere, and a disk that fills in the middle.

Each is met with one sentence, an exit status, and nothing changed.
"""

from __future__ import annotations

import datetime as dt
import resource
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner

from clampwright.bench.backup import write_backup
from clampwright.bench.export import export_log, import_log
from clampwright.bench.restore import restore
from clampwright.cli import group
from clampwright.errors import BadFile, ClampwrightError
from clampwright.proof.anchors import read_anchor
from clampwright.store import NewEntry, Store

NOW = dt.datetime(2026, 3, 1, 8, 0, tzinfo=dt.UTC)
ENTRIES, HEADS = "entries.jsonl", "heads.jsonl"


def yard_at(folder: Path, name: str = "Invented Yard") -> Path:
    with Store.open(folder, create=True, workshop=name) as store:
        store.append_many(
            NewEntry("pull", {"fastener": n, "note": "x" * 900}, job="wheel") for n in range(60)
        )
        store.record("wheel")
    return folder


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two workshops, and all files that one can hand out."""
    folder = tmp_path_factory.mktemp("made")
    for name in ("yard", "other"):
        with Store.open(yard_at(folder / name), write=False) as store:
            export_log(store, folder / f"{name}-export")
            write_backup(store, folder / name, folder / f"{name}.zip", now=NOW)
    return folder


@pytest.fixture
def export(made: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(made / "yard-export", tmp_path / "export"))


def lines(file: Path) -> list[bytes]:
    return file.read_bytes().splitlines(keepends=True)


def cut_in_a_line(folder: Path, _made: Path) -> None:
    data = (folder / ENTRIES).read_bytes()
    (folder / ENTRIES).write_bytes(data[: len(data) * 2 // 3 + 7])


def cut_after_a_line(folder: Path, _made: Path) -> None:
    (folder / ENTRIES).write_bytes(b"".join(lines(folder / ENTRIES)[:40]))


def reordered(folder: Path, _made: Path) -> None:
    found = lines(folder / ENTRIES)
    found[20], found[21] = found[21], found[20]
    (folder / ENTRIES).write_bytes(b"".join(found))


def doubled(folder: Path, _made: Path) -> None:
    found = lines(folder / ENTRIES)
    (folder / ENTRIES).write_bytes(b"".join([*found[:21], found[20], *found[21:]]))


def newer(folder: Path, _made: Path) -> None:
    data = (folder / ENTRIES).read_bytes()
    (folder / ENTRIES).write_bytes(data.replace(b'"version":1}', b'"version":2}'))


def older(folder: Path, _made: Path) -> None:
    data = (folder / ENTRIES).read_bytes()
    (folder / ENTRIES).write_bytes(data.replace(b'"format_version":1', b'"format_version":0', 1))


def renamed(folder: Path, _made: Path) -> None:
    (folder / ENTRIES).rename(folder / "x")
    (folder / HEADS).rename(folder / ENTRIES)
    (folder / "x").rename(folder / HEADS)


def of_another_key(folder: Path, made: Path) -> None:
    shutil.copy(made / "other-export" / HEADS, folder / HEADS)


def of_another_log(folder: Path, made: Path) -> None:
    foreign = lines(made / "other-export" / ENTRIES)
    found = lines(folder / ENTRIES)
    (folder / ENTRIES).write_bytes(b"".join([*found[:10], *foreign[10:20], *found[20:]]))


def no_text(folder: Path, _made: Path) -> None:
    (folder / ENTRIES).write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(500))


@pytest.mark.parametrize(
    "spoil",
    [
        cut_in_a_line,
        cut_after_a_line,
        reordered,
        doubled,
        newer,
        older,
        renamed,
        of_another_key,
        of_another_log,
        no_text,
    ],
)
def test_an_export_that_is_not_as_it_was(
    export: Path, made: Path, tmp_path: Path, spoil: Callable[[Path, Path], None]
) -> None:
    spoil(export, made)
    with pytest.raises(BadFile) as caught:
        import_log(export, tmp_path / "new")
    assert str(tmp_path) in str(caught.value)
    assert not (tmp_path / "new" / "workshop.sqlite").exists()
    done = CliRunner().invoke(group, ["store", "import", str(export), str(tmp_path / "new")])
    assert isinstance(done.exception, ClampwrightError)
    assert done.exception.exit_status == 2


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"{}",
        b'{"checkpoint":3}',
        b"old 1\n",
        b"a.b\n1\nAAAA\n",
        b"\xff\xfe\x00",
        b"old 1\n" + b"AAAA\n" * 70 + b"\nx",
        b"{" * 5000,
    ],
)
def test_what_is_no_head_is_told(data: bytes) -> None:
    with pytest.raises(BadFile, match=r"kept\.txt"):
        read_anchor(data, "kept.txt")


@contextmanager
def disk_of(size: int) -> Iterator[None]:
    """No file can grow beyond a size while the block runs, as on a disk that fills."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def there(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.suffix != ".lock"
    }


@pytest.mark.parametrize("size", [4_000, 20_000, 60_000])
def test_a_disk_that_fills_in_the_middle(made: Path, tmp_path: Path, size: int) -> None:
    yard = Path(shutil.copytree(made / "yard", tmp_path / "yard"))
    before = there(yard)
    with Store.open(yard, write=False) as store:
        with disk_of(size), pytest.raises(ClampwrightError):
            export_log(store, tmp_path / "export")
        assert not (tmp_path / "export").exists()
        with disk_of(2_000), pytest.raises(ClampwrightError):
            write_backup(store, yard, tmp_path / "a.zip", now=NOW)
    assert not (tmp_path / "a.zip").exists()
    with disk_of(size), pytest.raises(ClampwrightError):
        import_log(made / "yard-export", tmp_path / "new")
    assert not (tmp_path / "new" / "workshop.sqlite").exists()
    with disk_of(size), pytest.raises(ClampwrightError):
        restore(made / "yard.zip", tmp_path / "again", now=NOW)
    assert not (tmp_path / "again" / "workshop.sqlite").exists()
    with disk_of(size), pytest.raises(ClampwrightError):
        restore(made / "yard.zip", yard, now=NOW, go_back=True)
    assert {name: data for name, data in there(yard).items() if name in before} == before
    # And once there is room again, everything goes.
    import_log(made / "yard-export", tmp_path / "new")
    assert restore(made / "yard.zip", tmp_path / "again", now=NOW).head.size == 62
