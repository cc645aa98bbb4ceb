"""Everything a workshop wrote down, as open files, and back again without loss.

::

    entries.jsonl, heads.jsonl   the log itself; another store is made from these two alone
    pulls.csv, pulls.parquet     one row a pull, for a spreadsheet or a statistics program
    schema.json                  what each column means

A table is a view for people: it is made from the log and never read back.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

from clampwright.bench.logfiles import ENTRIES, HEADS, entry_lines, head_lines, read_lines
from clampwright.errors import BadFile, Refused, StoreFull
from clampwright.proof.checkpoint import Head
from clampwright.shown import cell
from clampwright.store.copying import LogSource, log_source, write_log
from clampwright.store.folder import Folder
from clampwright.store.lock import WriterLock
from clampwright.store.reading import LogReader
from clampwright.store.server_log import write_log_to
from clampwright.store.where import Database
from clampwright.words import words

PULLS = "pull"
SCHEMA = "schema.json"
AT_ONCE = 10_000


@dataclass(frozen=True, slots=True)
class Exported:
    """What was written.

    Parameters
    ----------
    folder : pathlib.Path
    head : Head
    pulls : int
    """

    folder: Path
    head: Head
    pulls: int


def export_log(store: LogReader, folder: Path) -> Exported:
    """Write a log as open files.

    Parameters
    ----------
    store : LogReader
    folder : pathlib.Path
        Must be empty, or not there.

    Returns
    -------
    Exported

    Raises
    ------
    Refused
        When the folder holds something.
    StoreFull
        When it cannot be written.
    """
    new = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            raise Refused(words("{folder} is not empty; nothing was written", folder=str(folder)))
        with _whole(folder, new=new):
            size, root = store.head()
            source = log_source(store, size)
            with (folder / ENTRIES).open("wb") as out:
                out.writelines(entry_lines(source))
            with (folder / HEADS).open("wb") as out:
                out.writelines(head_lines(source))
            pulls = _write_tables(store, folder, size)
            schema = json.dumps(_schema(), indent=1, ensure_ascii=False)
            (folder / SCHEMA).write_text(f"{schema}\n", "utf-8")
    except OSError as error:
        raise StoreFull(
            words(
                "{folder} could not be written: {problem}",
                folder=str(folder),
                problem=str(error.strerror),
            )
        ) from error
    return Exported(folder, Head(store.origin, size, root), pulls)


@contextmanager
def _whole(folder: Path, *, new: bool) -> Iterator[None]:
    """Leave nothing in an empty folder unless all was written; remove the folder if it is new."""
    done = False
    try:
        yield
        done = True
    finally:
        if not done:
            for path in folder.iterdir():
                path.unlink()
            if new:
                folder.rmdir()


def import_log(folder: Path, workshop: Path) -> Head:
    """Make a workshop's store from an export.

    Parameters
    ----------
    folder : pathlib.Path
        With ``entries.jsonl`` and ``heads.jsonl``.
    workshop : pathlib.Path
        Must hold no store.

    Returns
    -------
    Head
        The same as that of the log it came from.

    Raises
    ------
    BadFile
        When the files are no log, or do not fit its signed heads; no store is left.
    Refused
        When the workshop has a store.
    """
    place = Folder(workshop)
    try:
        with (folder / ENTRIES).open("rb") as entries, (folder / HEADS).open("rb") as heads:
            source = read_lines(entries, heads, str(folder))
            workshop.mkdir(parents=True, exist_ok=True)
            lock = WriterLock(place.lock)
            try:
                head = _take_in(source, place)
            finally:
                lock.release()
    except OSError as error:
        raise BadFile(
            words(
                "{file} cannot be read: {problem}",
                file=str(error.filename or folder),
                problem=str(error.strerror),
            ),
            file=str(folder),
        ) from error
    return head


def _take_in(source: LogSource, place: Folder) -> Head:
    log = place.log
    if isinstance(log, Database):
        return write_log_to(log, source)
    if log.exists():
        raise Refused(
            words(
                "{folder} has a workshop.sqlite; import into an empty folder",
                folder=str(place.path),
            )
        )
    place.unfinished.unlink(missing_ok=True)
    head = write_log(source, place.unfinished)
    place.unfinished.rename(log)
    return head


def _schema() -> dict[str, Any]:
    """Return the description of the columns, read from the package's table."""
    text = resources.files(__package__).joinpath("pull_columns.csv").read_text("utf-8")
    columns = {row["column"]: row for row in csv.DictReader(text.splitlines())}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "One pull, as in pulls.csv and pulls.parquet",
        "type": "object",
        "properties": {
            name: {"type": [row["type"], "null"], "description": row["meaning"]}
            for name, row in columns.items()
        },
        "additionalProperties": False,
    }


