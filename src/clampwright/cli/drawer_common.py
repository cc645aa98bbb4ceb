"""What the drawer's commands share: opening the workshop, naming a tool, days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from clampwright.cli.days import day

if TYPE_CHECKING:
    from clampwright.bench.drawers import DrawerNow
    from clampwright.store.log import Store


def opened(workshop: Path) -> DrawerNow:
    """Return the drawer of a workshop folder as it is now."""
    from clampwright.bench.drawers import drawer_of
    from clampwright.bench.folder import Workshop

    return drawer_of(Workshop(workshop))


@contextmanager
def log_of(workshop: Path) -> Iterator[Store]:
    """Open the log of a workshop folder for writing; made where there is none yet."""
    from clampwright.bench.folder import Workshop, open_store

    with open_store(Workshop(workshop), create=True) as store:
        yield store


def day_or_today(text: str | None) -> dt.date:
    """Return the day written, or today."""
    from clampwright.bench.days import today

    return day(text) if text else today()
