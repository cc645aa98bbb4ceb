"""Slope and yield while the fastener turns: the last degrees on a grid, nothing else is kept."""

from __future__ import annotations

from collections import deque

from clampwright.trace.limits import limit


class LiveCurve:
    """Mean torque over even steps of rotation, for as many steps as the window of the slope has.

    Parameters
    ----------
    rate : float or None
        Expected slope, N·m/deg; a curve that never came near it has not yielded.
    """

    def __init__(self, rate: float | None = None) -> None:
        self._least = limit("soft_slope_ratio") * (rate or 0.0)
        self._step = limit("grid_deg")
        self._width = int(limit("slope_window_deg") / self._step) | 1
        self._gap = int(limit("breakaway_deg") / self._step) - 1
        self._means: deque[float] = deque(maxlen=self._width)
        self._place: int | None = None
        self._sum, self._count = 0.0, 0
        self._counting = False
        self._highest = 0.0
        self._top = 0.0
        self._low_steps = 0
        self._lacking = 0.0
        self.slope: float | None = None

    def start(self) -> None:
        """Begin to watch for yield: the snug torque was passed."""
        self._counting = True

    def add(self, angle: float, torque: float) -> None:
        """Take a sample in which the fastener turns, degrees and N·m."""
        place = int(angle / self._step)
        self._top = max(self._top, torque)
        if self._place is None or place > self._place + self._gap:  # a stop lies between
            self._means.clear()
            self._place, self._sum, self._count = place, 0.0, 0
        if place > self._place:
            mean = self._sum / self._count if self._count else torque
            before = self._means[-1] if self._means else mean
            for i in range(1, min(place - self._place, self._width)):  # steps without a sample
                self._full(before + (mean - before) * i / (place - self._place))
            self._full(mean)
            self._place, self._sum, self._count = place, 0.0, 0
        self._sum += torque
        self._count += 1

    def _full(self, mean: float) -> None:
        self._means.append(mean)
        if len(self._means) < self._width:
            return
        half = self._width // 2
        weights = range(-half, half + 1)
        norm = sum(w * w for w in weights) * self._step
        self.slope = sum(w * m for w, m in zip(weights, self._means, strict=True)) / norm
        if not self._counting:
            return
        self._highest = max(self._highest, self.slope)
        if self.slope < limit("yield_slope_ratio") * self._highest:
            self._low_steps += 1
            self._lacking += (self._highest - self.slope) * self._step
        else:
            self._low_steps, self._lacking = 0, 0.0

    def bent(self, noise: float) -> bool:
        """Tell whether the slope has stayed low over the window that confirms a yield.

        Parameters
        ----------
        noise : float
            Of the torque, N·m.

        Returns
        -------
        bool
        """
        confirmed = self._low_steps >= 2 * self._width and self._highest >= self._least
        return confirmed and self._lacking > max(limit("yield_lacking") * self._top, 4.0 * noise)
