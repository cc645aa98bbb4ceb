"""The highest torque of the pull that goes on just now, from samples as they come."""

from __future__ import annotations

import math
from dataclasses import dataclass

STALE = 2.0
"""Seconds after which a live value is not taken any more."""
_OVER = 0.2
"""A pull is over when the torque has fallen to this share of its highest; a ratchet's swing back
falls to nothing, too, so practise in one swing (ours)."""


@dataclass(frozen=True, slots=True)
class Peak:
    """Where a pull stands.

    Parameters
    ----------
    torque, highest : float
        Now, and highest of this pull, N·m.
    over : bool
        Whether the torque has gone again.
    """

    torque: float = 0.0
    highest: float = 0.0
    over: bool = True

    def after(self, torque: float) -> Peak:
        """Return where it stands after one more sample.

        Parameters
        ----------
        torque : float
            N·m; what is not finite is passed over.

        Returns
        -------
        Peak

        Examples
        --------
        >>> peak = Peak()
        >>> for torque in (0.0, 10.0, 24.0, 20.0, 1.0):
        ...     peak = peak.after(torque)
        >>> peak.highest, peak.over
        (24.0, True)
        >>> peak.after(9.0).highest
        9.0
        """
        if not math.isfinite(torque):
            return self
        now = abs(torque)
        if self.over and now > _OVER * self.highest and now > 0.0:
            return Peak(now, now, over=False)
        highest = max(self.highest, now)
        return Peak(now, highest, over=self.over or now <= _OVER * highest)
