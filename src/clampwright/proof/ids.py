"""Names of entries: UUID version 7 (RFC 9562, section 5.7), rising within one process."""

from __future__ import annotations

import re
import secrets
import threading
import time
from collections.abc import Callable

_PATTERN = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_COUNTER_MAX = 0xFFF


def _milliseconds() -> int:
    return time.time_ns() // 1_000_000


class IdMaker:
    """Makes UUIDs of version 7, each above the one before.

    The 12 bits after the time are a counter that starts anew, in its lower half, with every
    millisecond (RFC 9562, section 6.2, method 1). When it is used up, or when the clock goes back,
    the time part runs ahead of the clock rather than repeat itself.

    Parameters
    ----------
    clock : callable
        Returns milliseconds since 1970-01-01 UTC.
    """

    def __init__(self, clock: Callable[[], int] = _milliseconds) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._time = -1
        self._counter = 0

    def __call__(self) -> str:
        """Return the next id.

        Returns
        -------
        str
            36 characters, lower case.
        """
        with self._lock:
            now = self._clock()
            if now > self._time:
                self._time, self._counter = now, secrets.randbits(11)
            elif self._counter < _COUNTER_MAX:
                self._counter += 1
            else:
                self._time, self._counter = self._time + 1, secrets.randbits(11)
            high = (self._time << 16) | 0x7000 | self._counter
        low = (0b10 << 62) | secrets.randbits(62)
        text = f"{high:016x}{low:016x}"
        return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


uuid7 = IdMaker()
"""Make one id; the maker shared by the whole process."""


def is_uuid7(text: str) -> bool:
    """Say whether a text is a UUID of version 7 as this program writes it.

    Parameters
    ----------
    text : str

    Returns
    -------
    bool

    Examples
    --------
    >>> is_uuid7(uuid7())
    True
    >>> is_uuid7("017F22E2-79B0-7CC3-98C4-DC0C0C07398F")
    False
    """
    return _PATTERN.fullmatch(text) is not None
