"""The columns of an archive's Parquet files, and reading and writing them.

Every file says in its footer which version of the form it has. Columns that are not known are
passed over, so that an older program reads what a newer one has added to.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import IO, Any, NamedTuple

from clampwright.archive.layout import VERSION, write_file
from clampwright.errors import BadFile
from clampwright.trace.given import Given, given_from_json
from clampwright.trace.parquet import opened, said
from clampwright.words import words

FORM = b"clampwright.archive"
TOLD = b"clampwright.pulls"
KEY = b"clampwright.content"
ENTRY_COLUMNS = ("place", "id", "kind", "job", "recorded", "device_time", "tool", "leaf", "entry")
GROUP_ROWS = 1_024
"""Entries of a row group: some 2 MB are unpacked at a time."""
SAMPLE_GROUP_ROWS = 250_000


class EntryRow(NamedTuple):
    """One entry of a log.

    Parameters
    ----------
    place : int
        Place in its log, from 0.
    id, kind : str
    job : str or None
    recorded, device_time : str
    tool : str or None
        What it was done with, or what it tells of.
    leaf : bytes
        Leaf hash of `entry`.
    entry : bytes
        The exact bytes that were hashed.
    """

    place: int
    id: str
    kind: str
    job: str | None
    recorded: str
    device_time: str
    tool: str | None
    leaf: bytes
    entry: bytes

    @property
    def content(self) -> dict[str, Any]:
        """The entry, as it was written."""
        found: dict[str, Any] = json.loads(self.entry)
        return found


@dataclass(frozen=True, slots=True)
class TracedPull:
    """What is known of one pull of a file of traces.

    Parameters
    ----------
    id : str
        Id of its entry; of a trace without a log its name.
    place : int or None
        Place of that entry in its log.
    given : Given
    verdict, pattern : str
        What the analysis said when it was pulled; empty where nobody judged it then.
    fault : bool
    where : str
        Job, joint, stage and fastener; or empty.
    """

    id: str
    place: int | None
    given: Given
    verdict: str = ""
    pattern: str = ""
    fault: bool = False
    where: str = ""


def write_entries(path: Path, rows: Sequence[EntryRow], key: str) -> None:
    """Write the entries of a month.

    Parameters
    ----------
    path : pathlib.Path
    rows : sequence of EntryRow
        In the order of the log.
    key : str
        Stands for the content.

    Raises
    ------
    StoreFull, StoreFailed
        It cannot be written.
    """
    import pyarrow as pa

    text, data = pa.string(), pa.binary()
    kinds = (pa.int64(), text, text, text, text, text, text, data, data)
    schema = pa.schema(
        list(zip(ENTRY_COLUMNS, kinds, strict=True)),
        metadata={FORM: str(VERSION).encode(), KEY: key.encode()},
    )
    table = pa.table(dict(zip(ENTRY_COLUMNS, zip(*rows, strict=True), strict=True)), schema=schema)
    _write(path, table, GROUP_ROWS, plain=["id", "leaf", "entry", "recorded", "device_time"])


def write_traces(path: Path, columns: Mapping[str, Any], pulls: Sequence[TracedPull]) -> None:
    """Write a file of traces.

    Parameters
    ----------
    path : pathlib.Path
    columns : mapping of str to array
        ``trace``, ``time_s``, ``torque_Nm``, ``angle_deg``; the rows of a pull stand together.
    pulls : sequence of TracedPull
        In the same order.

    Raises
    ------
    StoreFull, StoreFailed
        It cannot be written.
    """
    import pyarrow as pa

    table = pa.table(dict(columns)).replace_schema_metadata(
        {FORM: str(VERSION).encode(), TOLD: _told(pulls)}
    )
    _write(path, table, SAMPLE_GROUP_ROWS, plain=[])


def _write(path: Path, table: Any, rows: int, *, plain: list[str]) -> None:
    from pyarrow import parquet

    kept = [name for name in table.column_names if name not in plain]

    def fill(file: IO[bytes]) -> None:
        parquet.write_table(
            table, file, row_group_size=rows, compression="zstd", use_dictionary=kept
        )

    write_file(path, fill)


def _told(pulls: Sequence[TracedPull]) -> bytes:
    givens: dict[Given, int] = {}
    rows = [
        [
            one.id,
            one.place,
            givens.setdefault(one.given, len(givens)),
            one.verdict,
            one.pattern,
            one.fault,
            one.where,
        ]
        for one in pulls
    ]
    told = {"givens": [asdict(one) for one in givens], "pulls": rows}
    return json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode()


def pulls_told(path: Path, name: str) -> list[TracedPull]:
    """Return what is known of the pulls of a file of traces; its samples are not read.

    Parameters
    ----------
    path : pathlib.Path
    name : str
        For messages.

    Returns
    -------
    list of TracedPull

    Raises
    ------
    BadFile
        It is damaged, or of another form.
    """
    metadata = footer(path, name)
    try:
        told = json.loads(metadata[TOLD])
        givens = [given_from_json(one, name) for one in told["givens"]]
        return [
            TracedPull(str(id_), place, givens[number], verdict, pattern, bool(fault), where)
            for id_, place, number, verdict, pattern, fault, where in told["pulls"]
        ]
    except (KeyError, IndexError, TypeError, ValueError) as error:
        raise _not_ours(name) from error


def footer(path: Path, name: str) -> dict[bytes, bytes]:
    """Return what a file of an archive says of itself.

    Raises
    ------
    BadFile
        It is damaged, no file of an archive, or of a newer form.
    """
    with _file(path, name) as file:
        found: dict[bytes, bytes] = opened(file, name).schema_arrow.metadata or {}
    version = found.get(FORM, b"")
    if not version.isdigit():
        raise _not_ours(name)
    if int(version) > VERSION:
        raise BadFile(
            words(
                "{file}: a newer program wrote this part (form {version}, known is {known})",
                file=name,
                version=int(version),
                known=VERSION,
            ),
            file=name,
            expected="a part of a known form",
        )
    return found


def _not_ours(name: str) -> BadFile:
    return BadFile(
        words("{file}: this is no part of an archive", file=name),
        file=name,
        expected="a part that clampwright archive put has written",
    )


def _file(path: Path, name: str) -> IO[bytes]:
    try:
        return path.open("rb")
    except OSError as error:
        raise BadFile(
            words("{file} cannot be read: {problem}", file=name, problem=str(error.strerror)),
            file=name,
        ) from error


def read_entries(
    path: Path, name: str, *, kinds: Sequence[str] = (), columns: Sequence[str] = ENTRY_COLUMNS
) -> Iterator[EntryRow]:
    """Go through the entries of a month in the order of the log, a row group at a time.

    Parameters
    ----------
    path : pathlib.Path
    name : str
        For messages.
    kinds : sequence of str
        Those of these kinds only; all if empty.
    columns : sequence of str
        Those that are wanted; the others are empty.

    Yields
    ------
    EntryRow

    Raises
    ------
    BadFile
        It is damaged, of a newer form, or lacks a column.
    """
    import pyarrow as pa
    from pyarrow import compute

    footer(path, name)
    wanted = [one for one in ENTRY_COLUMNS if one in columns or (one == "kind" and kinds)]
    among = pa.array(list(kinds), pa.string())
    with _file(path, name) as file:
        content = opened(file, name)
        lacking = [one for one in wanted if one not in content.schema_arrow.names]
        if lacking:
            raise BadFile(
                words("{file}: the column {column} is missing", file=name, column=lacking[0]),
                file=name,
                expected=lacking[0],
            )
        with said(name):
            for group in range(content.num_row_groups):
                if kinds:
                    # Most groups hold few of the kinds; what holds none is not unpacked.
                    held = content.read_row_group(group, columns=["kind"], use_threads=False)
                    chosen = compute.is_in(held.column("kind"), value_set=among)
                    if not compute.any(chosen).as_py():
                        continue
                table = content.read_row_group(group, columns=wanted, use_threads=False)
                yield from _rows(table.filter(chosen) if kinds else table, wanted)


def _rows(table: Any, wanted: Sequence[str]) -> Iterator[EntryRow]:
    none = [None] * table.num_rows
    held = [table.column(one).to_pylist() if one in wanted else none for one in ENTRY_COLUMNS]
    for row in zip(*held, strict=True):
        yield EntryRow(*row)
