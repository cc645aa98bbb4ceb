"""A serial line bit by bit: what is heard at one speed of what was sent at another."""

from __future__ import annotations

import numpy as np


def heard_at(data: bytes, *, sent: int, heard: int) -> bytes:
    """Bytes a receiver at one speed makes of bytes sent at another, 8N1, without a pause.

    Parameters
    ----------
    data : bytes
    sent, heard : int
        Bits per second of sender and receiver.

    Returns
    -------
    bytes
        A receiver that finds no stop bit takes the byte all the same, as common drivers do.
    """
    bits = [1] * 20
    for byte in data:
        bits += [0, *((byte >> k) & 1 for k in range(8)), 1]
    line = np.array([*bits, *[1] * 20], dtype=np.int8)
    low = np.flatnonzero(line == 0)
    per = sent / heard  # sender's bits in one of the receiver's
    end, at, found = len(line), 0.0, bytearray()
    while True:
        place = int(np.searchsorted(low, int(at)))
        if place == len(low):
            return bytes(found)
        start = max(at, float(low[place]))
        bits_at = [int(start + (k + 1.5) * per) for k in range(8)]
        if start + 9.5 * per >= end:
            return bytes(found)
        found.append(sum(int(line[bit]) << k for k, bit in enumerate(bits_at)))
        at = start + 9.5 * per
