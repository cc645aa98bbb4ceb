"""A trace as the text table that `clampwright.trace.reading` takes."""

from __future__ import annotations

import numpy as np

from clampwright.trace.model import Trace

HEADER = "time_s,torque_Nm,angle_deg"


def write_csv(trace: Trace) -> bytes:
    """Write a trace as CSV: seconds, N·m, degrees.

    Parameters
    ----------
    trace : Trace

    Returns
    -------
    bytes
        UTF-8; time to 0.1 ms, torque to 1 mN·m, angle to 1/1000 degree.

    Examples
    --------
    >>> print(write_csv(Trace([0.0, 0.01], [0.0, 1.5], [0.0, 0.4])).decode())
    time_s,torque_Nm,angle_deg
    0.0000,0.000,0.000
    0.0100,1.500,0.400
    <BLANKLINE>
    """
    columns = np.column_stack((trace.time, trace.torque, trace.angle))
    lines = [f"{time:.4f},{torque:.3f},{angle:.3f}" for time, torque, angle in columns.tolist()]
    return "\n".join([HEADER, *lines, ""]).encode()
