"""Bytes as a line brings them, cut into whole lines of text, whatever comes in between."""

from __future__ import annotations

from clampwright.intake import most

LONGEST = most("wrench line", "width")
"""Bytes of a line; what is longer is no line of a device."""


class LineBuffer:
    r"""Cuts what arrives in pieces into whole lines.

    Attributes
    ----------
    dropped : int
        Lines that were too long to be one, such as noise without an end.

    Examples
    --------
    >>> buffer = LineBuffer()
    >>> buffer.take(b"1 2 3\r\n4 5"), buffer.take(b" 6\n"), buffer.take(b"7")
    (['1 2 3'], ['4 5 6'], [])
    """

    def __init__(self) -> None:
        self._rest = b""
        self._skipping = False
        self.dropped = 0

    def take(self, data: bytes) -> list[str]:
        """Take what came, and return the lines it completed.

        Parameters
        ----------
        data : bytes

        Returns
        -------
        list of str
            Bytes that are no UTF-8 stand in them as replacement signs; empty lines are left out.
        """
        *whole, rest = (self._rest + data).replace(b"\r", b"\n").split(b"\n")
        if whole and self._skipping:
            whole, self._skipping = whole[1:], False
        if self._skipping:
            rest = b""
        elif len(rest) > LONGEST:
            rest, self._skipping = b"", True
            self.dropped += 1
        self._rest = rest
        lines = []
        for line in whole:
            if len(line) > LONGEST:
                self.dropped += 1
            elif line.strip():
                lines.append(line.decode("utf-8", "replace"))
        return lines

    def forget(self) -> None:
        """Drop a half line: the line was cut, and what comes next does not belong to it."""
        self._rest, self._skipping = b"", False
