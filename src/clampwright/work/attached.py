"""Which files may be attached to a procedure: told by their content, never by their name."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from clampwright.errors import BadFile
from clampwright.intake import most
from clampwright.words import words

LARGEST = most("attached file")
"""Bytes of one file: a photograph, or a page of a manual."""
MOST = 12
"""Files attached to one version."""


@dataclass(frozen=True, slots=True)
class FileType:
    """One sort of file.

    Parameters
    ----------
    type : str
        Media type.
    ending : str
        Usual ending of its name.
    first_bytes : str
        Hexadecimal; a point stands for any digit.
    source : str
        Where that is laid down.
    """

    type: str
    ending: str
    first_bytes: str
    source: str


@lru_cache(maxsize=1)
def file_types() -> tuple[FileType, ...]:
    """Return every sort of file that may be attached."""
    text = files(__package__).joinpath("attached_types.csv").read_text(encoding="utf-8")
    return tuple(FileType(**row) for row in csv.DictReader(text.splitlines()))


def type_of(data: bytes, name: str) -> FileType:
    """Return what a file is.

    Parameters
    ----------
    data : bytes
    name : str
        For messages.

    Returns
    -------
    FileType

    Raises
    ------
    BadFile
        When it is empty, too large, or of no sort that may be attached.

    Examples
    --------
    >>> type_of(b"%PDF-1.7 ...", "page 12").type
    'application/pdf'
    """
    if len(data) > LARGEST:
        raise BadFile(
            words(
                "{file} has {size} bytes; at most {limit} are taken",
                file=name,
                size=len(data),
                limit=LARGEST,
            ),
            file=name,
        )
    head = data[:32].hex()
    for one in file_types():
        if re.match(one.first_bytes, head):
            return one
    raise BadFile(
        words(
            "{file} is neither a photograph (JPEG, PNG, WebP) nor a PDF, whatever its name says",
            file=name,
        ),
        file=name,
        expected="JPEG, PNG, WebP or PDF",
    )
