"""A pseudo-terminal as a device on a serial port: written to at one end, opened at the other."""

from __future__ import annotations

import os
import tty
from pathlib import Path


class Cable:
    """A device on a port whose name stays, however often it is plugged in.

    Parameters
    ----------
    folder : pathlib.Path
        Where the name of the port lies.
    """

    def __init__(self, folder: Path) -> None:
        self.port = str(folder / "wrench")
        self._device = self._kept = -1
        self.plug()

    def plug(self) -> None:
        """Plug it in: the port is there, at its old name."""
        self._device, self._kept = os.openpty()
        tty.setraw(self._kept)
        Path(self.port).unlink(missing_ok=True)
        Path(self.port).symlink_to(os.ttyname(self._kept))

    def pull(self) -> None:
        """Pull the plug: what has the port open loses it, and its name is gone."""
        Path(self.port).unlink(missing_ok=True)
        for end in (self._device, self._kept):
            if end >= 0:
                os.close(end)
        self._device = self._kept = -1

    def send(self, data: bytes) -> None:
        """Send bytes as the device does, all of them."""
        while data:
            data = data[os.write(self._device, data) :]
