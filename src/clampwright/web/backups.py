"""Backups that the server makes by itself, beside everything else it does."""

from __future__ import annotations

import asyncio
import contextlib
import logging
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import datetime
from pathlib import Path

from clampwright.bench.backup import Schedule
from clampwright.errors import ClampwrightError
from clampwright.locale import say

LOOK_EVERY = 60.0
"""How often it is looked whether one is due, s."""

log = logging.getLogger(__name__)


@asynccontextmanager
async def saving(
    folder: Path,
    schedule: Schedule | None,
    clock: Callable[[], datetime],
    look_every: float = LOOK_EVERY,
) -> AsyncIterator[None]:
    """Make backups as scheduled while the block runs.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's folder.
    schedule : Schedule or None
    clock : callable
    look_every : float
        Seconds between looks.

    Yields
    ------
    None
    """
    if schedule is None:
        yield
        return
    task = asyncio.create_task(_keep_saving(folder, schedule, clock, look_every))
    try:
        yield
    finally:
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task


async def _keep_saving(
    folder: Path, schedule: Schedule, clock: Callable[[], datetime], look_every: float
) -> None:
    while True:
        try:
            made = await asyncio.to_thread(schedule.run, folder, clock())
            if made is not None:
                log.info("backup made: %s", made)
        except ClampwrightError as error:
            # The next look tries again: a full or unplugged disk is told, and the work goes on.
            log.warning("no backup was made: %s", say(error.message))
        await asyncio.sleep(look_every)
