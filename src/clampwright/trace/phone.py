"""A phone strapped to the handle as an angle gauge: rotation rates and gravity to an angle.

The phone may be strapped on any way round. The axis of the bolt is found in the phone's own frame:
it is the one about which the handle turns (motion); where it is upright, gravity tells it better.
Only rotation about that axis counts, so that rocking, carrying
and turning of the body are left out as far as they are not about it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.errors import ClampwrightError
from clampwright.trace import signals
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats
from clampwright.trace.relations import rate_angle_uncertainty, rate_bias_uncertainty
from clampwright.words import Words, words


@dataclass(frozen=True, slots=True)
class Swing:
    """One forward swing of the handle.

    Parameters
    ----------
    t0_s, t1_s : float
        s.
    angle : float
        Degrees about the bolt's axis.
    """

    t0_s: float
    t1_s: float
    angle: float


@dataclass(frozen=True, slots=True, eq=False)
class PhoneAngle:
    """What the phone saw.

    Parameters
    ----------
    angle : ndarray, shape (n,)
        Rotation of the handle about the bolt's axis, degrees, forward positive.
    turned : float
        Forward swings added up, degrees: what a ratchet handed on, wind-up not taken out.
    u : float
        Standard uncertainty of `turned`, degrees.
    axis : ndarray, shape (3,)
        The bolt's axis in the phone's frame, pointing so that forward is positive.
    tilt : float or None
        Angle between axis and plumb line, degrees; None without gravity.
    swings : tuple of Swing
    bias : ndarray, shape (3,)
        Rates at rest, deg/s.
    remarks : tuple of Words
        What makes the angle less certain.
    """

    angle: Floats
    turned: float
    u: float
    axis: Floats
    tilt: float | None
    swings: tuple[Swing, ...]
    bias: Floats
    remarks: tuple[Words, ...]


def angle_from_phone(
    time: ArrayLike,
    rates: ArrayLike,
    gravity: ArrayLike | None = None,
    *,
    back_swing_deg: float | None = None,
) -> PhoneAngle:
    """Find the rotation of a handle about the bolt from a phone strapped to it.

    Parameters
    ----------
    time : array_like, shape (n,)
        s, rising; begin and end with the handle at rest for half a second.
    rates : array_like, shape (n, 3)
        Rotation rates about the phone's own axes, deg/s.
    gravity : array_like, shape (n, 3), optional
        Gravity in the phone's frame, m/s², pointing up when at rest as phones report it.
    back_swing_deg : float, optional
        Least rotation back that ends a swing; from the table if not given.

    Returns
    -------
    PhoneAngle

    Raises
    ------
    ClampwrightError
        For rows that do not fit together, are not numbers, or do not move.

    Notes
    -----
    The axis is the principal direction of the rates, less their bias. Where it lies within 20
    degrees of the plumb line and gravity hardly moves about it, the mean gravity is the better
    axis and is taken. The axis is off by an angle e, which shortens every rotation by cos e; e is
    estimated from the rates across the axis.

    Examples
    --------
    >>> t = np.arange(0.0, 4.0, 0.01)
    >>> about_z = np.where((t > 1) & (t < 3), 30.0, 0.0) + 0.3
    >>> found = angle_from_phone(t, np.c_[0 * t + 0.1, 0 * t, about_z])
    >>> round(found.turned), round(float(found.axis[2]), 2)
    (60, 1.0)
    """
    t, w, g = _checked(time, rates, gravity)
    rest = _rests(t, w)
    bias_course, bias, u_bias = _bias(t, w, rest)
    turning = w - bias_course
    axis, across = _axis(turning, g)
    rate = turning @ axis
    angle = _summed(t, rate)
    if _forward(angle, rate) < 0:
        axis, rate, angle = -axis, -rate, -angle
    least = limit("back_swing_deg") if back_swing_deg is None else back_swing_deg
    swings = _swings(t, angle, least)
    turned = float(sum(swing.angle for swing in swings))
    tilt = None if g is None else _tilt(axis, g)
    u = _uncertainty(t, rate, swings, u_bias, across)
    return PhoneAngle(
        angle, turned, u, axis, tilt, swings, bias, tuple(_remarks(rest, across, swings))
    )


def _checked(
    time: ArrayLike, rates: ArrayLike, gravity: ArrayLike | None
) -> tuple[Floats, Floats, Floats | None]:
    t, w = np.asarray(time, dtype=np.float64), np.asarray(rates, dtype=np.float64)
    g = None if gravity is None else np.asarray(gravity, dtype=np.float64)
    if (
        t.ndim != 1
        or len(t) < 20
        or w.shape != (len(t), 3)
        or (g is not None and g.shape != w.shape)
    ):
        raise ClampwrightError(
            words(
                "a phone's recording needs at least 20 times, with three rates (and three of "
                "gravity) for each; got {times} times",
                times=t.size,
            )
        )
    if not all(np.isfinite(x).all() for x in (t, w, g) if x is not None):
        raise ClampwrightError(words("a phone's recording must hold numbers only"))
    if not (np.diff(t) > 0).all():
        raise ClampwrightError(words("the time of a phone's recording must rise"))
    if float(np.ptp(np.linalg.norm(w, axis=1))) < limit("rest_speed_dps"):
        raise ClampwrightError(words("the phone did not turn in this recording"))
    return t, w, g


def _rests(t: Floats, w: Floats) -> NDArray[np.bool_]:
    """Tell where all three rates are as steady as the noise of the sensor lets them be.

    A hand that turns slowly may be as steady for a moment: only stretches count that are steady
    from end to end, and alike to the longest of them.
    """
    rate = 1.0 / float(np.median(np.diff(t)))
    width = max(5, round(limit("phone_rest_s") * rate)) | 1
    floors = [min(max(signals.noise(c), 0.01), limit("rate_noise_most_dps")) for c in w.T]
    still = np.ones(len(t), dtype=np.bool_)
    for column, floor in zip(w.T, floors, strict=True):
        mean = signals.moving_mean(column, width)
        spread = np.sqrt(np.maximum(signals.moving_mean((column - mean) ** 2, width), 0.0))
        still &= (spread < 1.5 * floor) & (np.abs(mean) < limit("phone_rest_most_dps"))
    steady = [run for run in _runs(still, width) if _steady(w[slice(*run)], np.array(floors))]
    alike = np.zeros(len(t), dtype=np.bool_)
    if steady:
        a, b = max(steady, key=lambda run: run[1] - run[0])
        middle = w[a:b].mean(axis=0)
        for a, b in steady:
            if np.linalg.norm(w[a:b].mean(axis=0) - middle) < limit("phone_rest_alike_dps"):
                alike[a:b] = True
    return alike


def _runs(still: NDArray[np.bool_], least: int) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], still.astype(np.int8), [0]))))
    return [
        (int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a >= least
    ]


def _steady(part: Floats, floors: Floats) -> bool:
    """Tell whether neither the spread nor a slow course of a stretch is more than noise."""
    half = len(part) // 2
    course = np.abs(part[:half].mean(axis=0) - part[half:].mean(axis=0))
    noise = floors * (1.6 / half) ** 0.5
    return bool((part.std(axis=0) < 1.5 * floors).all() and (course < 4.0 * noise).all())


def _bias(t: Floats, w: Floats, rest: NDArray[np.bool_]) -> tuple[Floats, Floats, float]:
    """Rates at rest on the line between rests, their mean, and the uncertainty of one of them."""
    rests = _runs(rest, 5)
    if not rests:
        return np.zeros_like(w), np.zeros(3), limit("rate_bias")
    means = np.array([w[a:b].mean(axis=0) for a, b in rests])
    middles = [float(t[a:b].mean()) for a, b in rests]
    course = np.column_stack([np.interp(t, middles, column) for column in means.T])
    noise = max(signals.noise(column) for column in w.T)
    shortest = min(b - a for a, b in rests)
    u = float(rate_bias_uncertainty(min(noise, limit("rate_noise_most_dps")), shortest))
    alone = limit("rest_alike_dps") if len(rests) == 1 else 0.0
    return course, means.mean(axis=0), float(np.hypot(u, alone))


def _axis(turning: Floats, g: Floats | None) -> tuple[Floats, float]:
    """Axis of the motion, and the share of the motion across it."""
    values, vectors = np.linalg.eigh(turning.T @ turning)
    axis, across = vectors[:, 2], math.sqrt(max(float(values[1]), 0.0) / float(values[2]))
    if g is None:
        return axis, across
    up = g.mean(axis=0)
    up /= max(float(np.linalg.norm(up)), 1e-9)
    unit = g / np.maximum(np.linalg.norm(g, axis=1, keepdims=True), 1e-9)
    wander = float(np.degrees(np.sqrt(np.mean(np.sum((unit - up) ** 2, axis=1)))))
    near = math.degrees(math.acos(min(1.0, abs(float(up @ axis))))) < limit("phone_upright_deg")
    if near and wander < limit("phone_steady_deg"):
        axis = up if up @ axis > 0 else -up
    return axis, across


def _summed(t: Floats, rate: Floats) -> Floats:
    change = 0.5 * (rate[1:] + rate[:-1]) * np.diff(t)
    return np.concatenate(([0.0], np.cumsum(change)))


def _forward(angle: Floats, rate: Floats) -> float:
    """Tell which way is forward: where the work is done the handle goes slower than back.

    A single swing tells it by its sum; with a ratchet, whose swings cancel, the slower way counts.
    """
    if abs(float(angle[-1])) > 0.5 * float(np.ptp(angle)):
        return float(angle[-1])
    quick = rate[np.abs(rate) > limit("rest_most_dps")]
    ahead, back = quick[quick > 0], -quick[quick < 0]
    if not len(ahead) or not len(back):
        return float(angle[-1])
    return float(np.median(back) - np.median(ahead))


def _swings(t: Floats, angle: Floats, least: float) -> tuple[Swing, ...]:
    marks = signals.turning_points(angle, least)
    return tuple(
        Swing(float(t[a]), float(t[b]), float(angle[b] - angle[a]))
        for k, (a, b) in enumerate(pairwise(marks))
        if k % 2 == 0 and angle[b] - angle[a] >= least
    )


def _tilt(axis: Floats, g: Floats) -> float:
    up = g.mean(axis=0)
    return math.degrees(math.acos(min(1.0, abs(float(up @ axis)) / float(np.linalg.norm(up)))))


def _uncertainty(
    t: Floats, rate: Floats, swings: tuple[Swing, ...], u_bias: float, across: float
) -> float:
    """Bias and noise over the time of the swings, scale, and an axis that is a little off."""
    seconds = sum(swing.t1_s - swing.t0_s for swing in swings)
    turned = sum(swing.angle for swing in swings)
    summed = rate_angle_uncertainty(
        u_bias=u_bias,
        noise=min(signals.noise(rate), limit("rate_noise_most_dps")),
        seconds=seconds,
        sample_rate=1.0 / float(np.median(np.diff(t))),
    )
    scale = limit("phone_scale_u") * turned
    tipped = 0.5 * across**2 * turned
    return float(np.linalg.norm([float(summed), scale, tipped]))


def _remarks(rest: NDArray[np.bool_], across: float, swings: tuple[Swing, ...]) -> list[Words]:
    says = []
    if not rest.any():
        says.append(
            words("the phone was never at rest: hold still for half a second before and after")
        )
    if across > limit("phone_across"):
        says.append(
            words(
                "the handle rocked: {share:.0%} of the motion was across the bolt's axis",
                share=across,
            )
        )
    if len(swings) > 1:
        says.append(
            words(
                "{count} swings were added up; the play of the ratchet (4 to 10° a swing) is in "
                "each, unless it was taken up before",
                count=len(swings),
            )
        )
    return says
