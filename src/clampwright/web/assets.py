"""Static files: in memory, under an address that changes with their content.

All files share one hash, as the first part of the path, so that modules can import each other by
their plain names and still never be mixed from two versions.
"""

from __future__ import annotations

import gzip
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable

TYPES = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}
FOREVER = "public, max-age=31536000, immutable"
_HASH_LENGTH = 16


@dataclass(frozen=True, slots=True)
class Asset:
    """One file.

    Parameters
    ----------
    data : bytes
    type : str
    packed : bytes
        The same compressed, for the browsers that take it: all do.
    """

    data: bytes
    type: str
    packed: bytes


class Assets:
    """The static files of this package."""

    def __init__(self) -> None:
        root = files(__package__).joinpath("static")
        self._files = dict(_read(root, ""))
        whole = hashlib.sha256()
        for name, asset in sorted(self._files.items()):
            whole.update(f"{name}\0{len(asset.data)}\0".encode())
            whole.update(asset.data)
        self.version = whole.hexdigest()[:_HASH_LENGTH]

    def address(self, name: str) -> str:
        """Return the address of a file.

        Raises
        ------
        KeyError
            When a template names a file that is not there.
        """
        self._files[name]
        return f"/static/{self.version}/{name}"

    def get(self, version: str, name: str) -> Asset | None:
        """Return a file of this version, or None."""
        return self._files.get(name) if version == self.version else None

    def text(self, name: str) -> str:
        """Return a file as text."""
        return self._files[name].data.decode()

    @property
    def kept_offline(self) -> tuple[str, ...]:
        """Names of the files a device keeps for work without network: all but the worker."""
        return tuple(sorted(name for name in self._files if name != "service-worker.js"))

    @property
    def modules(self) -> tuple[str, ...]:
        """Names of all modules, for the browser to fetch at once."""
        return tuple(sorted(name for name in self._files if name.endswith(".js")))


def _read(folder: Traversable, prefix: str) -> Iterator[tuple[str, Asset]]:
    for one in folder.iterdir():
        ending = one.name[one.name.rfind(".") :]
        if one.is_dir():
            yield from _read(one, f"{prefix}{one.name}/")
        elif ending in TYPES:
            data = one.read_bytes()
            yield f"{prefix}{one.name}", Asset(data, TYPES[ending], gzip.compress(data, mtime=0))
