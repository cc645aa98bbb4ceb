"""Compile a function once and keep the result where the next run finds it."""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar, cast

import numba

F = TypeVar("F", bound=Callable[..., Any])


def compiled_loosely(function: F) -> F:
    """Compile a function that takes no NaN and whose result no order of steps changes.

    Lowest and highest values, counts: they may be found several at a time.

    Parameters
    ----------
    function : callable

    Returns
    -------
    callable
    """
    return _made(function, {"nnan", "nsz", "reassoc"})


def compiled(function: F) -> F:
    """Compile a function when it is first called, with the division rules of arrays.

    Parameters
    ----------
    function : callable

    Returns
    -------
    callable
        Does the same, quicker. What was compiled is kept in `kept_in`; where nothing can be
        written there it is compiled again in each run.
    """
    return _made(function, set())


def _made(function: F, freedoms: set[str]) -> F:
    rules = freedoms or False
    with _keeping_in(kept_in()):
        try:
            made = numba.njit(function, cache=True, error_model="numpy", fastmath=rules)
        except RuntimeError:  # no folder can be written
            made = numba.njit(function, error_model="numpy", fastmath=rules)
    return cast("F", made)


def kept_in() -> Path:
    """Return the folder for what was compiled from exactly these sources.

    Returns
    -------
    pathlib.Path
        Within the user's folder for such things. Its name changes with every source file of this
        room, because one compiled function holds pieces of others.
    """
    told = hashlib.sha256()
    for source in sorted(Path(__file__).parent.glob("*.py")):
        told.update(source.read_bytes())
    home = os.environ.get("XDG_CACHE_HOME")
    try:
        base = Path(home) if home else Path.home() / ".cache"
    except RuntimeError:  # nobody's home is known
        base = Path(tempfile.gettempdir())
    return base / "clampwright" / f"compiled-{told.hexdigest()[:16]}"


@contextmanager
def _keeping_in(folder: Path) -> Iterator[None]:
    """Let the compiler choose this folder, and leave its setting as it was for others."""
    config: Any = numba.config
    before = config.CACHE_DIR
    config.CACHE_DIR = str(folder)
    try:
        yield
    finally:
        config.CACHE_DIR = before
