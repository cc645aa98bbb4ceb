"""Reading a backup that may be cut off, changed, foreign, or made to do harm.

::

    README.txt            what this is and how to read it
    backup.json           which log, how many entries, its root hash, when
    log/entries.jsonl     every entry, one a line
    log/heads.jsonl       the signed heads
    drawer.toml, friction.toml, names.json, jobs/, papers/, practice/, records/    as they
                          are
    checksums.txt         SHA-256 of every file, as `sha256sum --check` reads it
"""

from __future__ import annotations

import hashlib
import re
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from pathlib import Path
from types import TracebackType
from typing import Any, BinaryIO, Self

from clampwright.errors import BadFile
from clampwright.intake import json_of, most
from clampwright.words import Words, words

FORMAT = "clampwright-backup"
VERSION = 1
MANIFEST, CHECKSUMS, README = "backup.json", "checksums.txt", "README.txt"
KEPT_FILES = ("drawer.toml", "friction.toml", "names.json", "outside.toml")
KEPT_FOLDERS = ("jobs", "papers", "practice", "records")
"""What lies beside the log and belongs to the workshop; the key and the lock do not."""

MAX_FILES = most("backup", "lines")
MAX_LISTING = most("backup listing")
MAX_MANIFEST = most("backup manifest")
SLACK = 1 << 30
"""A backup may unpack to this much, however well it packs, bytes."""
MAX_RATIO = 200
"""Log lines pack to a fifth, traces to a tenth: no workshop as a whole packs better than this."""

PIECE = 1 << 20
_NAME = re.compile(
    r"(?:log|jobs|papers|practice|records)(?:/[^/\\:\x00-\x1f]{1,200}){1,8}|[A-Za-z]{1,40}\.[a-z]{2,5}"
)
_LINE = re.compile(r"([0-9a-f]{64})  ([^\r\n]+)")


