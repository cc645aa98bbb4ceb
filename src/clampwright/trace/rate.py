"""Angle from a rate of rotation: the sensor's bias is taken from the times at rest."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from clampwright.trace import signals
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats, Step, Trace
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
    The bias is the mean rate of each rest of 0.1 s or more, on the line between rests. Without
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
    noise = _noise(rate)
    if len(middles):
        taken = np.interp(time, middles, bias)
        u_bias = float(rate_bias_uncertainty(max(noise, 1e-6), samples))
        u_bias = float(np.hypot(u_bias, limit("rest_alike_dps") / len(middles)))
    else:
        taken, u_bias = np.zeros(len(time)), limit("rate_bias")
    change = 0.5 * (rate[1:] + rate[:-1] - taken[1:] - taken[:-1]) * np.diff(time)
    angle = np.concatenate(([0.0], np.cumsum(change)))
    seconds = float(time[-1] - time[0])
    u_angle = rate_angle_uncertainty(
        u_bias=u_bias,
        noise=noise,
        seconds=seconds,
        sample_rate=1.0 / signals.middle(np.diff(time)),
    )
    arguments: dict[str, str | int | float] = {
        "rests": len(middles),
        "u_bias_dps": u_bias,
        "noise_dps": noise,
        "bias_dps": float(np.mean(taken)),
        "u_angle_deg": float(u_angle),
    }
    return angle, Step("angle from rate", arguments)


def drift_of(trace: Trace) -> Callable[[float, float], float]:
    """Return the uncertainty of an angle that was summed up from a rate.

    Parameters
    ----------
    trace : Trace
        One that was not summed up from a rate has no drift.

    Returns
    -------
    callable
        Of the time since which, s, and the angle turned since, degrees; standard uncertainty in
        degrees.
    """
    step = next((step for step in trace.steps if step.name == "angle from rate"), None)
    if step is None:
        return lambda since, turned: 0.0 * (since + turned)
    told = {name: float(value) for name, value in step.arguments.items()}
    end, rate = float(trace.time[-1]), trace.sample_rate

    def drift(since: float, turned: float) -> float:
        summed = rate_angle_uncertainty(
            u_bias=told["u_bias_dps"],
            noise=told["noise_dps"],
            seconds=max(end - since, 0.0),
            sample_rate=rate,
        )
        return float(np.hypot(summed, limit("rate_scale_u") * turned))

    return drift


def _rests(time: Floats, rate: Floats, torque: Floats) -> tuple[Floats, Floats, int]:
    """Middles and mean rates of the times at rest, and the samples in the shortest."""
    sample_rate = 1.0 / signals.middle(np.diff(time))
    width = max(5, round(limit("rest_s") * sample_rate)) | 1
    mean = signals.moving_mean(rate, width)
    spread = np.sqrt(np.maximum(signals.moving_mean((rate - mean) ** 2, width), 0.0))
    half = width // 2
    part = signals.moving_mean(rate, half | 1)
    ahead, behind = np.roll(part, -(half // 2 + 1)), np.roll(part, half // 2 + 1)
    floor = max(_noise(rate), 1e-3)
    unloaded = np.abs(torque) <= limit("engaged_share") * max(float(np.abs(torque).max()), 1e-9)
    still = unloaded & (spread < 1.5 * floor) & (np.abs(mean) < limit("rest_most_dps"))
    still &= np.abs(ahead - behind) < 3.0 * floor * (2.0 / max(half, 1)) ** 0.5
    still[: half + 1] = still[len(still) - half - 1 :] = False
    edges = np.flatnonzero(np.diff(np.concatenate(([0], still.astype(np.int8), [0]))))
    rests = [  # a window at rest was at rest over all of its width
        (max(a - half, 0), min(b + half, len(rate)))
        for a, b in zip(edges[::2], edges[1::2], strict=True)
    ]
    rests = _alike(rate, rests, floor)
    if not rests:
        return np.empty(0), np.empty(0), 0
    middles = np.array([time[a:b].mean() for a, b in rests])
    means = np.array([rate[a:b].mean() for a, b in rests])
    return middles, means, int(min(b - a for a, b in rests))


def _noise(rate: Floats) -> float:
    """Noise of the sensor; a step of the rate itself is no rounding."""
    return min(signals.noise(rate), limit("rate_noise_most_dps"))


def _alike(rate: Floats, rests: list[tuple[int, int]], noise: float) -> list[tuple[int, int]]:
    """Leave out slow turning taken for rest: a bias hardly changes within one pull.

    True rests agree with each other, slow turning comes at all speeds: the rate that the most
    samples agree on is the bias.
    """
    if not rests:
        return []
    means = np.array([rate[a:b].mean() for a, b in rests])
    counts = np.array([b - a for a, b in rests])
    room = limit("rest_alike_dps") + 4.0 * noise / np.sqrt(counts)
    near = np.abs(means[:, None] - means) <= room  # row: about which rest; column: which agree
    best = int(np.argmax(near @ counts))
    return [rest for rest, agrees in zip(rests, near[best], strict=True) if agrees]
