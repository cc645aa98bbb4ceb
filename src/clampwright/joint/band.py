"""Clamp load after each step as a distribution: nominal, standard uncertainty, 5-95 % band.

A friction range is read as a log-normal distribution, see `clampwright.joint.friction_range`.

Thread and bearing face share their lubricant: they are taken to go up and down together
(correlation 1), the safe assumption, unless told otherwise. All steps of one fastener see the same
friction, and all its torque steps the same deviation of the wrench; each angle has its own error.

The distribution is computed by quadrature, not by random numbers: asking twice gives the same.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from clampwright.errors import ClampwrightError
from clampwright.joint import _checks, _quadrature
from clampwright.joint._checks import Floats
from clampwright.joint._inputs import Axis, Inputs
from clampwright.joint.friction_range import FrictionRange, friction_range
from clampwright.joint.model import Fastening
from clampwright.joint.torque_angle import Step, refuse_idle_torque
from clampwright.words import Words, words

MOST_U_REL = 0.2
"""Largest relative standard uncertainty a band is computed for; beyond, values below 0 appear."""

MUCH_STEEPER = 2.0
"""An input this much steeper in a tail than the one that matters most overall is followed there."""

REFINED_UP_TO = 3
"""With more inputs than this a band is right to 1e-3 only, and bends need no closer look."""

LOW, HIGH = 0.05, 0.95
"""The shares that bound the band."""


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one input alone does to the clamp load.

    Parameters
    ----------
    key : str
        friction, torque, angle, stiffness or strength.
    title : Words
        The same, for a person.
    u : float
        Standard deviation of the clamp load when only this input varies, N.
    """

    key: str
    title: Words
    u: float


@dataclass(frozen=True, slots=True)
class ClampBand:
    """Clamp load and torque after one step.

    Parameters
    ----------
    step : Step
    nominal : float
        Clamp load at median friction and without any error, N.
    mean, u : float
        Mean and standard uncertainty, N. The mean lies above the nominal where friction is skewed.
    p05, p95 : float
        5 % and 95 % points, N.
    torque_nominal, torque_p05, torque_p95 : float
        Torque at which the fastener would turn on after the step, N·m.
    yielded : bool or None
        Whether the nominal fastener has yielded by then; None where its yield stress is not known.
    yield_probability : float or None
        Share of fasteners that have yielded by then, at the least strength of their class.
    break_probability : float or None
        Share for which the step asks more than the tensile strength; None where it is not known.
    contributions : tuple of Contribution
        Largest first; empty where the clamp load is certain (loose).
    """

    step: Step
    nominal: float
    mean: float
    u: float
    p05: float
    p95: float
    torque_nominal: float
    torque_p05: float
    torque_p95: float
    yielded: bool | None
    yield_probability: float | None
    break_probability: float | None
    contributions: tuple[Contribution, ...]

    @property
    def largest(self) -> Contribution | None:
        """The input that widens the band most."""
        return self.contributions[0] if self.contributions else None


def clamp_bands(
    fastening: Fastening,
    steps: Sequence[Step],
    *,
    friction: Sequence[float | None] | FrictionRange,
    torque_u_rel: float | Sequence[float],
    angle_u_deg: float = 0.0,
    bearing_friction: Sequence[float | None] | FrictionRange | None = None,
    correlation: float = 1.0,
    rate_u_rel: float = 0.05,
    yield_u_rel: float = 0.0,
) -> list[ClampBand]:
    """Clamp load after each step, with its band from friction, wrench, angle and stiffness.

    Parameters
    ----------
    fastening : Fastening
    steps : sequence of Step
    friction : (low, high), (low, high, typical) or FrictionRange
        Range in the thread, and under the head unless `bearing_friction` is given. Never a default:
        it comes from a named condition.
    torque_u_rel : float or sequence of float
        Relative standard uncertainty of the torque applied, 0 to 0.2; one for all, or one per step.
    angle_u_deg : float
        Standard uncertainty of each angle turned, degrees.
    bearing_friction : as friction, optional
        Range under the head.
    correlation : float
        Between thread and bearing friction, 0 to 1.
    rate_u_rel : float
        Relative standard uncertainty of the clamp rate, 0 to 0.2; counts only where an angle does.
        5 % if not given (common practice, no source).
    yield_u_rel : float
        Relative standard uncertainty of the yield stress, 0 to 0.2. The least value of a class is
        a floor, so that clamp loads past yield are floors too.

    Returns
    -------
    list of ClampBand
        One for each step.

    Raises
    ------
    OutOfRange
        A range or an uncertainty lies outside its limits.
    Missing
        An angle without clamp rate or yield stress, a friction condition with an open end.
    ClampwrightError
        `friction` is not two or three numbers, or there are not as many torque uncertainties as
        steps.

    Notes
    -----
    Measured relative error of the clamp load's 5 % and 95 % points: below 1e-4 for up to three
    uncertain inputs, below 1e-3 for more (against dense quadrature; with seven inputs against
    millions of random samples). The
    torque's 5 % point after an angle that starts near the onset of yield: up to 1e-2, for there
    friction decides nothing on one side of the onset and everything on the other.

    References
    ----------
    JCGM 101:2008 (propagation of distributions); the reading of the inputs is ours, see the head
    of this module.

    Examples
    --------
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, yield_stress=940,
    ...                  clamp_rate=829.66, plastic_length=22)
    >>> for band in clamp_bands(bolt, [Step("torque", 45), Step("angle", 90)],
    ...                         friction=(0.08, 0.16), torque_u_rel=0.025, angle_u_deg=2):
    ...     print(f"{band.p05 / 1000:.1f} to {band.p95 / 1000:.1f} kN,"
    ...           f" yielded {band.yield_probability:.0%}, most from {band.largest.title}")
    22.5 to 37.0 kN, yielded 0%, most from friction
    47.7 to 52.0 kN, yielded 100%, most from friction
    """
    inputs = Inputs(
        fastening=fastening,
        steps=tuple(steps),
        thread=friction_range(friction),
        bearing=friction_range(friction if bearing_friction is None else bearing_friction),
        correlation=float(_checks.within("correlation", correlation, low=0.0, high=1.0)),
        torque_u_rel=_per_step(torque_u_rel, len(steps)),
        angle_u=float(_checks.not_negative("angle_u_deg", angle_u_deg, unit="deg")),
        rate_u_rel=_u_rel("rate_u_rel", rate_u_rel),
        yield_u_rel=_u_rel("yield_u_rel", yield_u_rel),
    )
    for step in steps:
        refuse_idle_torque(fastening, step)
    return _bands(inputs)


