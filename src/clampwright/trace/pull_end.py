"""Where a pull begins and ends in a stream of samples that never stops."""

from __future__ import annotations

from typing import Literal

State = Literal["waiting", "pulling", "ended"]


class PullEnd:
    """Tells from torque alone whether a pull has begun, goes on or is over.

    A ratchet lets go between strokes: only a rest that lasts ends the pull.

    Parameters
    ----------
    begins : float
        From this torque on a pull has begun, N·m.
    rest : float
        Seconds for which the torque must stay below it before the pull is over.

    Examples
    --------
    >>> end = PullEnd(5.0, rest=2.0)
    >>> [end.take(t, torque) for t, torque in ((0, 0), (1, 40), (2, 1), (3, 30), (4, 0), (6, 0))]
    ['waiting', 'pulling', 'pulling', 'pulling', 'pulling', 'ended']
    """

    def __init__(self, begins: float, rest: float = 2.5) -> None:
        self._begins, self._rest = begins, rest
        self._low_since: float | None = None
        self.state: State = "waiting"

    def take(self, time: float, torque: float) -> State:
        """Take one sample.

        Parameters
        ----------
        time : float
            s.
        torque : float
            N·m, either sign.

        Returns
        -------
        {"waiting", "pulling", "ended"}
        """
        if abs(torque) >= self._begins:
            self.state, self._low_since = "pulling", None
        elif self.state == "pulling":
            if self._low_since is None:
                self._low_since = time
            if time - self._low_since >= self._rest:
                self.state = "ended"
        return self.state

    @property
    def resting(self) -> bool:
        """Whether it has begun and the hand has let go."""
        return self.state == "pulling" and self._low_since is not None
