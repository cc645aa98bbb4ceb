"""All pulls of a block of rows, judged one after the other."""

from __future__ import annotations

import math

import numpy as np

from clampwright.trace.compiled import seen as s
from clampwright.trace.compiled.course import course_of
from clampwright.trace.compiled.cuts import prepared, swings_of
from clampwright.trace.compiled.judged import Tables, judged
from clampwright.trace.compiled.keep import compiled
from clampwright.trace.compiled.rows import all_finite, lowest, steps_between, top_of, usual_step
from clampwright.trace.compiled.stitch import Tool, stitched
from clampwright.trace.compiled.told import Criteria, Known
from clampwright.trace.compiled.tool import delay_of, stiffness_of
from clampwright.trace.model import Floats


@compiled
def judged_block(
    columns: tuple[Floats, Floats, Floats],
    edges: np.ndarray,
    known: tuple[Known, Criteria, Tables],
    rows: Floats,
    shares: Floats,
) -> Floats:
    """Judge the pulls between edges; return the strokes of all, each with the number of its pull.

    A pull that is out of the ordinary in any way (time that does not rise, gaps, numbers missing,
    a torque that says nothing, an angle that runs backward) is left to the careful analysis: its
    row is marked not usable.
    """
    (time, torque, angle), (k, c, tables) = columns, known
    strokes = np.empty((4 * len(rows) + 16, 6))
    count = 0
    for i in range(len(rows)):
        a, b = edges[i], edges[i + 1]
        rows[i, :] = math.nan
        if not _ordinary(time[a:b], torque[a:b], angle[a:b], c):
            rows[i, s.USABLE] = 0.0
            continue
        found = _one(time[a:b], torque[a:b], angle[a:b], known, rows[i])
        judged(k, c, tables, rows[i], shares[i])
        rows[i, s.USABLE] = 1.0
        while count + len(found) > len(strokes):
            strokes = np.concatenate((strokes, np.empty(strokes.shape)))
        for j in range(len(found)):
            strokes[count, 0] = i
            strokes[count, 1:] = found[j]
            count += 1
    return strokes[:count].copy()


@compiled
def _one(
    time: Floats,
    torque: Floats,
    angle: Floats,
    known: tuple[Known, Criteria, Tables],
    row: Floats,
) -> Floats:
    k, c, _ = known
    p = prepared(time, torque, angle)
    swings = swings_of(p, k, c)
    compliance, u_rel, source = stiffness_of(p, swings, k, c)
    delay, u_delay = delay_of(p, swings, k, c)
    tool = Tool(compliance, u_rel, source, delay, u_delay)
    turned = stitched(p, swings, tool, k, c)
    s.features(p, turned, course_of(p, turned, c), tool, (k, c), row)
    return turned.strokes


@compiled
def _ordinary(time: Floats, torque: Floats, angle: Floats, c: Criteria) -> bool:
    """Tell whether there is nothing to repair and something to see in a pull."""
    n = len(time)
    if n < 20:
        return False
    if not (all_finite(time) and all_finite(torque) and all_finite(angle)):
        return False
    least, longest = steps_between(time)
    top, bottom = top_of(torque), lowest(torque)
    if least <= 0.0 or top <= 0.0 or top - bottom < 1e-9 or bottom < -0.3 * top:
        return False
    usual = usual_step(time)
    if longest > c.gap_times * usual or usual >= c.slowest_s:
        return False
    work = 0.0
    for i in range(1, n):
        work += 0.5 * (torque[i] + torque[i - 1]) * (angle[i] - angle[i - 1])
    if work < -c.backward_deg * top:
        return False
    return not _maybe_clipped(torque, top, c)


@compiled
def _maybe_clipped(torque: Floats, top: float, c: Criteria) -> bool:
    """Tell whether the torque stands at its very highest for so long that one must look twice."""
    run, longest = 0, 0
    for i in range(len(torque)):
        run = run + 1 if torque[i] >= top * (1.0 - 1e-12) else 0
        longest = max(longest, run)
    return longest >= c.clipped_samples