def _write_tables(store: LogReader, folder: Path, size: int) -> int:
    """Write one row a pull, in both forms; return how many."""
    import pyarrow as pa
    from pyarrow import parquet as pq

    names = list(_schema()["properties"])
    text_kind = pa.string()
    kinds = {"integer": pa.int64(), "string": text_kind}
    schema = pa.schema(
        [(name, kinds[one["type"][0]]) for name, one in _schema()["properties"].items()]
    )
    count = 0
    with (
        (folder / "pulls.csv").open("w", newline="", encoding="utf-8") as text,
        pq.ParquetWriter(folder / "pulls.parquet", schema) as parquet,
    ):
        sheet = csv.writer(text)
        sheet.writerow(names)
        waiting: list[dict[str, Any]] = []
        for one in _pull_rows(store, size):
            row = {
                name: _fitting(one.get(name), is_text=schema.field(name).type == text_kind)
                for name in names
            }
            sheet.writerow([_safe_cell(row.get(name)) for name in names])
            waiting.append(row)
            count += 1
            if len(waiting) == AT_ONCE:
                parquet.write_table(pa.Table.from_pylist(waiting, schema))
                waiting = []
        parquet.write_table(pa.Table.from_pylist(waiting, schema))
    return count


def _fitting(value: object, *, is_text: bool) -> object:
    """Return what fits its column; a log may hold entries that other programs put together."""
    if is_text:
        return value if isinstance(value, str) else None
    return value if isinstance(value, int) and not isinstance(value, bool) else None


def _safe_cell(value: object) -> object:
    """Return a cell that a spreadsheet shows and does not compute."""
    return cell(value) if isinstance(value, str) else value


def _pull_rows(store: LogReader, size: int) -> Iterator[dict[str, Any]]:
    for line in store.lines():
        if line.index >= size:
            return
        if line.kind == PULLS:
            yield {
                "place_in_log": line.index,
                "id": line.id,
                "job": line.job,
                "recorded": line.recorded,
                "device": line.device_id,
                "device_time": line.device_time,
                **_body(line.body),
            }


def _body(body: Mapping[str, Any]) -> dict[str, Any]:
    """Take the columns out of a pull's body; what a pull has not is empty."""
    reading, limits, received, turned = (
        _mapping(body.get(name)) for name in ("reading", "limits", "received", "turned")
    )
    return {
        "joint": body.get("joint"),
        "stage": body.get("stage"),
        "fastener": body.get("fastener"),
        "tool": body.get("tool"),
        "adapter": body.get("adapter"),
        "reading_kind": reading.get("kind"),
        "reading": reading.get("value"),
        "reading_unit": reading.get("unit"),
        "limit_quantity": limits.get("quantity"),
        "limit_low": _value(limits.get("low")),
        "limit_high": _value(limits.get("high")),
        "limit_unit": _unit(limits.get("low")) or _unit(limits.get("high")),
        "received": _value(received.get("torque", received)),
        "received_unit": _unit(received.get("torque", received)),
        "turned": _value(turned),
        "verdict": body.get("verdict"),
    }


def _mapping(value: object) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {}


def _value(quantity: object) -> str | None:
    return quantity.get("value") if isinstance(quantity, dict) else None


def _unit(quantity: object) -> str | None:
    return quantity.get("unit") if isinstance(quantity, dict) else None
