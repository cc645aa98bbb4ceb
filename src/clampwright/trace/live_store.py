"""The samples of a pull that is going on, in a store of fixed size."""

from __future__ import annotations

import numpy as np

from clampwright.trace.model import AngleMode, Floats, Step, Trace

MOST = 600_000
"""Samples of one pull that are kept: ten minutes at 1000 Hz."""
_REST_S, _REST_DEG = 2.0, 2.0  # so much of lying still before a pull is kept


class LiveStore:
    """Keeps samples; a wrench that lies still before the pull does not fill it.

    Parameters
    ----------
    most : int
        Samples that are kept; the store is made once, at this size. Half full without a pull it
        keeps only the last seconds.

    Examples
    --------
    >>> store = LiveStore(most=10)
    >>> store.keep(0.0, 1.0, 0.0, loaded=False)
    True
    >>> len(store)
    1
    """

    def __init__(self, most: int = MOST) -> None:
        self._rows: Floats = np.empty((most, 3))
        self._count = 0
        self._lost = 0
        self._left_out = 0

    def __len__(self) -> int:
        return self._count

    @property
    def last_time(self) -> float | None:
        """Time of the last sample, s; None while there is none."""
        return float(self._rows[self._count - 1, 0]) if self._count else None

    def keep(self, time: float, torque: float, angle: float, *, loaded: bool) -> bool:
        """Keep a sample.

        Parameters
        ----------
        time, torque, angle : float
            s, N·m, degrees.
        loaded : bool
            Whether there ever was a torque to speak of: what is kept from then on stays.

        Returns
        -------
        bool
            False where the store is full; the sample is then counted as left out.
        """
        if self._count == len(self._rows):
            self._left_out += 1
            return False
        self._rows[self._count] = time, torque, angle
        self._count += 1
        if not loaded and self._count >= len(self._rows) // 2:
            self._forget_rest(time)
        return True

    def passed_over(self) -> None:
        """Count a sample whose time had been there already."""
        self._lost += 1

    def _forget_rest(self, time: float) -> None:
        rows = self._rows[: self._count]
        first = int(np.searchsorted(rows[:, 0], time - _REST_S))
        still = float(np.ptp(rows[:, 2])) < _REST_DEG
        if still and first > self._count // 2:
            kept = self._count - first
            self._rows[:kept] = rows[first:].copy()
            self._count = kept

    def trace(self, angle_mode: AngleMode) -> Trace:
        """Return what was kept, as a trace.

        Parameters
        ----------
        angle_mode : {"handle", "accumulated", "output"}

        Returns
        -------
        Trace

        Raises
        ------
        ClampwrightError
            For fewer than two samples.
        """
        steps = []
        if self._lost:
            steps.append(Step("repeated time stamps dropped", {"count": self._lost}))
        if self._left_out:
            steps.append(Step("samples left out at the end", {"count": self._left_out}))
        time, torque, angle = self._rows[: self._count].T
        return Trace(time, torque, angle, angle_mode, tuple(steps))
