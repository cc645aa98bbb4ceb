"""A pull while it is being made: the same analysis sample by sample, in constant memory.

Each sample costs a fixed amount of work and the answer says where the pull stands. What is said on
the way is a forecast from what is past; the verdict at the end is that of `verdict.judge` on the
whole trace, which is kept in a store of fixed size until then.
"""

from __future__ import annotations

from dataclasses import replace

from clampwright.trace.given import Given
from clampwright.trace.live_follow import EVENTS, SAYINGS, Following, Progress
from clampwright.trace.live_store import MOST, LiveStore
from clampwright.trace.model import AngleMode, Trace
from clampwright.trace.verdict import TraceVerdict, judge

__all__ = ["EVENTS", "MOST", "SAYINGS", "LivePull", "Progress"]


class LivePull:
    """One pull, fed sample by sample.

    Parameters
    ----------
    given : Given
        What is known beforehand.
    angle_mode : {"handle", "accumulated", "output"}
        What the angle is, where `given` does not say.
    sample_rate : float
        Hz, about; for smoothing.
    most : int
        Samples that are kept; the store is made once, at this size.

    Examples
    --------
    >>> pull = LivePull(Given(target_torque_Nm=20.0, snug_torque_Nm=5.0), "output", 100.0)
    >>> for i in range(200):
    ...     now = pull.add(i / 100, 0.1 * i, 0.08 * i)
    ...     if now.event == "snug":
    ...         print(f"counting at {now.torque:.0f} N·m")
    counting at 5 N·m
    >>> now.say, round(now.share, 1), pull.finish().verdict
    ('slow_down', 1.0, 'within')
    """

    def __init__(
        self,
        given: Given,
        angle_mode: AngleMode = "handle",
        sample_rate: float = 100.0,
        most: int = MOST,
    ) -> None:
        self.given = given
        self._following = Following(given, angle_mode, sample_rate)
        self._store = LiveStore(most)

    @property
    def mode(self) -> AngleMode:
        """What the angle is."""
        return self._following.mode

    @property
    def last(self) -> Progress | None:
        """Where the pull stood after the last sample."""
        return self._following.last

    @property
    def after_snug(self) -> float | None:
        """Rotation since the snug torque, degrees; None before."""
        return self._following.after_snug

    @property
    def yielded(self) -> bool:
        """Whether the curve has flattened for good."""
        return self._following.yielded

    @property
    def slipped(self) -> bool:
        """Whether the socket has slipped off."""
        return self._following.slipped

    def add(self, time: float, torque: float, angle: float) -> Progress:
        """Take one sample.

        Parameters
        ----------
        time : float
            s; a sample that is not later than the one before is passed over.
        torque : float
            N·m.
        angle : float
            Degrees.

        Returns
        -------
        Progress

        Raises
        ------
        ClampwrightError
            For a value that is not a number.
        """
        before = self._following.last
        now = self._following.add(time, torque, angle)
        if before is not None and time <= before.time:
            self._store.passed_over()
            return replace(now, event=None)
        self._store.keep(time, torque, angle, loaded=self._following.loaded)
        return now

    def trace(self) -> Trace:
        """Return what was kept, as a trace.

        Returns
        -------
        Trace

        Raises
        ------
        ClampwrightError
            For fewer than two samples.
        """
        return self._store.trace(self.mode)

    def finish(self) -> TraceVerdict:
        """Judge the pull as a whole.

        Returns
        -------
        TraceVerdict
            What `clampwright.trace.verdict.judge` says of the trace that was kept.

        Raises
        ------
        ClampwrightError
            For fewer than two samples.
        """
        return judge(self.trace(), self.given)
