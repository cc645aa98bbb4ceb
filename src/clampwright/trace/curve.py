"""Torque over the fastener's own angle, in even steps, free of stops and restarts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from clampwright.trace import signals
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats, Trace
from clampwright.trace.strokes import Turned


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """Running torque over rotation.

    Parameters
    ----------
    angle : ndarray, shape (m,)
        Middles of even steps, degrees turned since the first sample.
    torque : ndarray, shape (m,)
        Mean running torque in each step, N·m; steps without a sample lie on the line between
        their neighbours.
    slope : ndarray, shape (m,)
        Local slope over a fixed window of rotation, N·m/deg.
    roughness : float
        Robust scatter of the samples about the smooth course in the upper half, as a share of the
        torque there, with the sensor's own noise taken out.
    """

    angle: Floats
    torque: Floats
    slope: Floats
    roughness: float

    def between(self, low: float, high: float) -> Curve:
        """Return the part between two angles, degrees."""
        inside = (self.angle >= low) & (self.angle <= high)
        return Curve(self.angle[inside], self.torque[inside], self.slope[inside], self.roughness)

    def __len__(self) -> int:
        return len(self.angle)


def curve_of(trace: Trace, turned: Turned) -> Curve:
    """Average the torque of the samples in which the fastener runs.

    Parameters
    ----------
    trace : Trace
    turned : Turned
        Its strokes and the fastener's angle.

    Returns
    -------
    Curve
        Of length 0 where the fastener never ran.
    """
    running = turned.moving & ~turned.restarting
    angle, torque = turned.angle[running], trace.torque[running]
    if len(angle) == 0:
        return Curve(np.empty(0), np.empty(0), np.empty(0), 0.0)
    step = limit("grid_deg")
    place = (angle / step).astype(np.int64)
    counts = np.bincount(place)
    sums = np.bincount(place, weights=torque)
    full = np.flatnonzero(counts)
    middles = (np.arange(full[0], full[-1] + 1) + 0.5) * step
    mean = np.interp(middles, (full + 0.5) * step, sums[full] / counts[full])
    slope = local_slope(mean, step, limit("slope_window_deg"))
    return Curve(middles, mean, slope, _roughness(angle, torque, middles, mean, turned))


def local_slope(torque: Floats, step: float, window: float) -> Floats:
    """Return the slope of straight lines fitted over a window that moves along.

    Parameters
    ----------
    torque : ndarray, shape (m,)
        N·m, in even steps of rotation.
    step : float
        Rotation between two values, degrees.
    window : float
        Width of the window, degrees.

    Returns
    -------
    ndarray, shape (m,)
        N·m/deg. At the ends, where the window does not fit, the nearest full window's slope.

    Notes
    -----
    The weights of the fit sum to zero, so an offset of the torque does not matter.

    Examples
    --------
    >>> local_slope(np.arange(20.0) * 0.6, 0.5, 4.0).round(6).tolist()[:2]
    [1.2, 1.2]
    """
    half = min(int(window / step) // 2, (len(torque) - 1) // 2)
    if half < 1:
        return np.zeros(len(torque))
    weights = np.arange(-half, half + 1, dtype=np.float64)
    inner = np.convolve(torque, weights[::-1], mode="valid") / (weights @ weights * step)
    return np.pad(inner, half, mode="edge")


def _roughness(
    angle: Floats, torque: Floats, middles: Floats, mean: Floats, turned: Turned
) -> float:
    """Scatter about a course smoothed over a wide window, where the torque is high."""
    width = int(1.5 * limit("slope_window_deg") / limit("grid_deg")) | 1
    if len(mean) < width:
        return 0.0
    kernel = np.ones(width) / width
    padded = np.pad(mean, width // 2, mode="reflect", reflect_type="odd")
    few = slice(None, None, signals.stride(len(angle)))
    angle, torque = angle[few], torque[few]
    smooth = np.interp(angle, middles, np.convolve(padded, kernel, mode="valid"))
    high = smooth > 0.5 * mean.max()
    if high.sum() < limit("rough_samples"):
        return 0.0
    share = _bent_back(angle[high], (torque[high] - smooth[high]) / smooth[high])
    spread = 1.4826 * float(np.median(np.abs(share - np.median(share))))
    own = turned.torque_noise / signals.middle(smooth[high])
    return float(np.sqrt(max(spread**2 - own**2, 0.0)))


def _bent_back(x: Floats, y: Floats) -> Floats:
    """Take out the parabola that a smooth but curved and short course leaves behind."""
    x = (x - x.mean()) / max(float(np.ptp(x)), 1e-9)
    terms = np.stack([np.ones(len(x)), x, x * x])
    left, right = terms @ terms.T, terms @ y
    left[np.diag_indices(3)] += 1e-9 * len(x)
    return np.asarray(y - np.linalg.solve(left, right) @ terms)