class Saved:
    """A backup, open for reading. Made with `Saved.open`; a context manager.

    Parameters
    ----------
    file : str
        Name, for messages.
    archive : zipfile.ZipFile
    sums : mapping of str to str
        SHA-256 of each file, hexadecimal.
    manifest : mapping
    """

    def __init__(
        self,
        file: str,
        archive: zipfile.ZipFile,
        sums: Mapping[str, str],
        manifest: Mapping[str, Any],
    ) -> None:
        self.file = file
        self.manifest = manifest
        self._archive = archive
        self._sums = sums

    @classmethod
    def open(cls, path: Path) -> Self:
        """Open a backup and read its list of files.

        Parameters
        ----------
        path : pathlib.Path

        Returns
        -------
        Saved

        Raises
        ------
        BadFile
            When it is no backup of this program, or of a newer form.
        """
        try:
            archive = zipfile.ZipFile(path)
        except (OSError, zipfile.BadZipFile, ValueError) as error:
            problem = getattr(error, "strerror", None)
            said = (
                words("{problem}", problem=problem) if problem else words("it is not a whole zip")
            )
            raise _bad(str(path), said) from error
        with ExitStack() as stack:
            stack.enter_context(archive)
            sums = _listing(archive, str(path))
            manifest = _manifest(archive, sums, str(path))
            stack.pop_all()  # all is well: it stays open
        return cls(str(path), archive, sums, manifest)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._archive.close()

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all files with a sum."""
        return tuple(self._sums)

    @property
    def unpacked_size(self) -> int:
        """Bytes of all files together, unpacked."""
        return sum(info.file_size for info in self._archive.infolist())

    def pieces(self, name: str) -> Iterator[bytes]:
        """Read one file piece by piece; after the last one its sum was right.

        Parameters
        ----------
        name : str

        Yields
        ------
        bytes

        Raises
        ------
        BadFile
            When it is missing, damaged, larger than it says, or not what was saved.
        """
        digest = hashlib.sha256()
        for piece in _unpacked(self._archive, name, self.file):
            digest.update(piece)
            yield piece
        if digest.hexdigest() != self._sums.get(name):
            raise _bad(self.file, words("{name} is not what was saved", name=name))

    def unpack(self, name: str, target: BinaryIO) -> None:
        """Write one file out.

        Parameters
        ----------
        name : str
        target : binary file

        Raises
        ------
        BadFile
            As `pieces`.
        """
        target.writelines(self.pieces(name))


def check_backup(file: Path) -> int:
    """Read a backup from beginning to end and compare every file with its sum.

    Parameters
    ----------
    file : pathlib.Path

    Returns
    -------
    int
        Number of files.

    Raises
    ------
    BadFile
        When it is no backup, or a file in it is not what was saved.
    """
    with Saved.open(file) as saved:
        for name in saved.names:
            for _ in saved.pieces(name):
                pass
        return len(saved.names)


def _listing(archive: zipfile.ZipFile, file: str) -> dict[str, str]:
    """Read the sums, and make sure that they are of exactly the files that are there."""
    infos = archive.infolist()
    names = [info.filename for info in infos]
    if len(names) > MAX_FILES or len(set(names)) != len(names):
        raise _bad(file, words("it holds a file twice, or too many files"))
    total, packed = (
        sum(getattr(one, size) for one in infos) for size in ("file_size", "compress_size")
    )
    if total > SLACK + MAX_RATIO * packed:
        raise _bad(
            file, words("it would unpack to {size} bytes; no workshop is like that", size=total)
        )
    if CHECKSUMS not in names:
        raise _bad(
            file, words("it is not a backup of this program: it has no {name}", name=CHECKSUMS)
        )
    text = b"".join(_unpacked(archive, CHECKSUMS, file, MAX_LISTING)).decode("utf-8", "replace")
    sums: dict[str, str] = {}
    for number, line in enumerate(text.splitlines(), 1):
        found = _LINE.fullmatch(line)
        if found is None or not _is_safe(found[2]) or found[2] in sums:
            raise _bad(
                file,
                words("line {line} of {name} is not as it should be", line=number, name=CHECKSUMS),
            )
        sums[found[2]] = found[1]
    odd = sums.keys() ^ (set(names) - {CHECKSUMS})
    if odd:
        raise _bad(file, words("{name} is missing or was added", name=min(odd)))
    return sums


def _is_safe(name: str) -> bool:
    """Say whether a name stays inside the folder it is unpacked into, on every system."""
    return bool(_NAME.fullmatch(name)) and not any(
        part in {".", ".."} or part.endswith((".", " ")) for part in name.split("/")
    )


def _manifest(archive: zipfile.ZipFile, sums: Mapping[str, str], file: str) -> Mapping[str, Any]:
    data = b"".join(_unpacked(archive, MANIFEST, file, MAX_MANIFEST))
    if hashlib.sha256(data).hexdigest() != sums.get(MANIFEST):
        raise _bad(file, words("{name} is not what was saved", name=MANIFEST))
    try:
        content = json_of(data, "backup manifest", file)
    except BadFile:
        content = None
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise _bad(file, words("it is not a backup of this program"))
    if content.get("version") != VERSION:
        raise _bad(
            file,
            words(
                "it was made by a newer version of this program (form {version}; known is {own})",
                version=str(content.get("version")),
                own=VERSION,
            ),
        )
    wanted = {"origin": str, "workshop": str, "public_key": str, "size": int, "root": str}
    for name, kind in wanted.items():
        if not isinstance(content.get(name), kind):
            raise _bad(file, words("{name} does not say its {part}", name=MANIFEST, part=name))
    return content


def _unpacked(
    archive: zipfile.ZipFile, name: str, file: str, limit: int | None = None
) -> Iterator[bytes]:
    """Unpack a file, never more than it says and never more than its packed size allows."""
    try:
        info = archive.getinfo(name)
        if limit is not None and info.file_size > limit:
            raise _bad(
                file,
                words(
                    "{name} would unpack to {size} bytes; that is no file of a workshop",
                    name=name,
                    size=info.file_size,
                ),
            )
        left = info.file_size
        with archive.open(info) as packed:
            while piece := packed.read(min(PIECE, left + 1)):
                left -= len(piece)
                yield piece
    except (
        KeyError,
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        OSError,
        ValueError,
        NotImplementedError,  # what zipfile raises for a compression method it does not know
        RuntimeError,
    ) as error:
        raise _bad(file, words("{name} is missing or damaged in it", name=name)) from error


def _bad(file: str, problem: Words) -> BadFile:
    return BadFile(
        words("{file}: {problem}", file=file, problem=str(problem)),
        file=file,
        expected="a whole backup made by clampwright store backup",
    )
