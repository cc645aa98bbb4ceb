"""What all handlers of one server share."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from starlette.requests import HTTPConnection

from clampwright.web.announced import Announced
from clampwright.web.live_peaks import LivePeaks

if TYPE_CHECKING:
    from pathlib import Path

    from clampwright.bench.folder import Workshop
    from clampwright.web.assets import Assets
    from clampwright.web.desk import Desk
    from clampwright.web.device_room import DeviceRoom
    from clampwright.web.door import Door
    from clampwright.web.jobfiles import JobFiles
    from clampwright.web.keeper import Keeper
    from clampwright.web.live import LiveRoom
    from clampwright.web.rendering import Pages
    from clampwright.web.simulation import Simulations
    from clampwright.web.watch import Figures


@dataclass(frozen=True, slots=True)
class House:
    """The parts of one server.

    Parameters
    ----------
    place : Workshop
    desk : Desk
        The log.
    files : JobFiles
    assets : Assets
        Static files.
    pages : Pages
        Templates.
    live : LiveRoom
        Sockets.
    simulations : Simulations
        Simulated wrenches.
    door : Door
        How the server is reached.
    figures : Figures
        What is counted while it runs.
    keeper : Keeper
        Who is signed in.
    device : DeviceRoom
        The device on its serial line.
    backups : pathlib.Path or None
        Where scheduled backups go.
    announced : Announced
        What devices said is still only on them.
    peaks : LivePeaks
        Live torques for practice.
    """

    place: Workshop
    desk: Desk
    files: JobFiles
    assets: Assets
    pages: Pages
    live: LiveRoom
    simulations: Simulations
    door: Door
    figures: Figures
    keeper: Keeper
    device: DeviceRoom
    backups: Path | None = None
    announced: Announced = field(default_factory=Announced)
    peaks: LivePeaks = field(default_factory=LivePeaks)


def house(connection: HTTPConnection) -> House:
    """Return what the handlers of this server share."""
    found: House = connection.app.state.house
    return found
