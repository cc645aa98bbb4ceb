"""One calibrated point of a torque tool: deviations, the every-reading rule, the budget.

Structure of ISO 6789-2:2017, from memory; what could not be confirmed is an option of the functions
(repeatability of the mean or of one pull, resolution counted once or twice).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from clampwright.drawer.calibration import deviation_percent
from clampwright.drawer.metrology import _inputs
from clampwright.drawer.metrology._inputs import Floats
from clampwright.errors import ClampwrightError
from clampwright.words import words

SOURCE = "ISO 6789-2:2017, structure from memory"

RECTANGULAR = 2.0 * math.sqrt(3.0)
"""Full width of a rectangular distribution over its standard deviation (JCGM 100, 4.3.7)."""

Distribution = Literal["normal", "rectangular"]


def deviations(set_value: float, readings: ArrayLike) -> Floats:
    """Relative deviation of every reading, ``a_s = 100 (X_a − X_r) / X_r``.

    Parameters
    ----------
    set_value : float
        X_a, what the tool showed or was set to; above 0.
    readings : array_like, shape (n,)
        X_r, what the reference device measured, same unit; above 0.

    Returns
    -------
    ndarray, shape (n,)
        Percent. A negative one means that the joint received *more* than the tool said.

    Raises
    ------
    OutOfRange
        A value is not above 0, or not finite.

    References
    ----------
    ISO 6789-1:2017, clause 7; ISO 6789-2:2017, clause 5.1 (both from memory).

    Examples
    --------
    >>> deviations(20, [20.15, 20.28]).round(6).tolist()
    [-0.744417, -1.380671]
    """
    shown = _inputs.one_above("set_value", set_value)
    measured = _inputs.above("readings", _inputs.readings("readings", readings))
    return deviation_percent(np.full_like(measured, shown), measured)


@dataclass(frozen=True, slots=True)
class PointResult:
    """What the readings at one point say.

    Parameters
    ----------
    set_value : float
        X_a.
    deviations : tuple of float
        a_s of every reading, percent.
    mean_reference : float
        Mean of the readings, unit of `set_value`.
    spread : float
        Standard deviation of the readings, unit of `set_value`; 0 for a single reading.
    limit : float or None
        Permissible deviation it is held against, percent.
    """

    set_value: float
    deviations: tuple[float, ...]
    mean_reference: float
    spread: float
    limit: float | None = None

    @property
    def mean_deviation(self) -> float:
        """Mean of the single deviations, percent; not the deviation of the mean reading."""
        return math.fsum(self.deviations) / len(self.deviations)

    @property
    def failing(self) -> tuple[int, ...]:
        """Numbers (from 1) of the readings outside the limit; empty without a limit."""
        if self.limit is None:
            return ()
        return tuple(n for n, a in enumerate(self.deviations, 1) if abs(a) > self.limit)

    @property
    def passes(self) -> bool | None:
        """Whether *every* reading lies within the limit; None without a limit."""
        return None if self.limit is None else not self.failing


def point_result(
    set_value: float, readings: ArrayLike, *, limit: float | None = None
) -> PointResult:
    """Evaluate the readings at one point; every one of them must lie within the limit.

    Parameters
    ----------
    set_value : float
        X_a, what the tool showed or was set to.
    readings : array_like, shape (n,)
        X_r, what the reference device measured, same unit.
    limit : float, optional
        Permissible relative deviation, percent; it holds on both sides of zero.

    Returns
    -------
    PointResult

    Raises
    ------
    OutOfRange
        A value is not above 0, or not finite.

    References
    ----------
    ISO 6789-1:2017, clause 7 (from memory): each single reading counts, not the mean.

    Examples
    --------
    The mean passes, one reading does not, so the tool fails:

    >>> found = point_result(100, [103.6, 103.9, 104.3, 103.8, 104.0], limit=4)
    >>> round(found.mean_deviation, 5), found.failing, found.passes
    (-3.77166, (3,), False)
    """
    measured = _inputs.readings("readings", readings)
    found = deviations(set_value, measured)
    return PointResult(
        float(set_value),
        tuple(float(a) for a in found),
        float(measured.mean()),
        float(measured.std(ddof=1)) if measured.size > 1 else 0.0,
        None if limit is None else _inputs.one_above("limit", limit, unit="%"),
    )


@dataclass(frozen=True, slots=True)
class Part:
    """One contribution to the uncertainty of a tool.

    Parameters
    ----------
    name : str
        ``device``, ``resolution``, ``reproducibility``, ``drive``, ``interface``, ``grip`` or
        ``repeatability``.
    w : float
        Relative standard uncertainty, percent.
    distribution : {"normal", "rectangular"}
    dof : float
        Degrees of freedom; infinite where the part does not come from scatter.
    """

    name: str
    w: float
    distribution: Distribution
    dof: float = math.inf


@dataclass(frozen=True, slots=True)
class ToolBudget:
    """Uncertainty of a tool at one point.

    Parameters
    ----------
    point : PointResult
    parts : tuple of Part
        The contributions, in the order of the standard.
    device_error : float
        Uncorrected error of the reference device, percent.
    k : float
        Coverage factor.
    """

    point: PointResult
    parts: tuple[Part, ...]
    device_error: float
    k: float

    @property
    def w(self) -> float:
        """Relative standard uncertainty, percent."""
        return math.sqrt(math.fsum(part.w**2 for part in self.parts))

    @property
    def W(self) -> float:  # noqa: N802 - the symbol of the standard
        """Relative expanded uncertainty, percent; without the tool's own deviation."""
        return self.k * self.w

    @property
    def W_prime(self) -> float:  # noqa: N802 - as above
        """Relative uncertainty interval, percent; the tool's mean deviation is in it."""
        return abs(self.point.mean_deviation) + abs(self.device_error) + self.W

    @property
    def dof(self) -> float:
        """Effective degrees of freedom (Welch and Satterthwaite), not truncated."""
        below = math.fsum(part.w**4 / part.dof for part in self.parts)
        return self.w**4 / below if below > 0.0 else math.inf

    @property
    def largest(self) -> tuple[Part, ...]:
        """The contributions, largest first."""
        return tuple(sorted(self.parts, key=lambda part: -part.w))


