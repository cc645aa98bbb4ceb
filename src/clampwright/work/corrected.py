"""From what a wrench recorded to the torque the fastener felt: the trace's own corrections."""

from __future__ import annotations

import numpy as np

from clampwright.drawer.calibration import Direction
from clampwright.drawer.tools import Adapter, Tool
from clampwright.drawer.trust import lever_of, trust_when_showing
from clampwright.trace.model import Step, Trace


def corrected(trace: Trace, tool: Tool, *, adapter: Adapter | None, direction: Direction) -> Trace:
    """Correct a trace for the wrench's known deviation, its adapter and its direction.

    Parameters
    ----------
    trace : Trace
        Torque and angle as recorded.
    tool : Tool
        The wrench that recorded it.
    adapter : Adapter or None
        The open-end adapter on it.
    direction : str
        ``cw`` or ``ccw``: the way the fastener was turned.

    Returns
    -------
    Trace
        Torque at the fastener, positive in the direction of turning; each correction stands in its
        `steps`.

    Notes
    -----
    The deviation is the one at the highest torque of the trace, where the verdict is made:
    X_r = X_a / (1 + a_s/100) (ISO 6789, from memory).

    Examples
    --------
    >>> from clampwright.drawer.tools import Scale
    >>> wrench = Tool("e", "Wrench", "electronic", "1/2 in", (Scale("N·m", 10, 200, 0.1),))
    >>> pull = Trace([0.0, 0.1], [0.0, -50.0], [0.0, -10.0])
    >>> corrected(pull, wrench, adapter=None, direction="ccw").torque.tolist()
    [0.0, 50.0]
    """
    if direction == "ccw" and -float(np.min(trace.torque)) > float(np.max(trace.torque)):
        trace = trace.after(
            Step("counter-clockwise, signs turned over", {}),
            torque=0.0 - trace.torque,
            angle=0.0 - trace.angle,
        )
    factor = _factor(float(np.max(trace.torque)), tool, adapter, direction)
    if factor == 1.0:
        return trace
    step = Step("corrected for the wrench's deviation and adapter", {"factor": round(factor, 6)})
    return trace.after(step, torque=trace.torque * factor)


def live_factor(
    expected_nm: float, tool: Tool, *, adapter: Adapter | None, direction: Direction
) -> float:
    """Return by what a torque is multiplied while it is being pulled, before its peak is known.

    Parameters
    ----------
    expected_nm : float
        Torque the pull is meant to reach, N·m: the deviation there is taken.
    tool : Tool
    adapter : Adapter or None
    direction : str

    Returns
    -------
    float

    Examples
    --------
    >>> from clampwright.drawer.tools import Scale
    >>> wrench = Tool("e", "Wrench", "electronic", "1/2 in", (Scale("N·m", 10, 200, 0.1),))
    >>> live_factor(50.0, wrench, adapter=None, direction="cw")
    1.0
    """
    return _factor(expected_nm, tool, adapter, direction)


def _factor(peak: float, tool: Tool, adapter: Adapter | None, direction: Direction) -> float:
    if not peak > 0:
        return 1.0
    deviation = trust_when_showing(tool, peak, direction).deviation or 0.0
    return lever_of(tool, adapter).ratio / (1.0 + deviation / 100.0)