def _bands(inputs: Inputs) -> list[ClampBand]:
    """Study steps together that the same inputs decide; an early one has fewer of them."""
    alone = _Alone(inputs)
    found: list[ClampBand] = []
    axes = [inputs.until(count).axes() for count in range(1, len(inputs.steps) + 1)]
    for last, mine in enumerate(axes):
        if last + 1 == len(axes) or axes[last + 1] != mine:
            study = _Study(inputs.until(last + 1), mine, alone)
            found += [study.band(place) for place in range(len(found), last + 1)]
    return found


class _Alone:
    """What every input does when it varies alone, the others at their middle."""

    def __init__(self, inputs: Inputs) -> None:
        self.axes = inputs.axes()
        nodes = _quadrature.alone().z
        samples = {
            axis: np.concatenate([nodes if other is axis else 0.0 * nodes for other in self.axes])
            for axis in self.axes
        }
        self.found = inputs.walk(samples)
        self.kept: dict[tuple[int, str], tuple[float, dict[Axis, float]]] = {}

    def nominal(self, place: int, what: str) -> float:
        """Return a quantity with every input at its middle."""
        return self._look(place, what)[0]

    def spread(self, place: int, what: str) -> dict[Axis, float]:
        """Return the standard deviation of a quantity from each input alone."""
        return self._look(place, what)[1]

    def _look(self, place: int, what: str) -> tuple[float, dict[Axis, float]]:
        if (place, what) not in self.kept:
            weight = _quadrature.alone().weight
            rows = np.broadcast_to(self.found[place][what], (len(self.axes) * len(weight),))
            table = rows.reshape(len(self.axes), -1)
            off = table - (table @ weight)[:, None]
            spread = np.sqrt(np.maximum(off**2 @ weight, 0.0))
            spreads = dict(zip(self.axes, spread.tolist(), strict=True))
            self.kept[place, what] = float(table[0, len(weight) // 2]), spreads
        return self.kept[place, what]


class _Study:
    """Steps that the same inputs decide; keeps the passes over its nodes."""

    def __init__(self, inputs: Inputs, axes: tuple[Axis, ...], alone: _Alone) -> None:
        self.inputs, self.axes, self.alone = inputs, axes, alone
        self.one_way = [axis for axis in axes if inputs.rises_or_falls(axis)]
        self.passes: dict[tuple[Axis, ...], list[dict[str, Floats]]] = {}

    def _by_weight(self, place: int, what: str, along: Axis) -> tuple[Axis, ...]:
        """Return the inner input, then the others as they matter: the first get most nodes."""
        spread = self.alone.spread(place, what)
        others = [axis for axis in self.axes if axis is not along]
        return along, *sorted(others, key=lambda axis: -spread[axis])

    def _values(self, place: int, what: str, axes: tuple[Axis, ...]) -> Floats:
        """Return a quantity on all nodes; the inner axis is the first of `axes`."""
        outer, inner = _quadrature.outer(len(axes) - 1), _quadrature.inner(len(axes) - 1).z
        if axes not in self.passes:
            self.passes[axes] = self._walk(axes, inner[:, None])
        return np.broadcast_to(self.passes[axes][place][what], (len(inner), len(outer.weight)))

    def _walk(self, axes: tuple[Axis, ...], inner: Floats) -> list[dict[str, Floats]]:
        outer = _quadrature.outer(len(axes) - 1).z
        samples = {axis: row[None, :] for axis, row in zip(axes[1:], outer, strict=True)}
        return self.inputs.walk(samples | {axes[0]: inner})

    def _weight(self) -> Floats:
        return _quadrature.outer(len(self.axes) - 1).weight

    def _spread(self, place: int, what: str) -> tuple[float, float, float, float]:
        """Return mean, standard deviation, 5 % and 95 % point of a quantity."""
        spread, nominal = self.alone.spread(place, what), self.alone.nominal(place, what)
        along = max(self.one_way, key=lambda axis: spread[axis])
        if max(spread.values()) <= 1e-12 * abs(nominal):
            return nominal, 0.0, nominal, nominal
        axes = self._by_weight(place, what, along)
        mean, u = _quadrature.moments(self._values(place, what, axes), self._weight())
        low, high = (self._point(place, what, axes, share) for share in (LOW, HIGH))
        return mean, u, low, high

    def _point(self, place: int, what: str, axes: tuple[Axis, ...], share: float) -> float:
        """Return the quantile at a share, along the input that decides there.

        The input that matters most in the middle may matter little in the tail: past yield, say.
        """
        values = _rising(self._values(place, what, axes))
        inner, *outer = _quadrature.slopes_near(values, share, len(axes) - 1)
        slope, steepest = max(
            ((slope, n) for n, slope in enumerate(outer, 1) if axes[n] in self.one_way),
            default=(0.0, 0),
        )
        if slope > MUCH_STEEPER * inner:
            axes = self._by_weight(place, what, axes[steepest])
            values = _rising(self._values(place, what, axes))
        falls = values.strides[0] < 0

        def again(z: Floats) -> Floats:
            found = self._walk(axes, -z if falls else z)[place][what]
            row: Floats = np.broadcast_to(found, (1, len(z)))[0]
            return row

        refined = again if len(axes) <= REFINED_UP_TO else None
        return _quadrature.quantile(values, self._weight(), share, refined)

    def band(self, place: int) -> ClampBand:
        """Return the band after one step."""
        mean, u, p05, p95 = self._spread(place, "clamp")
        _, _, torque_p05, torque_p95 = self._spread(place, "torque")
        bolt = self.inputs.fastening
        known = bolt.yield_stress is not None
        ends = bolt.tensile_strength is not None
        return ClampBand(
            step=self.inputs.steps[place],
            nominal=self.alone.nominal(place, "clamp"),
            mean=mean,
            u=u,
            p05=p05,
            p95=p95,
            torque_nominal=self.alone.nominal(place, "torque"),
            torque_p05=torque_p05,
            torque_p95=torque_p95,
            yielded=self.alone.nominal(place, "demand") > 1.0 if known else None,
            yield_probability=self._share(place, "demand") if known else None,
            break_probability=self._share(place, "overload") if ends else None,
            contributions=self._contributions(place),
        )

    def _share(self, place: int, what: str) -> float:
        spread = self.alone.spread(place, what)
        along = max(self.axes, key=lambda axis: spread[axis])
        values = self._values(place, what, self._by_weight(place, "clamp", along))
        return _quadrature.share_above(values, 1.0, self._weight())

    def _contributions(self, place: int) -> tuple[Contribution, ...]:
        squares: dict[str, float] = {}
        for axis, u in self.alone.spread(place, "clamp").items():
            squares[axis.group] = squares.get(axis.group, 0.0) + u**2
        titles = {
            "friction": words("friction"),
            "torque": words("the torque of the wrench"),
            "angle": words("the angle turned"),
            "stiffness": words("the stiffness of the joint"),
            "strength": words("the strength of the fastener"),
        }
        found = (
            Contribution(group, titles[group], math.sqrt(square))
            for group, square in squares.items()
            if square > (1e-12 * self.alone.nominal(place, "clamp")) ** 2
        )
        return tuple(sorted(found, key=lambda part: -part.u))


def _rising(values: Floats) -> Floats:
    """Return values so that they rise with their rows: friction takes clamp load away."""
    return values[::-1] if values[0].sum() > values[-1].sum() else values


def _per_step(given: float | Sequence[float], count: int) -> tuple[float, ...]:
    array = _checks.number("torque_u_rel", given)
    if array.ndim == 0:
        return (_u_rel("torque_u_rel", float(array)),) * count
    values = tuple(_u_rel("torque_u_rel", value) for value in array.ravel().tolist())
    if len(values) != count:
        raise ClampwrightError(
            words(
                "there are {given} torque uncertainties for {count} steps",
                given=len(values),
                count=count,
            )
        )
    return values


def _u_rel(name: str, value: float) -> float:
    return float(_checks.within(name, value, low=0.0, high=MOST_U_REL, source="limit ours"))
