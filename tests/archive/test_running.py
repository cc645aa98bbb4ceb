"""One process, two, or a run that was killed in the middle: the same numbers, and nothing twice."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import psutil  # type: ignore[import-untyped]  # it ships no types; Dask brings it along
import pyarrow as pa
import pytest
from pyarrow import parquet

from clampwright.archive.analyses import ANALYSES
from clampwright.archive.cluster import workers_at, workers_here
from clampwright.archive.layout import Archive
from clampwright.archive.running import Done, Result, Task, here, last_result, run
from clampwright.errors import BadFile, ClampwrightError, Missing, Refused

QUESTIONS: dict[str, dict[str, Any]] = {
    "rejudge": {},
    "drift": {},
    "friction": {},
    "outlying": {},
    "procedures": {},
    "look-back": {"workshop": "invented-1.log", "tool": "click-60"},
    "bad-calibration": {"named_by": "by", "named": "", "error": 2.0, "u": 0.5},
}


@pytest.fixture
def chain(few: Archive) -> Archive:
    """Few of them: what is found does not matter here, only that it is the same."""
    return few


@pytest.fixture(scope="module")
def alone(kept_few: Archive, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What one plain process finds."""
    folder = tmp_path_factory.mktemp("alone") / "chain"
    copy(kept_few.folder, folder)
    archive = Archive(folder)
    return {name: run(archive, ANALYSES[name], asked).found for name, asked in QUESTIONS.items()}


def copy(source: Path, target: Path) -> None:
    import shutil  # noqa: PLC0415 - only here

    shutil.copytree(source, target)


@pytest.mark.parametrize("count", [1, 2])
def test_workers_find_what_one_process_finds(
    count: int, chain: Archive, alone: dict[str, Any]
) -> None:
    """To the last bit: counts, verdicts and sums, whoever did which piece first."""
    with workers_here(count, threads=True) as spread:
        for name, asked in QUESTIONS.items():
            found = run(chain, ANALYSES[name], asked, spread=spread, workers=count)
            assert found.found == alone[name], name
            assert found.work.workers == count


def test_a_worker_killed_in_the_middle_changes_no_number(
    chain: Archive, alone: dict[str, Any]
) -> None:
    """Real processes: one is killed after the first piece; nothing listens to the outside."""
    killed: list[int] = []

    def kill_one(_done: int, _pieces: int) -> None:
        if killed:
            return
        mine = psutil.Process()
        workers = [one for one in mine.children(recursive=True) if _is_worker(one)]
        heard = [port for one in (mine, *workers) for port in _listening(one)]
        assert heard
        assert all(address == "127.0.0.1" for address, _port in heard)
        assert 8787 not in {port for _address, port in heard}
        killed.append(workers[0].pid)
        os.kill(workers[0].pid, signal.SIGKILL)

    with workers_here(2) as spread:
        found = run(chain, ANALYSES["rejudge"], {}, spread=spread, workers=2, progress=kill_one)
    assert killed
    assert found.found == alone["rejudge"]


def _is_worker(process: psutil.Process) -> bool:
    return bool(_listening(process))


def _listening(process: psutil.Process) -> list[tuple[str, int]]:
    try:
        found = process.net_connections()
    except psutil.Error:
        return []  # it ended meanwhile
    return [(one.laddr.ip, one.laddr.port) for one in found if one.status == psutil.CONN_LISTEN]


KILLED = """
import os, signal, sys
from pathlib import Path
from clampwright.archive.analyses import ANALYSES
from clampwright.archive.layout import Archive
from clampwright.archive.running import run

def stop(done, pieces):
    if done >= 3:
        os.kill(os.getpid(), signal.SIGKILL)

run(Archive(Path(sys.argv[1])), ANALYSES["rejudge"], {}, progress=stop)
"""


def test_a_run_that_was_killed_goes_on_where_it_stood(
    chain: Archive, alone: dict[str, Any]
) -> None:
    done = subprocess.run([sys.executable, "-c", KILLED, chain.folder], check=False)
    assert done.returncode == -signal.SIGKILL
    assert last_result(chain, "rejudge") is None
    result = run(chain, ANALYSES["rejudge"], {})
    assert result.work.before == 3
    assert result.found == alone["rejudge"]
    again = run(chain, ANALYSES["rejudge"], {})
    assert again.work.before == again.work.pieces
    assert again.found == alone["rejudge"]


def test_only_what_changed_is_done_again(chain: Archive) -> None:
    first = run(chain, ANALYSES["friction"], {})
    part = next(chain.parts("entries", "invented-2.log"))
    table = parquet.read_table(part.path)
    parquet.write_table(
        table.replace_schema_metadata({**table.schema.metadata, b"clampwright.content": b"new"}),
        part.path,
    )
    again = run(chain, ANALYSES["friction"], {})
    assert again.work.pieces - again.work.before == 1
    assert again.found == first.found


def test_analyses_that_share_a_step_share_its_results(chain: Archive) -> None:
    run(chain, ANALYSES["friction"], {})
    assert run(chain, ANALYSES["outlying"], {"share": 0.01}).work.before == 4
    assert run(chain, ANALYSES["procedures"], {}).work.before == 4


