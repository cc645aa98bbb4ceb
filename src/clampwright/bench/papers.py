"""Files that belong to a job but are too large for the log: kept by their hash, written once."""

from __future__ import annotations

import errno
import hashlib
import os
import re
import tempfile
from pathlib import Path

from clampwright.errors import BadFile, Refused, StoreFull
from clampwright.words import words

_HASH = re.compile(r"^[0-9a-f]{64}$")


class Papers:
    """A folder of files named by their SHA-256.

    Parameters
    ----------
    folder : pathlib.Path
        Made when the first file is kept.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, data: bytes) -> str:
        """Write a file and return its name, once it is safely on the disk.

        Parameters
        ----------
        data : bytes

        Returns
        -------
        str
            SHA-256, hexadecimal.

        Raises
        ------
        StoreFull
            When the disk has no room; nothing is kept.
        """
        name = hashlib.sha256(data).hexdigest()
        target = self.folder / name
        if target.exists():
            return name
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            self._write(target, data)
        except OSError as error:
            if error.errno in {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}:
                raise StoreFull(
                    words("the disk is full; the file was not kept and nothing was recorded")
                ) from error
            raise Refused(
                words(
                    "{folder} cannot be written: {problem}",
                    folder=str(self.folder),
                    problem=str(error.strerror),
                )
            ) from error
        return name

    def _write(self, target: Path, data: bytes) -> None:
        """Write beside the target and rename, so that a half-written file never has its name."""
        handle, temporary = tempfile.mkstemp(dir=self.folder)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            Path(temporary).replace(target)
        finally:
            Path(temporary).unlink(missing_ok=True)  # still there only where something failed
        _sync_folder(self.folder)

    def read(self, name: str) -> bytes:
        """Return a kept file.

        Parameters
        ----------
        name : str
            SHA-256, hexadecimal.

        Returns
        -------
        bytes

        Raises
        ------
        BadFile
            When it is missing or no longer what was kept.
        """
        if not _HASH.match(name):
            raise BadFile(words("{name!r} is not the name of a kept file", name=name), file=name)
        try:
            data = (self.folder / name).read_bytes()
        except OSError as error:
            raise BadFile(words("the kept file {name} is missing", name=name), file=name) from error
        if hashlib.sha256(data).hexdigest() != name:
            raise BadFile(words("the kept file {name} was changed", name=name), file=name)
        return data


def _sync_folder(folder: Path) -> None:
    """Make the rename itself durable, where the system can (not on Windows)."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
