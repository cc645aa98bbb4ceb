"""The append-only log on disk and what is rebuilt from it.

A workshop is a folder: ``workshop.sqlite`` holds the log, ``workshop.key`` the key that signs its
heads, ``workshop.lock`` says which program may write. `Store` is the only door.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from clampwright.store.log import Store
    from clampwright.store.writing import NewEntry, Receipt

__all__ = ["NewEntry", "Receipt", "Store"]

_HOMES = {
    "NewEntry": "clampwright.store.writing",
    "Receipt": "clampwright.store.writing",
    "Store": "clampwright.store.log",
}


def __getattr__(name: str) -> object:
    # SQLAlchemy takes longer to load than everything else together, so it waits for its use.
    if name in _HOMES:
        from importlib import import_module  # noqa: PLC0415 - as above

        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
