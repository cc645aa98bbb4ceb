"""How large a picture unpacks, told from its first bytes: nothing is unpacked to find out.

A picture of a few kilobytes can unpack to gigabytes. Its header says so beforehand.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Mapping

from clampwright.errors import BadFile
from clampwright.words import Words, words

MOST_PIXELS = 120_000_000
"""A phone's best camera has some 110 million; a browser needs four bytes for each."""
LONGEST_SIDE = 30_000

Size = tuple[int, int]
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
"""Markers of JPEG that begin a frame (ITU-T T.81, table B.1; from memory)."""
_ALONE = frozenset({0x01, *range(0xD0, 0xDA)})
"""Markers of JPEG without a length."""


def picture_size(data: bytes, kind: str, name: str) -> Size | None:
    """Return width and height of a picture, or None for what is no picture.

    Parameters
    ----------
    data : bytes
    kind : str
        Media type, as its first bytes tell it.
    name : str
        Of the file, for messages.

    Returns
    -------
    (int, int) or None
        Pixels.

    Raises
    ------
    BadFile
        When the picture's header is damaged, or it would unpack to too much.

    References
    ----------
    W3C PNG specification, 11.2.1; ITU-T T.81, B.2.2; RFC 9649, 2.4 to 2.7 (all from memory; a test
    reads pictures that a browser made).
    """
    reader = _READERS.get(kind)
    if reader is None:
        return None
    try:
        width, height = reader(data)
    except (IndexError, ValueError, struct.error):
        width = height = 0
    if width <= 0 or height <= 0:
        raise _bad(name, words("the picture's header is damaged"))
    if width * height > MOST_PIXELS or max(width, height) > LONGEST_SIDE:
        raise _bad(
            name,
            words(
                "it unpacks to {width} by {height} pixels; at most {limit} million are taken",
                width=width,
                height=height,
                limit=MOST_PIXELS // 1_000_000,
            ),
        )
    return width, height


def _bad(name: str, problem: Words) -> BadFile:
    return BadFile(words("{file} cannot be kept: {problem}", file=name, problem=problem), file=name)


def _png(data: bytes) -> Size:
    if data[12:16] != b"IHDR":
        return 0, 0
    width, height = struct.unpack(">II", data[16:24])
    return width, height


def _jpeg(data: bytes) -> Size:
    at = 2
    while data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xFF:  # a byte to fill up
            at += 1
        elif marker in _FRAMES:
            height, width = struct.unpack(">HH", data[at + 5 : at + 9])
            return width, height
        elif marker in _ALONE:
            at += 2
        else:
            (length,) = struct.unpack(">H", data[at + 2 : at + 4])
            at += 2 + max(2, length)
    return 0, 0


def _webp(data: bytes) -> Size:
    form = data[12:16]
    if form == b"VP8X":
        return (
            1 + int.from_bytes(data[24:27], "little"),
            1 + int.from_bytes(data[27:30], "little"),
        )
    if form == b"VP8L" and data[20] == 0x2F:
        bits = int.from_bytes(data[21:25], "little")
        return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
    if form == b"VP8 " and data[23:26] == b"\x9d\x01\x2a":
        width, height = struct.unpack("<HH", data[26:30])
        return width & 0x3FFF, height & 0x3FFF
    return 0, 0


_READERS: Mapping[str, Callable[[bytes], Size]] = {
    "image/png": _png,
    "image/jpeg": _jpeg,
    "image/webp": _webp,
}
