"""Angle from a rate of rotation: the sensor's bias is taken from the times at rest."""

from __future__ import annotations

import numpy as np

from clampwright.trace import signals
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats, Step
from clampwright.trace.relations import rate_angle_uncertainty, rate_bias_uncertainty


def angle_from_rate(time: Floats, rate: Floats, torque: Floats) -> tuple[Floats, Step]:
    """Integrate a rate of rotation, less its bias at rest.

    Parameters
    ----------
    time : ndarray, shape (n,)
        s.
    rate : ndarray, shape (n,)
        deg/s.
    torque : ndarray, shape (n,)
        N·m; rest is only where the wrench is unloaded.

    Returns
    -------
    angle : ndarray, shape (n,)
        Degrees, 0 at the first sample.
    step : Step
        What was done, with the bias and the uncertainty of the last angle.

    Notes
    -----
    The bias is the mean rate of each rest of 0.3 s or more, on the line between rests. Without
    any rest nothing is taken off and the step says so.

    Examples
    --------
    >>> t = np.arange(0, 2, 0.01)
    >>> rate = np.where(t < 1, 0.0, 30.0) + 0.4
    >>> angle, step = angle_from_rate(t, rate, np.where(t < 1, 0.0, 9.0))
    >>> round(float(angle[-1])), round(float(step.arguments["bias_dps"]), 2)
    (30, 0.4)
    """
    middles, bias, samples = _rests(time, rate, torque)
    noise = signals.noise(rate)
    if len(middles):
        taken = np.interp(time, middles, bias)
        u_bias = float(rate_bias_uncertainty(max(noise, 1e-6), samples))
    else:
        taken, u_bias = np.zeros(len(time)), limit("rate_bias")
    change = 0.5 * (rate[1:] + rate[:-1] - taken[1:] - taken[:-1]) * np.diff(time)
    angle = np.concatenate(([0.0], np.cumsum(change)))
    seconds = float(time[-1] - time[0])
    u_angle = rate_angle_uncertainty(
        u_bias=u_bias,
        noise=noise,
        seconds=seconds,
        sample_rate=1.0 / float(np.median(np.diff(time))),
    )
    arguments: dict[str, str | int | float] = {
        "rests": len(middles),
        "bias_dps": float(np.mean(taken)),
        "u_angle_deg": float(u_angle),
    }
    return angle, Step("angle from rate", arguments)


def _rests(time: Floats, rate: Floats, torque: Floats) -> tuple[Floats, Floats, int]:
    """Middles and mean rates of the times at rest, and the samples in the shortest."""
    sample_rate = 1.0 / float(np.median(np.diff(time)))
    width = max(5, round(limit("rest_s") * sample_rate))
    mean = signals.moving_mean(rate, width)
    spread = np.sqrt(np.maximum(signals.moving_mean((rate - mean) ** 2, width), 0.0))
    floor = max(signals.noise(rate), 1e-3)
    unloaded = np.abs(torque) <= limit("engaged_share") * max(float(np.abs(torque).max()), 1e-9)
    still = unloaded & (spread < 2.0 * floor) & (np.abs(mean) < limit("rest_most_dps"))
    edges = np.flatnonzero(np.diff(np.concatenate(([0], still.astype(np.int8), [0]))))
    rests = [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a >= width]
    if not rests:
        return np.empty(0), np.empty(0), 0
    middles = np.array([time[a:b].mean() for a, b in rests])
    means = np.array([rate[a:b].mean() for a, b in rests])
    return middles, means, int(min(b - a for a, b in rests))
