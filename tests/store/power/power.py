"""Power cuts, played from a tape of what a program asked of its files.

What POSIX promises is taken at its word and no further: the bytes of a file are safe once fsync of
it has returned; a name that was made, changed or removed is safe once fsync of its folder has
returned. Of all that is not yet safe, a cut keeps some, drops some and tears some in the middle:
writes in any mixture, names in their order up to some moment, as journalling file systems do.
"""

from __future__ import annotations

import random
import shutil
import struct
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

SOURCE = Path(__file__).with_name("recorder.c")
MADE, WRITTEN, CUT, SYNCED, RENAMED, REMOVED, FOLDER_SYNCED = range(1, 8)
SECTOR = 512
"""A disk writes a sector wholly or not at all, bytes (common practice, no source)."""

HEAD = struct.Struct("<BQQI")


def compiled(folder: Path) -> Path:
    """Compile the recorder; returns the library to be loaded before others."""
    compiler = shutil.which("cc") or shutil.which("gcc")
    assert compiler, "the power-cut trials need a C compiler, for example: apt-get install gcc"
    library = folder / "recorder.so"
    subprocess.run(
        [compiler, "-O1", "-shared", "-fPIC", "-o", library, SOURCE, "-ldl", "-lpthread"],
        check=True,
    )
    return library


@dataclass(frozen=True, slots=True)
class Call:
    """One call on the tape."""

    kind: int
    inode: int
    at: int
    data: bytes


def calls_on(tape: Path) -> Iterator[Call]:
    """Read a tape."""
    data = tape.read_bytes()
    place = 0
    while place < len(data):
        kind, inode, at, length = HEAD.unpack_from(data, place)
        place += HEAD.size
        yield Call(kind, inode, at, data[place : place + length])
        place += length


@dataclass(slots=True)
class File:
    """A file: the bytes that are safe, and what was asked since."""

    safe: bytearray = field(default_factory=bytearray)
    asked: list[Call] = field(default_factory=list)

    def sync(self) -> None:
        """Everything asked for is safe now."""
        for call in self.asked:
            _do(self.safe, call, call.data)
        self.asked.clear()


def _do(content: bytearray, call: Call, data: bytes) -> None:
    if call.kind == CUT:
        del content[call.at :]
        content.extend(bytes(max(0, call.at - len(content))))
        return
    if call.at > len(content):
        content.extend(bytes(call.at - len(content)))
    content[call.at : call.at + len(data)] = data


class Disk:
    """A folder as the disk sees it, call by call."""

    def __init__(self) -> None:
        self.safe_names: dict[str, File] = {}
        self.names: dict[str, File] = {}
        self.asked_names: list[tuple[str, str, File | None]] = []
        self.by_inode: dict[int, File] = {}

    def take(self, call: Call) -> None:
        """Take in one call."""
        if call.kind in {MADE, RENAMED, REMOVED, FOLDER_SYNCED}:
            self._take_name(call)
        elif (file := self.by_inode.get(call.inode)) is not None:
            if call.kind == SYNCED:
                file.sync()
            else:
                file.asked.append(call)

    def _take_name(self, call: Call) -> None:
        if call.kind == MADE:
            file = self.by_inode[call.inode] = File()
            self._name(call.data.decode(), "", file)
        elif call.kind == RENAMED:
            old, new = call.data.decode().split("\n")
            if old in self.names:
                self._name(new, old, self.names[old])
        elif call.kind == REMOVED:
            self._name("", call.data.decode(), None)
        else:
            for made in self.asked_names:
                _rename(self.safe_names, *made)
            self.asked_names.clear()

    def _name(self, new: str, old: str, file: File | None) -> None:
        _rename(self.names, new, old, file)
        self.asked_names.append((new, old, file))

    def after_a_cut(self, chance: random.Random) -> dict[str, bytes]:
        """Return what is on the disk after a cut: names with their bytes."""
        names = dict(self.safe_names)
        for made in self.asked_names[: chance.randint(0, len(self.asked_names))]:
            _rename(names, *made)
        return {name: _left(file, chance) for name, file in names.items()}


def _rename(names: dict[str, File], new: str, old: str, file: File | None) -> None:
    names.pop(old, None)
    if new and file is not None:
        names[new] = file


def _left(file: File, chance: random.Random) -> bytes:
    """What is left of a file: the safe bytes, and of what was asked since, some."""
    content = bytearray(file.safe)
    luck = chance.choice((0.0, 0.5, 0.9, 1.0))
    for call in file.asked:
        if chance.random() >= luck:
            continue
        data = call.data
        if call.kind == WRITTEN and chance.random() < 0.2:
            data = data[: chance.randrange(len(data) // SECTOR + 1) * SECTOR]
        _do(content, call, data)
    return bytes(content)
