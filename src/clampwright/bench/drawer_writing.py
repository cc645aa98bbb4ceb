"""Writing into the drawer's file: whole or not at all, and only what was read before."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
import threading
from collections.abc import Mapping
from pathlib import Path

from clampwright.bench.folder import Workshop, read_bytes
from clampwright.drawer.belongings import Paper, PaperKind
from clampwright.drawer.files import load_drawer
from clampwright.drawer.new_tool import NewTool, added, with_paper
from clampwright.drawer.tool_text import with_tool
from clampwright.errors import BadFile, Refused
from clampwright.intake import most
from clampwright.words import words

PAPER_FOLDER = "tool-papers"
LARGEST_PAPER = most("attached file")
"""Bytes; a photograph of a phone has a few millions."""

_PAPER = re.compile(rf"{PAPER_FOLDER}/[0-9a-f]{{16}}\.(?:jpg|png|webp|pdf)")
_TURN = threading.Lock()
_KINDS: tuple[tuple[bytes, str], ...] = (
    (b"\xff\xd8\xff", "jpg"),
    (b"\x89PNG\r\n\x1a\n", "png"),
    (b"%PDF-", "pdf"),
)


def add_tool(place: Workshop, new: NewTool, *, today: dt.date | None = None) -> str:
    """Write a tool into the drawer of a workshop; a missing file is begun.

    Parameters
    ----------
    place : Workshop
    new : NewTool
    today : datetime.date, optional

    Returns
    -------
    str
        Id of the tool.

    Raises
    ------
    ClampwrightError
        As `added`, and when the file changed meanwhile or cannot be written; nothing changed then.
    """
    with _TURN:
        before = read_bytes(place.drawer) if place.drawer.exists() else b""
        text, made = added(_text(before, place.drawer), new, str(place.drawer), today=today)
        _replace(place.drawer, before, text.encode())
    return made


def attach_paper(place: Workshop, tool_id: str, data: bytes, kind: PaperKind, name: str) -> Path:
    """Keep a photograph or certificate of a tool beside the drawer.

    Parameters
    ----------
    place : Workshop
    tool_id : str
    data : bytes
        The file's content.
    kind : str
        ``photograph`` or ``certificate``.
    name : str
        The file's name, for messages.

    Returns
    -------
    pathlib.Path
        Where it lies now.

    Raises
    ------
    BadFile
        When it is no picture and no PDF by its content, whatever its name says.
    Refused
        When the tool has it already, there is no such tool, or it cannot be written.
    """
    ending = ending_of(data, kind, name)
    digest = hashlib.sha256(data).hexdigest()
    file = f"{PAPER_FOLDER}/{digest[:16]}.{ending}"
    target = place.folder / file
    with _TURN:
        before = read_bytes(place.drawer)
        paper = Paper(file, kind, digest)
        text = with_paper(_text(before, place.drawer), tool_id, paper, str(place.drawer))
        if not target.exists():
            _write(target, data)
        _replace(place.drawer, before, text.encode())
    return target


def drawer_with_table(
    place: Workshop, table: str, files: Mapping[str, bytes]
) -> tuple[bytes, bytes]:
    """Write the tables of a tool from another workshop into the drawer, its papers beside it.

    Parameters
    ----------
    place : Workshop
    table : str
        As `clampwright.drawer.tool_text.tool_text` gives it.
    files : mapping of str to bytes
        By their SHA-256; those its papers name are written.

    Returns
    -------
    bytes, bytes
        The drawer's file before and after.

    Raises
    ------
    BadFile
        When the tables cannot be taken, or a paper is no picture and no PDF, or not there.
    Refused
        When the file changed meanwhile or cannot be written.
    """
    (tool,) = load_drawer(table.encode(), "handover").tools
    papers = {}
    for paper in tool.belongings.papers:
        if paper.sha256 not in files or not _PAPER.fullmatch(paper.file):
            raise BadFile(
                words("the paper {file} of the tool is not in it", file=paper.file), file=paper.file
            )
        ending_of(files[paper.sha256], paper.kind, paper.file)
        papers[place.folder / paper.file] = files[paper.sha256]
    with _TURN:
        before = read_bytes(place.drawer)
        text = with_tool(_text(before, place.drawer), table, str(place.drawer))
        for path, data in papers.items():
            if not path.exists():
                _write(path, data)
        _replace(place.drawer, before, text.encode())
    return before, text.encode()


def undo_drawer(place: Workshop, before: bytes, after: bytes) -> None:
    """Put a drawer back as it was, unless somebody changed it since.

    Parameters
    ----------
    place : Workshop
    before, after : bytes
        As `drawer_with_table` gave them.
    """
    with _TURN:
        _replace(place.drawer, after, before)


def ending_of(data: bytes, kind: PaperKind, name: str) -> str:
    """Return the ending a paper's content deserves.

    Parameters
    ----------
    data : bytes
    kind : str
    name : str

    Returns
    -------
    str
        ``jpg``, ``png``, ``webp`` or ``pdf``.

    Raises
    ------
    BadFile
        For anything else, a PDF as a photograph, or a file that is empty or too large.
    """
    found = next((ending for start, ending in _KINDS if data.startswith(start)), "")
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        found = "webp"
    if not found or (kind == "photograph" and found == "pdf"):
        wanted = "JPEG, PNG or WebP" if kind == "photograph" else "PDF, JPEG, PNG or WebP"
        raise BadFile(
            words(
                "{file}: by its content this is no {wanted} file; nothing was kept",
                file=name,
                wanted=wanted,
            ),
            file=name,
            expected=wanted,
        )
    if len(data) > LARGEST_PAPER:
        raise BadFile(
            words("{file} is larger than {limit} bytes", file=name, limit=LARGEST_PAPER), file=name
        )
    return found


def _text(data: bytes, path: Path) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadFile(
            words("{file}: this is not UTF-8 text", file=str(path)), file=str(path)
        ) from error


def _replace(path: Path, before: bytes, after: bytes) -> None:
    """Put a new drawer in the place of the one that was read."""
    now = path.read_bytes() if path.exists() else b""
    if now != before:
        raise Refused(
            words("{file} was changed meanwhile; look at it, and do it again", file=str(path))
        )
    _write(path, after)


def _write(path: Path, data: bytes) -> None:
    """Write beside and rename, so that a full disk leaves what was there."""
    beside = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(exist_ok=True)
        beside.write_bytes(data)
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise Refused(
            words(
                "{file} cannot be written: {problem}",
                file=str(path),
                problem=str(error.strerror),
            )
        ) from error