def tool_budget(
    *,
    set_value: float,
    readings: ArrayLike,
    resolution: float,
    device_W: float,
    device_k: float = 2.0,
    sequence_means: Sequence[float] = (),
    drive_means: Sequence[float] = (),
    interface_means: Sequence[float] = (),
    grip_means: Sequence[float] = (),
    single_pull: bool = False,
    resolution_counts: int = 1,
    device_error: float = 0.0,
    k: float = 2.0,
) -> ToolBudget:
    """Uncertainty budget of a torque tool at one point.

    ``w² = w_md² + w_r² + w_rep² + w_od² + w_int² + w_l² + w_re²``, ``W = k w``,
    ``W' = |mean a_s| + |b_ep| + W``

    Parameters
    ----------
    set_value : float
        X_a, what the tool showed or was set to.
    readings : array_like, shape (n,), n at least 2
        X_r, what the reference device measured, same unit.
    resolution : float
        Step that can be read or set on the tool, same unit; rectangular, full width.
    device_W : float
        Relative expanded uncertainty of the reference device, percent.
    device_k : float
        Coverage factor of `device_W`.
    sequence_means : sequence of float
        Means of sequences between which the tool was taken off (reproducibility).
    drive_means, interface_means : sequence of float
        Means in several positions of the output drive, and of the piece between tool and device.
    grip_means : sequence of float
        Means with the hand outside and inside of the grip mark.
    single_pull : bool
        False: how well the tool's *mean* deviation is known (repeatability over √n). True: what
        the next single tightening will give.
    resolution_counts : {1, 2}
        Twice where zero and reading are both read (not confirmed in the printed standard).
    device_error : float
        Uncorrected error of the reference device b_ep, percent.
    k : float
        Coverage factor of the result.

    Returns
    -------
    ToolBudget

    Raises
    ------
    OutOfRange
        A value is missing, not finite, or not above 0.
    ClampwrightError
        `resolution_counts` is not 1 or 2.

    References
    ----------
    ISO 6789-2:2017, structure from memory; JCGM 100:2008, 4.3.7 and 5.1.2 (from memory).

    Examples
    --------
    An invented click wrench 20 to 100 N·m, set to 20 N·m:

    >>> budget = tool_budget(
    ...     set_value=20, readings=[20.15, 20.28, 20.05, 20.20, 20.12], resolution=0.5,
    ...     device_W=0.5, sequence_means=[20.12, 20.30, 20.21, 20.05],
    ...     drive_means=[20.10, 20.16, 20.22, 20.14],
    ...     interface_means=[20.11, 20.19, 20.15, 20.13], grip_means=[20.24, 20.02])
    >>> print(f"W {budget.W:.4f} %, W' {budget.W_prime:.4f} %, largest: {budget.largest[0].name}")
    W 1.8781 %, W' 2.6703 %, largest: resolution
    """
    measured = _inputs.readings("readings", readings, least=2)
    point = point_result(set_value, measured)
    if resolution_counts not in (1, 2):
        raise ClampwrightError(
            words("resolution_counts is {count}; it must be 1 or 2", count=resolution_counts)
        )
    step = float(_inputs.not_negative("resolution", resolution))
    device = _inputs.one_above("device_W", device_W, unit="%") / _inputs.one_above(
        "device_k", device_k
    )
    over = math.sqrt(measured.size) if not single_pull else 1.0
    mean = point.mean_reference
    widths = {
        "reproducibility": _width("sequence_means", sequence_means),
        "drive": _width("drive_means", drive_means),
        "interface": _width("interface_means", interface_means),
        "grip": _width("grip_means", grip_means),
    }
    percent = 100.0 / mean
    parts = (
        Part("device", device, "normal"),
        Part("resolution", math.sqrt(resolution_counts) * percent * step / RECTANGULAR,
             "rectangular"),
        *(Part(name, percent * width / RECTANGULAR, "rectangular")
          for name, width in widths.items()),
        Part("repeatability", percent * point.spread / over, "normal", measured.size - 1.0),
    )  # fmt: skip
    return ToolBudget(
        point,
        parts,
        float(_inputs.number("device_error", device_error)),
        _inputs.one_above("k", k),
    )


def _width(name: str, means: Sequence[float]) -> float:
    """Largest less smallest mean; 0 where the effect was not looked at."""
    if not len(means):
        return 0.0
    return float(np.ptp(_inputs.readings(name, means, least=2)))
