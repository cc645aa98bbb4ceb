"""Forward swings: where a trace is cut because the wrench was let go, swung back or slipped off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from clampwright.trace import signals
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats, Trace

End = Literal["back_swing", "released", "paused", "slipped", "end_of_trace"]


@dataclass(slots=True)
class Swing:
    """Samples of one forward swing: start, end of the forward motion, end of its release."""

    start: int
    end: int
    released: int
    kind: End


def samples_in(trace: Trace, seconds: float) -> int:
    """Return how many samples a time takes, at least one.

    Parameters
    ----------
    trace : Trace
    seconds : float

    Returns
    -------
    int
    """
    return max(1, round(seconds * trace.sample_rate))


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """A trace with what every later step asks of it, worked out once.

    Parameters
    ----------
    trace : Trace
    torque : ndarray, shape (n,)
        Slightly smoothed, N·m.
    torque_noise, angle_noise : float
        Standard deviations, N·m and degrees.
    angle_tolerance : float
        Difference of angle that noise and rounding explain, degrees.
    """

    trace: Trace
    torque: Floats
    torque_noise: float
    angle_noise: float
    angle_tolerance: float


def prepared(trace: Trace) -> Prepared:
    """Smooth the torque a little and find the noise of a trace.

    Parameters
    ----------
    trace : Trace

    Returns
    -------
    Prepared
    """
    angle_noise = signals.noise(trace.angle)
    step = signals.rounding_step(trace.angle)
    return Prepared(
        trace,
        torque=signals.moving_mean(trace.torque, samples_in(trace, 0.02)),
        torque_noise=signals.noise(trace.torque),
        angle_noise=angle_noise,
        angle_tolerance=max(2.5 * angle_noise, 1.05 * step, 0.05),
    )


def swings_of(it: Prepared) -> list[Swing]:
    """Cut the trace where the torque is let go, and where the handle goes back.

    Parameters
    ----------
    it : Prepared

    Returns
    -------
    list of Swing
        In the order of time; empty where nothing moves forward.
    """
    trace, torque = it.trace, it.torque
    top = float(torque.max())
    threshold = max(limit("release_share") * top, 6.0 * it.torque_noise, 1e-9)
    marks = signals.turning_points(torque, threshold)
    cuts: list[tuple[int, int, End]] = []
    for peak, valley in zip(marks[1::2], marks[2::2], strict=False):
        cut = _cut(it, peak, valley, threshold)
        if cut is not None:
            cuts.append(cut)
    if trace.angle_mode == "handle":
        cuts = _with_back_swings(it, cuts)
    swings, start = [], 0
    for end, released, kind in cuts:
        if end > start:
            swings.append(Swing(start, end, released, kind))
            start = released
    last = _last_forward(it, start, len(trace) - 1)
    forward = trace.angle[last] - trace.angle[start] > 3.0 * it.angle_tolerance
    pulled = float(torque[start:].max()) > threshold or not cuts
    if last > start and forward and pulled:
        swings.append(Swing(start, last, len(trace) - 1, "end_of_trace"))
    return swings


def _last_forward(it: Prepared, first: int, last: int) -> int:
    """Return the first sample at which the angle stands as far forward as it will get."""
    part = it.trace.angle[first : last + 1]
    return first + int(np.argmax(part >= part.max() - it.angle_tolerance))


def _end_of_motion(it: Prepared, peak: int, valley: int) -> int:
    """Return where the angle arrives at what it keeps while the torque is let go."""
    trace, torque = it.trace, it.torque
    if trace.angle_mode == "handle":
        return _still_held(torque, _last_forward(it, peak, valley), valley)
    # a stripping thread lets the torque fall while it turns: only the very last is at rest
    gone = torque[valley] + limit("gone_share") * (torque[peak] - torque[valley])
    first = peak + int(np.argmax(torque[peak : valley + 1] <= gone))
    unloaded = torque[valley] <= limit("engaged_share") * float(torque.max())
    still = trace.angle[first : valley + (samples_in(trace, 0.05) if unloaded else 1)]
    arrived = trace.angle[peak : valley + 1] >= np.median(still) - it.angle_tolerance
    return _still_held(torque, peak + int(np.argmax(arrived)), valley)


def _still_held(torque: Floats, end: int, valley: int, share: float | None = None) -> int:
    """Move the end on to where the torque begins to go: a coarse angle arrives too early."""
    part = torque[end : valley + 1]
    top = float(part.max())
    held = part >= top - (1.0 - (share or limit("held_until"))) * abs(top)
    return end + int(np.flatnonzero(held)[-1])


def _cut(it: Prepared, peak: int, valley: int, threshold: float) -> tuple[int, int, End] | None:
    """Judge one fall of torque: slipped socket, release, or a fall while turning (None)."""
    trace, torque = it.trace, it.torque
    slip = _slip(trace, peak, valley)
    if slip is not None:
        return slip, valley, "slipped"
    end = _end_of_motion(it, peak, valley)
    if torque[end] - torque[valley] < threshold:
        return None
    if torque[valley] <= limit("engaged_share") * float(torque.max()):
        return end, valley, "released"
    if trace.time[valley] - trace.time[end] < limit("hand_s"):
        return None  # no hand is so quick: the fastener slipped on a little
    return end, valley, "paused"


def _slip(trace: Trace, peak: int, valley: int) -> int | None:
    """Return the last sample before a sudden loss of torque with the handle running on."""
    drop = trace.torque[peak : valley + 1]
    least = limit("slip_least") * float(trace.torque.max())
    if drop[0] <= least or len(drop) < 2:
        return None
    lost = peak + int(np.argmax(drop <= (1.0 - limit("slip_drop")) * drop[0]))
    if lost == peak:
        return None
    held = np.flatnonzero(trace.torque[peak:lost] >= 0.9 * drop[0])
    before = peak + int(held[-1])
    start = _still_held(trace.torque, max(peak - 1, 0), before, limit("slip_from"))
    gap = 1.5 / trace.sample_rate
    if trace.time[lost] - trace.time[before] > max(limit("slip_time_s"), gap):
        return None
    if trace.angle_mode != "handle" and _vanished(trace, before, valley):
        return start
    if trace.angle_mode == "accumulated":  # while a hand lets go it counts nothing
        counted = float(trace.angle[lost] - trace.angle[before])
        return start if counted > limit("slip_counted_deg") else None
    after = int(np.searchsorted(trace.time, trace.time[before] + max(0.08, 2.0 * gap)))
    after = min(max(after, lost), len(trace) - 1)
    run = trace.angle[before : after + 1].max() - trace.angle[before]
    speed = run / (trace.time[after] - trace.time[before])
    fast = speed > limit("slip_slow_dps")
    return start if fast and run > limit("slip_run_deg") else None


def _vanished(trace: Trace, before: int, valley: int) -> bool:
    """Tell a slip by its time alone, where the handle's own rotation is not in the trace."""
    level = (1.0 - limit("vanish_drop")) * trace.torque[before]
    gone = before + int(np.argmax(trace.torque[before : valley + 1] <= level))
    seconds = trace.time[gone] - trace.time[before]
    few = limit("vanish_samples") / trace.sample_rate
    return gone > before and bool(seconds <= max(limit("vanish_time_s"), few))


