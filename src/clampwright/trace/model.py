"""What a trace is: torque and angle over time, and what was done to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright import __version__
from clampwright.errors import ClampwrightError
from clampwright.words import words

Floats = NDArray[np.float64]
AngleMode = Literal["handle", "accumulated", "output"]
ANGLE_MODES: tuple[AngleMode, ...] = get_args(AngleMode)


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that was done to the data, kept as data so that it can be traced later.

    Parameters
    ----------
    name : str
        What was done, such as ``read`` or ``rows dropped``.
    arguments : mapping
        With which arguments.
    version : str
        The program's version.
    """

    name: str
    arguments: Mapping[str, str | int | float] = field(default_factory=lambda: MappingProxyType({}))
    version: str = __version__


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """Torque and angle of one pull over time, checked when it is made.

    Parameters
    ----------
    time : array_like, shape (n,)
        s, strictly rising.
    torque : array_like, shape (n,)
        N·m; positive in the direction of tightening.
    angle : array_like, shape (n,)
        Degrees, as `angle_mode` says; positive in the direction of tightening.
    angle_mode : {"handle", "accumulated", "output"}
        Rotation of the handle (goes back in a back swing), a counter that adds up forward rotation
        under load, or rotation of the output square.
    steps : tuple of Step
        What was done to the data before.

    Attributes
    ----------
    sample_rate : float
        Samples per second, Hz, from the median time step.

    Raises
    ------
    ClampwrightError
        If the arrays are not of one length, hold something that is not a number, or the time does
        not rise.

    Examples
    --------
    >>> trace = Trace([0.0, 0.1, 0.2], [0.0, 5.0, 9.0], [0.0, 4.0, 8.0], "handle")
    >>> len(trace), trace.angle_mode
    (3, 'handle')
    """

    time: Floats
    torque: Floats
    angle: Floats
    angle_mode: AngleMode = "handle"
    steps: tuple[Step, ...] = ()
    sample_rate: float = field(init=False)

    def __init__(
        self,
        time: ArrayLike,
        torque: ArrayLike,
        angle: ArrayLike,
        angle_mode: AngleMode = "handle",
        steps: tuple[Step, ...] = (),
    ) -> None:
        columns = {"time": time, "torque": torque, "angle": angle}
        for name, values in columns.items():
            object.__setattr__(self, name, _column(values, name))
        object.__setattr__(self, "angle_mode", angle_mode)
        object.__setattr__(self, "steps", tuple(steps))
        self._check()
        object.__setattr__(self, "sample_rate", 1.0 / _usual(np.diff(self.time)))

    def _check(self) -> None:
        sizes = {len(self.time), len(self.torque), len(self.angle)}
        if len(sizes) > 1:
            raise ClampwrightError(
                words(
                    "a trace needs as many times as torques and angles; got {times}, {torques} "
                    "and {angles}",
                    times=len(self.time),
                    torques=len(self.torque),
                    angles=len(self.angle),
                )
            )
        if len(self.time) < 2:
            raise ClampwrightError(
                words("a trace needs at least 2 samples; got {count}", count=len(self.time))
            )
        steps = np.diff(self.time)
        if not (steps > 0).all():
            first = int(np.argmin(steps > 0)) + 1
            raise ClampwrightError(
                words(
                    "the time of a trace must rise; sample {sample} stands at {time:g} s after "
                    "{before:g} s",
                    sample=first + 1,
                    time=float(self.time[first]),
                    before=float(self.time[first - 1]),
                )
            )
        if self.angle_mode not in ANGLE_MODES:
            raise ClampwrightError(
                words(
                    "the angle mode {mode!r} is not known; it is one of {known}",
                    mode=str(self.angle_mode),
                    known=", ".join(ANGLE_MODES),
                )
            )

    def __len__(self) -> int:
        return len(self.time)

    def after(self, step: Step, **columns: ArrayLike) -> Trace:
        """Return a new trace with changed columns and one more step in its history.

        Parameters
        ----------
        step : Step
            What was done.
        **columns : array_like
            New values of ``time``, ``torque`` or ``angle``.

        Returns
        -------
        Trace
            This one is never changed.

        Examples
        --------
        >>> trace = Trace([0.0, 0.1], [0.0, 5.0], [0.0, 4.0])
        >>> left_hand = trace.after(Step("angle turned round"), angle=-trace.angle)
        >>> left_hand.angle.tolist(), left_hand.steps[-1].name
        ([-0.0, -4.0], 'angle turned round')
        """
        return replace(self, **columns, steps=(*self.steps, step))  # type: ignore[arg-type]  # replace() knows the fields' types, not what __init__ takes


def _usual(steps: Floats) -> float:
    """Median of the time steps; of a long trace of some hundred of them."""
    few = steps[:: max(1, len(steps) // 256)]
    half = len(few) // 2
    parted = np.partition(few, (max(half - 1, 0), half))
    return float(parted[half] if len(few) % 2 else (parted[half - 1] + parted[half]) / 2.0)


def _column(values: ArrayLike, name: str) -> Floats:
    column = np.array(values, dtype=np.float64)
    if column.ndim != 1:
        raise ClampwrightError(
            words(
                "the {name} of a trace must be one row of numbers; it has {count} dimensions",
                name=name,
                count=column.ndim,
            )
        )
    if not np.isfinite(column).all():
        first = int(np.argmin(np.isfinite(column)))
        raise ClampwrightError(
            words("the {name} of sample {sample} is not a number", name=name, sample=first + 1)
        )
    column.setflags(write=False)
    return column
