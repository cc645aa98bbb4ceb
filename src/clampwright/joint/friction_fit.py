"""Friction and nut factor from a torque-tension test: a line through torque over clamp load.

The slope of torque over clamp load is ``K d``; its intercept is the prevailing torque. A test whose
points bend (galling, yielding, a washer that begins to turn) has no one friction coefficient, and
the result says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.distributions import coverage_factor
from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint import _arms, _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint.evaluation import ISO_THREAD_ARM
from clampwright.joint.line_fit import Bend, Line, bend, fit_line
from clampwright.words import Words, words

FEWEST_POINTS = 5
"""Fewer points cannot show whether the line is straight (ours)."""

SURE = 0.01
"""A bend counts when straight points would show one like it less than once in a hundred (ours)."""

VISIBLE = 0.02
"""And when it departs from the line by more than 2 % of the torque range (ours): a dense smooth
record shows bends that do not matter."""

PREVAILING_SHARE = 0.02
"""An intercept below this share of the largest torque is taken for none (ours)."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its standard uncertainty.

    Parameters
    ----------
    value, u : float
    """

    value: float
    u: float


@dataclass(frozen=True, slots=True)
class TensionTest:
    """Evaluation of a torque-tension test.

    Parameters
    ----------
    nut_factor : Estimate
        K from the slope.
    total : Estimate
        One friction coefficient for thread and bearing face.
    thread, bearing : Estimate or None
        Coefficients of each; None where the thread torque was not measured.
    prevailing_torque : Estimate
        Intercept of the line, N·m; what was given, with no uncertainty, where it was given.
    line : Line
        Torque (N·m) over clamp load (N).
    bend : Bend
        Of torque over clamp load.
    straight : bool
    remarks : tuple of Words
        What speaks against taking the figures as they are.
    """

    nut_factor: Estimate
    total: Estimate
    thread: Estimate | None
    bearing: Estimate | None
    prevailing_torque: Estimate
    line: Line
    bend: Bend
    straight: bool
    remarks: tuple[Words, ...]

    def nut_factor_interval(self, coverage: float = 0.95) -> tuple[float, float]:
        """Return the interval that covers K for the fasteners tested, by the line's scatter.

        Parameters
        ----------
        coverage : float

        Returns
        -------
        tuple of float
        """
        half = coverage_factor(coverage, self.line.dof) * self.nut_factor.u
        return self.nut_factor.value - half, self.nut_factor.value + half


def evaluate_tension_test(
    torque: ArrayLike,
    clamp: ArrayLike,
    *,
    d: float,
    P: float,
    d2: float,
    bearing_diameter: float,
    thread_torque: ArrayLike | None = None,
    prevailing_torque: float | None = None,
) -> TensionTest:
    """Fit nut factor and friction, with their uncertainty, to a torque-tension test.

    ``K = (dT/dF)/d``, ``μ_tot = (dT/dF − P/2π)/(0.577 d2 + D_b/2)``,
    ``μ_th = (dT_th/dF − P/2π)/(0.577 d2)``, ``μ_b = (dT/dF − dT_th/dF)/(D_b/2)``

    Parameters
    ----------
    torque : array_like, shape (n,)
        Tightening torque, N·m; 5 points or more, of the elastic part of the test.
    clamp : array_like, shape (n,)
        Clamp load, N; above 0.
    d, P, d2, bearing_diameter : float
        Nominal diameter, pitch, pitch diameter, effective bearing diameter, mm.
    thread_torque : array_like, shape (n,), optional
        Torque in the shank, N·m.
    prevailing_torque : float, optional
        Where it was measured, N·m: the line then goes through it. Else it is fitted.

    Returns
    -------
    TensionTest

    Raises
    ------
    OutOfRange
        Too few points, a NaN, a clamp load not above 0, all clamp loads the same, or impossible
        geometry.
    ClampwrightError
        Rows of different length, or torque that does not rise with clamp load.

    Notes
    -----
    The uncertainty is that of this line: readings and geometry of other fasteners, and of other
    lots of lubricant, scatter more. The standard evaluates at 75 % of the proof load; the slope
    over a test that ends there is the steadier figure, and equal to it where the line is straight
    and starts at no torque.

    References
    ----------
    ISO 16047:2005, evaluation, from memory (with its factor 0.577); slope and t test: least
    squares.

    Examples
    --------
    >>> clamp = [5_000, 10_000, 15_000, 20_000, 25_000]
    >>> torque = [7.6, 14.9, 22.7, 30.1, 37.5]
    >>> test = evaluate_tension_test(torque, clamp, d=10, P=1.5, d2=9.0257, bearing_diameter=12.815,
    ...                              prevailing_torque=0)
    >>> print(f"K {test.nut_factor.value:.4f} ± {test.nut_factor.u:.4f},"
    ...       f" friction {test.total.value:.4f}, straight {test.straight}")
    K 0.1503 ± 0.0003, friction 0.1089, straight True
    """
    force = _checks.above("clamp", _shapes.row("clamp", clamp, least=FEWEST_POINTS), unit="N")
    turned = _shapes.row("torque", torque, least=FEWEST_POINTS)
    _checks.shapes_fit(torque=turned, clamp=force)
    geometry = _Geometry.checked(d, P, d2, bearing_diameter)
    line, locking = _fit(force, turned, prevailing_torque)
    if line.slope <= 0.0:
        raise ClampwrightError(
            words("torque does not rise with clamp load: no friction can be told from it")
        )
    bent = bend(force, turned)
    straight = bent.significance > SURE or bent.departure < VISIBLE
    slope = Estimate(line.slope * _arms.N_MM_PER_N_M, line.u_slope * _arms.N_MM_PER_N_M)
    thread, under = None, None
    if thread_torque is not None:
        shank = _shapes.row("thread_torque", thread_torque, least=FEWEST_POINTS)
        _checks.shapes_fit(torque=turned, thread_torque=shank)
        _arms.refuse_below("torque", turned, "thread_torque", shank)
        in_thread, _ = _fit(force, shank, prevailing_torque)
        # Head torque is its own measurement: fitted by itself, so that its scatter is its own.
        in_head, _ = _fit(force, turned - shank, None if prevailing_torque is None else 0.0)
        thread = geometry.thread(in_thread)
        under = geometry.bearing_face(in_head)
    return TensionTest(
        nut_factor=Estimate(slope.value / geometry.d, slope.u / geometry.d),
        total=geometry.total(slope),
        thread=thread,
        bearing=under,
        prevailing_torque=locking,
        line=line,
        bend=bent,
        straight=straight,
        remarks=(
            *_bend_remarks(bent, straight=straight),
            *_zero_remarks(locking, float(turned.max())),
            *geometry.remarks(slope),
        ),
    )


@dataclass(frozen=True, slots=True)
class _Geometry:
    """Lever arms of a thread and its bearing face, mm."""

    d: float
    lead: float
    thread_arm: float
    bearing_arm: float

    @classmethod
    def checked(cls, d: float, P: float, d2: float, bearing_diameter: float) -> _Geometry:
        nominal = _checks.above("d", d, unit="mm")
        pitch, middle, _ = _arms.checked_thread(P, d2, 0.0)
        _checks.smaller("d2", middle, "d", nominal)
        face = _checks.above("bearing_diameter", bearing_diameter, unit="mm")
        return cls(
            d=float(nominal),
            lead=float(_arms.lead_arm(pitch)),
            thread_arm=ISO_THREAD_ARM * float(middle),
            bearing_arm=_arms.BEARING_FRICTION_ARM * float(face),
        )

    def remarks(self, slope: Estimate) -> list[Words]:
        if slope.value >= self.lead:
            return []
        return [
            words(
                "torque rises less than the thread alone asks for without any friction: torque and"
                " clamp load do not belong together; check units and zero"
            )
        ]

    def total(self, slope: Estimate) -> Estimate:
        arm = self.thread_arm + self.bearing_arm
        return Estimate((slope.value - self.lead) / arm, slope.u / arm)

    def thread(self, line: Line) -> Estimate:
        slope, u = line.slope * _arms.N_MM_PER_N_M, line.u_slope * _arms.N_MM_PER_N_M
        return Estimate((slope - self.lead) / self.thread_arm, u / self.thread_arm)

    def bearing_face(self, line: Line) -> Estimate:
        slope, u = line.slope * _arms.N_MM_PER_N_M, line.u_slope * _arms.N_MM_PER_N_M
        return Estimate(slope / self.bearing_arm, u / self.bearing_arm)


def _fit(force: Floats, torque: Floats, through: float | None) -> tuple[Line, Estimate]:
    """Return the line of torque over clamp load, and its start."""
    if through is None:
        line = fit_line(force, torque)
        return line, Estimate(line.intercept, line.u_intercept)
    start = float(_checks.not_negative("prevailing_torque", through, unit="N·m"))
    if np.ptp(force) == 0.0:
        raise OutOfRange(
            words("all points stand at the same clamp load, {value:g} N", value=float(force[0])),
            value=float(force[0]),
        )
    rise = torque - start
    weight = float(force @ force)
    slope = float(force @ rise) / weight
    rest = rise - slope * force
    dof = len(force) - 1
    sd = math.sqrt(float(rest @ rest) / dof)
    line = Line(
        intercept=start,
        slope=slope,
        u_intercept=0.0,
        u_slope=sd / math.sqrt(weight),
        correlation=0.0,
        residual_s=sd,
        sum_of_squares=float(rest @ rest),
        dof=dof,
        x0=0.0,
        mean_x=float(force.mean()),
    )
    return line, Estimate(start, 0.0)


def _bend_remarks(bent: Bend, *, straight: bool) -> list[Words]:
    if straight:
        return []
    return [
        words(
            "the line is not straight: it bends {way} by {share:.0%} of the torque range; friction"
            " changed during the test, and one coefficient does not describe it",
            way=words("upward") if bent.curvature > 0.0 else words("downward"),
            share=bent.departure,
        )
    ]


def _zero_remarks(locking: Estimate, largest: float) -> list[Words]:
    clear = abs(locking.value) > 2.0 * locking.u + PREVAILING_SHARE * largest
    if not clear or locking.u == 0.0:
        return []
    return [
        words(
            "the line starts at {torque:.2g} N·m without clamp load: a prevailing torque, or a zero"
            " that is off",
            torque=locking.value,
        )
    ]


def torque_at_clamp(torque: ArrayLike, clamp: ArrayLike, *, at: float) -> float:
    """Torque at a clamp load between measured points, such as 75 % of the proof load.

    Parameters
    ----------
    torque : array_like, shape (n,)
        N·m.
    clamp : array_like, shape (n,)
        Clamp load, N, rising.
    at : float
        Clamp load wanted, N; within the measured ones.

    Returns
    -------
    float
        N·m, by linear interpolation; for `clampwright.joint.evaluation`.

    Raises
    ------
    OutOfRange
        The clamp load was not reached in the test: nothing is extrapolated.
    ClampwrightError
        Rows of different length, or clamp loads that do not rise.

    References
    ----------
    ISO 16047:2005 evaluates a test at 75 % of the proof load (from memory); interpolation between
    neighbouring points is ours.

    Examples
    --------
    >>> torque_at_clamp([10, 20, 30], [5_000, 11_000, 17_000], at=14_000)
    25.0
    """
    force = _shapes.row("clamp", clamp, least=2)
    turned = _shapes.row("torque", torque, least=2)
    _checks.shapes_fit(torque=turned, clamp=force)
    if (np.diff(force) <= 0.0).any():
        raise ClampwrightError(words("clamp must rise from point to point"))
    wanted = _checks.within(
        "at",
        at,
        low=float(force[0]),
        high=float(force[-1]),
        unit="N",
        source="clamp loads reached in the test",
    )
    return float(np.interp(wanted, force, turned))


@dataclass(frozen=True, slots=True)
class Lot:
    """What tests of several fasteners of a lot say about the next one.

    Parameters
    ----------
    mean, sd : float
        Over the fasteners tested.
    low, high : float
        Between them the next fastener of the lot falls with the coverage asked for.
    count : int
        Fasteners tested.
    """

    mean: float
    sd: float
    low: float
    high: float
    count: int


def lot_of(values: ArrayLike, *, coverage: float = 0.95) -> Lot:
    """Range of nut factor or friction to reckon with, from tests of several fasteners.

    ``x̄ ± t_p(n−1) s √(1 + 1/n)``

    Parameters
    ----------
    values : array_like, shape (n,)
        One value per fastener, 3 or more, above 0.
    coverage : float
        Above 0 and below 1.

    Returns
    -------
    Lot

    Raises
    ------
    OutOfRange
        An argument lies outside its range.
    ClampwrightError
        The fasteners differ so much that the range reaches zero: more tests are needed.

    References
    ----------
    Prediction interval of normal data, from memory.

    Examples
    --------
    >>> lot = lot_of([0.148, 0.155, 0.151, 0.160, 0.149])
    >>> print(f"{lot.low:.3f} to {lot.high:.3f}")
    0.138 to 0.168
    """
    x = _checks.above("values", _shapes.row("values", values, least=3))
    count = len(x)
    mean, sd = float(x.mean()), float(x.std(ddof=1))
    half = coverage_factor(coverage, count - 1) * sd * math.sqrt(1.0 + 1.0 / count)
    if half >= mean:
        raise ClampwrightError(
            words(
                "{count} fasteners scatter by {share:.0%}: too much for so few; test more of them",
                count=count,
                share=sd / mean,
            )
        )
    return Lot(mean, sd, mean - half, mean + half, count)