def _with_back_swings(it: Prepared, cuts: list[tuple[int, int, End]]) -> list[tuple[int, int, End]]:
    """Add back swings that show in the handle only, and tell them from mere releases."""
    trace = it.trace
    threshold = max(limit("back_swing_deg"), 2.0 * it.angle_tolerance)
    marks = signals.turning_points(trace.angle, threshold)
    backs = list(zip(marks[1::2], marks[2::2], strict=False))
    found: list[tuple[int, int, End]] = []
    for end, released, kind in cuts:
        back = next((b for b in backs if b[0] - 3 <= released and b[1] >= end), None)
        if back is None or kind == "slipped":
            found.append((end, released, kind))
            continue
        unloaded = kind == "released" and _went_back(trace, end, back[1])
        found.append(
            (
                end,
                max(released, back[1]) if unloaded else released,
                "back_swing" if unloaded else kind,
            )
        )
    taken = [(end, released) for end, released, _ in found]
    for first, last in backs:
        if not any(end <= last and released >= first for end, released in taken):
            found.append((first, last, "back_swing"))
    return sorted(found)


def _went_back(trace: Trace, end: int, valley: int) -> bool:
    """Tell whether the handle went further back than a wrench can spring back."""
    rest = np.flatnonzero(
        trace.torque[end : valley + 1] <= limit("engaged_share") * trace.torque.max()
    )
    unloaded = end + int(rest[0]) if len(rest) else valley
    return bool(trace.angle[unloaded] - trace.angle[valley] > limit("back_swing_deg") / 2.0)
