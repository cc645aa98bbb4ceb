"""The stiffness of the tool: as given, and as seen where the fastener stands still."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from clampwright.trace.limits import limit
from clampwright.trace.model import Floats
from clampwright.trace.signals import rate_of_change
from clampwright.trace.swings import Prepared, Swing


@dataclass(frozen=True, slots=True)
class Stiffness:
    """Torque per degree of wind-up of the tool, and how it is known.

    Parameters
    ----------
    value : float or None
        N·m/deg; None where it is neither given nor determinable.
    u_rel : float
        Relative standard uncertainty.
    source : {"given", "trace", "given and trace", "output square", "assumed"}
    delay, u_delay : float
        Time by which the torque signal comes after the angle (a filter in the tool), s, and its
        standard uncertainty. While the torque rises a late torque looks like rotation.
    """

    value: float | None
    u_rel: float
    source: str
    delay: float = 0.0
    u_delay: float = 0.0

    @property
    def compliance(self) -> float:
        """Degrees of wind-up per N·m; 0 where nothing is taken out."""
        return 1.0 / self.value if self.value else 0.0


def stiffness_of(it: Prepared, swings: list[Swing], given: float | None, held: float) -> Stiffness:
    """Combine the stiffness given with what releases and restarts in the trace show.

    Parameters
    ----------
    it : Prepared
    swings : list of Swing
    given : float or None
        N·m/deg.
    held : float
        Torque the fastener holds at the first sample, N·m.

    Returns
    -------
    Stiffness
        The mean weighted by the uncertainties, where both are known.
    """
    if it.trace.angle_mode == "output":
        return Stiffness(None, 0.0, "output square")
    tool = _stiffness(it, swings, given, held)
    delay, u_delay = _delay(it, swings, held)
    return replace(tool, delay=delay, u_delay=u_delay)


def _stiffness(it: Prepared, swings: list[Swing], given: float | None, held: float) -> Stiffness:
    fits = list(_wind_up_fits(it, swings, held))
    found = _pooled(fits)
    if found is None:
        if given is None:
            return _assumed(it)
        return Stiffness(given, limit("stiffness_given_u"), "given")
    compliance, u_found = found
    u_found = float(np.hypot(u_found, limit("stiffness_trace_u") * compliance))
    if given is None:
        return Stiffness(1.0 / compliance, u_found / compliance, "trace")
    u_given = limit("stiffness_given_u") / given
    weights = np.array([u_found**-2, u_given**-2])
    mean = float(weights @ [compliance, 1.0 / given] / weights.sum())
    return Stiffness(1.0 / mean, float(weights.sum() ** -0.5) / mean, "given and trace")


def _assumed(it: Prepared) -> Stiffness:
    """Take what is common where nothing is known: better than none at all, and said to be so."""
    top = float(it.torque.max())
    if top <= 0:
        return Stiffness(None, 0.0, "assumed")
    return Stiffness(top / limit("wind_up_deg"), limit("wind_up_u_rel"), "assumed")


def _pooled(fits: list[tuple[float, float]]) -> tuple[float, float] | None:
    """Weighted median of the compliances seen, with the uncertainty of their mean."""
    fits = [fit for fit in fits if fit[0] > 0 and fit[1] < 0.25 * fit[0]]
    if not fits:
        return None
    values = np.array([fit[0] for fit in fits])
    weights = np.array([fit[1] ** -2 for fit in fits])
    order = np.argsort(values)
    share = np.cumsum(weights[order]) / weights.sum()
    middle = float(values[order][np.searchsorted(share, 0.5)])
    spread = float(np.sqrt(weights @ (values - middle) ** 2 / weights.sum() / len(fits)))
    return middle, max(spread, float(weights.sum() ** -0.5))


def _wind_up_fits(it: Prepared, swings: list[Swing], held: float) -> list[tuple[float, float]]:
    """Fit degrees per N·m where the fastener stands still: let go (handle only) and taken up."""
    trace, torque, fits = it.trace, it.torque, []
    low, high = limit("restart_low"), limit("restart_high")
    for swing in swings:
        if held > limit("held_share") * torque.max():
            rise = first_rise(torque, swing, high * held)
            fits.append(_fit(it, rise, low * held, high * held))
        if swing.kind == "slipped":
            break
        held = float(torque[swing.end])
        if trace.angle_mode == "handle":
            fall = slice(swing.end, swing.released + 1)
            fits.append(_fit(it, fall, 0.15 * held, 0.9 * held))
    return [fit for fit in fits if fit is not None]


def _delay(it: Prepared, swings: list[Swing], held: float) -> tuple[float, float]:
    """Find by how much the torque comes after the angle, where the fastener stands still.

    There the handle turns only the tool up: angle = C (T + τ dT/dt) and a constant, with one C and
    one τ for all rises and falls. What is ordinary in tools is weighed in as one more reading.
    """
    trace, torque = it.trace, it.torque
    change = rate_of_change(torque, trace.time)
    left, right = np.zeros((2, 2)), np.zeros(2)
    squares, count = 0.0, 0
    for where, low, high in _at_rest(it, swings, held):
        inside = np.flatnonzero((torque[where] >= low) & (torque[where] <= high)) + where.start
        if len(inside) < 5:
            continue
        x = np.stack([trace.torque[inside], change[inside]])
        x -= x.mean(axis=1, keepdims=True)
        y = trace.angle[inside] - trace.angle[inside].mean()
        left += x @ x.T
        right += x @ y
        squares += float(y @ y)
        count += len(y) - 1
    usual, spread = 0.0, limit("delay_spread_s")
    determinant = float(left[0, 0] * left[1, 1] - left[0, 1] ** 2)
    if count < 6 or determinant <= 1e-12 * left[0, 0] * left[1, 1]:
        return usual, spread
    compliance = float(left[1, 1] * right[0] - left[0, 1] * right[1]) / determinant
    product = float(left[0, 0] * right[1] - left[0, 1] * right[0]) / determinant
    if compliance <= 0.0:
        return usual, spread
    scatter = max((squares - compliance * right[0] - product * right[1]) / (count - 2), 0.0)
    scatter = max(scatter, it.angle_noise**2)
    u = float(scatter * left[0, 0] / determinant) ** 0.5 / compliance
    share = spread**2 / (spread**2 + u**2 + limit("delay_u_s") ** 2)
    return share * product / compliance, (1.0 - share) ** 0.5 * spread


def _at_rest(
    it: Prepared, swings: list[Swing], held: float
) -> Iterator[tuple[slice, float, float]]:
    """Yield where the fastener stands still while the torque rises or falls, and between which."""
    torque = it.torque
    for swing in swings:
        if held > limit("held_share") * torque.max():
            rise = first_rise(torque, swing, 0.95 * held)
            yield rise, 0.03 * held, 0.95 * held
        if swing.kind == "slipped":
            return
        held = float(torque[swing.end])
        if it.trace.angle_mode == "handle":
            yield slice(swing.end, swing.released + 1), 0.05 * held, 0.95 * held


def first_rise(torque: Floats, swing: Swing, level: float) -> slice:
    """Return the samples of a swing up to the first that reaches a torque.

    Parameters
    ----------
    torque : ndarray, shape (n,)
        N·m.
    swing : Swing
    level : float
        N·m; where it is never reached the whole swing is returned.

    Returns
    -------
    slice
    """
    part = torque[swing.start : swing.end + 1] >= level
    stop = int(np.argmax(part)) if part.any() else len(part) - 1
    return slice(swing.start, swing.start + stop + 1)


def _fit(it: Prepared, where: slice, low: float, high: float) -> tuple[float, float] | None:
    """Fit the angle against torque between two torques; slope and its standard error, deg/(N·m)."""
    x, y = it.torque[where], it.trace.angle[where]
    inside = (x >= low) & (x <= high)
    x, y = x[inside], y[inside]
    if len(x) < 4 or np.ptp(x) < max(0.5 * (high - low), 1e-9):
        return None
    x, y = x - x.mean(), y - y.mean()
    slope = float(x @ y / (x @ x))
    residual = y - slope * x
    scatter = max(
        float(residual @ residual) / (len(x) - 2),
        it.angle_noise**2,
        1e-6,
    )
    return slope, float(np.sqrt(scatter / (x @ x)))