def damage(chain: Archive, table: str) -> str:
    part = next(chain.parts(table, "invented-2.log"))
    data = bytearray(part.path.read_bytes())
    middle = len(data) // 3
    data[middle : middle + 200] = bytes(200)
    part.path.write_bytes(bytes(data))
    return chain.told(part.path)


@pytest.mark.parametrize(("name", "table"), [("rejudge", "traces"), ("procedures", "entries")])
def test_a_damaged_part_is_named_and_set_aside_by_choice(
    name: str, table: str, chain: Archive, alone: dict[str, Any]
) -> None:
    file = damage(chain, table)
    with pytest.raises(BadFile, match="this Parquet file is damaged") as caught:
        run(chain, ANALYSES[name], {})
    assert file in str(caught.value)
    assert "--set-aside" in str(caught.value)
    result = run(chain, ANALYSES[name], {}, set_aside=True)
    assert [one for one, _why in result.aside] == [file]
    assert result.found != alone[name]
    with pytest.raises(BadFile):  # set aside once is not set aside for ever
        run(chain, ANALYSES[name], {})


def test_a_part_cut_off_or_of_another_kind_is_named(chain: Archive) -> None:
    part = next(chain.parts("entries", "invented-2.log"))
    whole = part.path.read_bytes()
    part.path.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(BadFile, match="damaged or was cut off"):
        run(chain, ANALYSES["friction"], {})
    parquet.write_table(pa.table({"place": [1]}), part.path)
    with pytest.raises(BadFile, match="no part of an archive"):
        run(chain, ANALYSES["friction"], {})


def with_metadata(part: Path, table: Any, version: bytes) -> None:
    told = {**(table.schema.metadata or {}), b"clampwright.archive": version}
    parquet.write_table(table.replace_schema_metadata(told), part)


def test_parts_of_several_versions_lie_side_by_side(chain: Archive, alone: dict[str, Any]) -> None:
    """A column more is passed over; a newer form, or a column less, is named."""
    part = next(chain.parts("entries", "invented-2.log"))
    table = parquet.read_table(part.path)
    more = table.append_column("later", pa.array(["x"] * table.num_rows))
    with_metadata(part.path, more, b"1")
    assert run(chain, ANALYSES["procedures"], {}).found == alone["procedures"]
    with_metadata(part.path, table.drop_columns(["kind"]), b"1")
    with pytest.raises(BadFile, match="the column kind is missing"):
        run(chain, ANALYSES["look-back"], QUESTIONS["look-back"])
    with_metadata(part.path, table, b"2")
    with pytest.raises(BadFile, match="a newer program wrote this part"):
        run(chain, ANALYSES["look-back"], QUESTIONS["look-back"])


def test_a_month_that_is_missing_takes_only_its_own_away(
    chain: Archive, alone: dict[str, Any]
) -> None:
    chain.entries_of("invented-2.log", "2026-08").unlink()
    found = run(chain, ANALYSES["procedures"], {}).found["procedures"][0]
    whole = alone["procedures"]["procedures"][0]
    assert found["joints"] == whole["joints"] - 1
    assert found["workshops"] == whole["workshops"]


def test_a_full_disk_stops_the_run_and_what_was_done_is_kept(
    chain: Archive, monkeypatch: pytest.MonkeyPatch, alone: dict[str, Any]
) -> None:
    real, count = os.fsync, iter(range(100))

    def full(handle: int) -> None:
        if next(count) >= 3:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(handle)

    with monkeypatch.context() as patched:
        patched.setattr("clampwright.archive.layout.os.fsync", full)
        with pytest.raises(ClampwrightError, match="the disk is full"):
            run(chain, ANALYSES["rejudge"], {})
    result = run(chain, ANALYSES["rejudge"], {})
    assert result.work.before == 3
    assert result.found == alone["rejudge"]


def test_a_piece_no_worker_gets_through_is_named(chain: Archive) -> None:
    from clampwright.archive.cluster import _killed  # noqa: PLC0415 - its like is dear to bring about

    def spread(tasks: Sequence[Task]) -> Iterator[Done]:
        yield _killed(tasks[0])
        yield from here(tasks[1:])

    with pytest.raises(BadFile, match="every worker that took this up ended over it"):
        run(chain, ANALYSES["rejudge"], {}, spread=spread)
    result = run(chain, ANALYSES["rejudge"], {}, spread=spread, set_aside=True)
    assert [file for file, _why in result.aside] == [next(iter(chain.parts("traces"))).path
        .relative_to(chain.folder).as_posix()]  # fmt: skip


def test_without_dask_one_message_names_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(Missing, match="pip install dask distributed"), workers_here(2):
        pass


def test_workers_that_cannot_be_had_are_refused() -> None:
    with pytest.raises(Refused, match="1 to 256"), workers_here(0):
        pass
    with pytest.raises(Refused, match="no scheduler"), workers_at("nonsense"):
        pass


def test_a_result_is_kept_and_read_again(chain: Archive) -> None:
    result = run(chain, ANALYSES["procedures"], {})
    kept = last_result(chain, "procedures")
    assert isinstance(kept, Result)
    assert kept.as_json() == result.as_json()
    (chain.results / "procedures" / "last.json").write_text("{}")
    with pytest.raises(BadFile, match="damaged"):
        last_result(chain, "procedures")
