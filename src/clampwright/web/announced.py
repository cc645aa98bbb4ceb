"""What devices said is still only on them: known as long as this server runs."""

from __future__ import annotations

import threading
from collections.abc import Mapping


class Announced:
    """How many entries of each job wait on which device, as each last said."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._left: dict[tuple[str, str], int] = {}

    def note(self, job: str, device: str, left: int) -> None:
        """Remember what a device said.

        Parameters
        ----------
        job, device : str
        left : int
            Entries of the job that stay on the device after the one it sent with this.
        """
        with self._turn:
            if left > 0:
                self._left[job, device] = left
            else:
                self._left.pop((job, device), None)

    def of(self, job: str) -> Mapping[str, int]:
        """Return the devices that still have entries of a job, and how many."""
        with self._turn:
            return {device: left for (name, device), left in self._left.items() if name == job}
