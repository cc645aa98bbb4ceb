"""A log as open files: one entry a line, in the very bytes that were hashed.

``entries.jsonl`` holds the entries from the first, each on one line (canonical JSON holds no line
end); ``heads.jsonl`` the signed heads, each an object with ``made`` and ``note``. Nothing else is
needed to make the same store again, to the bit.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import BinaryIO

from clampwright.errors import BadFile
from clampwright.intake import json_of, most
from clampwright.store.copying import LogSource, SignedHead
from clampwright.words import words

ENTRIES = "entries.jsonl"
HEADS = "heads.jsonl"


def entry_lines(source: LogSource) -> Iterator[bytes]:
    """Write the entries of a log as lines.

    Parameters
    ----------
    source : LogSource

    Yields
    ------
    bytes
    """
    for data in source.entries:
        yield data + b"\n"


def head_lines(source: LogSource) -> Iterator[bytes]:
    """Write the signed heads of a log as lines.

    Parameters
    ----------
    source : LogSource

    Yields
    ------
    bytes
    """
    for signed in source.heads:
        content = {"made": signed.made, "note": signed.note}
        yield json.dumps(content, ensure_ascii=False, sort_keys=True).encode() + b"\n"


def read_lines(entries: BinaryIO, heads: BinaryIO, name: str) -> LogSource:
    """Read a log back from its two files; its content is checked when it is written to a store.

    Parameters
    ----------
    entries, heads : binary file
    name : str
        For messages.

    Returns
    -------
    LogSource

    Raises
    ------
    BadFile
        With the line that cannot be read.
    """
    signed = tuple(
        _head(line, number, name) for number, line in enumerate(_lines(heads, HEADS, name), 1)
    )
    return LogSource(name, _lines(entries, ENTRIES, name), signed)


def _lines(file: BinaryIO, part: str, name: str) -> Iterator[bytes]:
    number = 0
    while line := file.readline(most("log lines", "width")):
        number += 1
        if not line.endswith(b"\n"):
            raise BadFile(
                words(
                    "{file}: line {line} of {part} is cut off or too long",
                    file=name,
                    line=number,
                    part=part,
                ),
                file=name,
                line=number,
            )
        yield line[:-1]


def _head(line: bytes, number: int, name: str) -> SignedHead:
    try:
        content = json_of(line, "log lines", name)
    except BadFile:
        content = None
    if not isinstance(content, dict) or content.keys() != {"made", "note"}:
        raise BadFile(
            words(
                "{file}: line {line} of {part} is not a signed head",
                file=name,
                line=number,
                part=HEADS,
            ),
            file=name,
            line=number,
        )
    return SignedHead(note=str(content["note"]), made=str(content["made"]))
