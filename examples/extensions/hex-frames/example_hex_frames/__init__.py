"""Lines of an invented wrench: ``:TTTTTTTTMMMMAAAASS``, hexadecimal, with a sum to check them.

``T`` milliseconds, ``M`` torque in hundredths of a newton metre, ``A`` angle in tenths of a degree
(both signed), ``S`` the low byte of the sum of the eight bytes before it. A line whose sum is
wrong was garbled on its way: it is no sample.
"""

import re
import struct

UNITS = {"time": "ms", "torque": "N·m", "angle": "deg"}
"""What a line tells; values are given in the order time, torque, angle."""

EXAMPLES = (
    (":000003E804D200FBBC", (1000.0, 12.34, 25.1)),
    (":000003E9FF9C00FA81", (1001.0, -1.0, 25.0)),
    (":000003E804D200FB00", None),
    ("ready", None),
)
"""Clampwright lets the package read these each time it is loaded, and leaves it out if it errs."""

_FRAME = re.compile(r":([0-9A-F]{16})([0-9A-F]{2})")


def read(line: str) -> tuple[float, float, float] | None:
    """Return milliseconds, newton metres and degrees; None for a line that is no sample."""
    match = _FRAME.fullmatch(line.strip())
    if match is None:
        return None
    data = bytes.fromhex(match[1])
    if sum(data) & 0xFF != int(match[2], 16):
        return None
    time, torque, angle = struct.unpack(">Ihh", data)
    return float(time), torque / 100, angle / 10
