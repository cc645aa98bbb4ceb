"""Which characters the shipped fonts can show; the others are replaced visibly, never dropped."""

from __future__ import annotations

import struct
import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

FONTS = Path(__file__).parent / "fonts"
UNKNOWN = "\ufffd"
_KEPT = "\n\t"


@lru_cache(maxsize=1)
def covered() -> frozenset[int]:
    """Return the code points that every shipped font has.

    Returns
    -------
    frozenset of int

    Examples
    --------
    >>> {ord(sign) for sign in "N·m°µ±✓–×<>?"} <= covered(), ord("測") in covered()
    (True, False)
    """
    fonts = sorted(FONTS.glob("*.ttf"))
    return frozenset.intersection(*(frozenset(code_points(font.read_bytes())) for font in fonts))


def code_points(font: bytes) -> Iterator[int]:
    """Yield the code points a TrueType font has a glyph for.

    Parameters
    ----------
    font : bytes

    Notes
    -----
    Reads the character map of format 12, or of format 4 (OpenType 1.9, table cmap).
    """
    (tables,) = struct.unpack_from(">H", font, 4)
    places = {
        name: offset
        for name, _, offset, _ in struct.iter_unpack(">4sIII", font[12 : 12 + 16 * tables])
    }
    start = places[b"cmap"]
    (count,) = struct.unpack_from(">H", font, start + 2)
    maps = {}
    for index in range(count):
        _, _, offset = struct.unpack_from(">HHI", font, start + 4 + 8 * index)
        (form,) = struct.unpack_from(">H", font, start + offset)
        maps[form] = start + offset
    yield from (_format_12(font, maps[12]) if 12 in maps else _format_4(font, maps[4]))


def _format_12(font: bytes, at: int) -> Iterator[int]:
    (groups,) = struct.unpack_from(">I", font, at + 12)
    for first, last, _ in struct.iter_unpack(">III", font[at + 16 : at + 16 + 12 * groups]):
        yield from range(first, last + 1)


def _format_4(font: bytes, at: int) -> Iterator[int]:
    (twice,) = struct.unpack_from(">H", font, at + 6)
    ends = struct.unpack_from(f">{twice // 2}H", font, at + 14)
    starts = struct.unpack_from(f">{twice // 2}H", font, at + 16 + twice)
    for first, last in zip(starts, ends, strict=True):
        yield from range(first, min(last, 0xFFFE) + 1)


def showable(text: str) -> str:
    r"""Return text with the sign for an unknown character where the fonts have none.

    Signs that steer the direction of writing are replaced too: they could make a line read other
    than it stands in the record.

    Examples
    --------
    >>> showable("12 N·m 測\u202e")
    '12 N·m ��'
    """
    return "".join(sign if _can_stand(sign) else UNKNOWN for sign in text)


def _can_stand(sign: str) -> bool:
    if sign in _KEPT:
        return True
    return ord(sign) in covered() and unicodedata.category(sign) not in {"Cc", "Cf", "Cs"}


def all_showable(data: Any) -> Any:
    r"""Return plain data with every text made showable.

    Examples
    --------
    >>> all_showable({"a": ["x\u0007", 1, True]})
    {'a': ['x�', 1, True]}
    """
    if isinstance(data, str):
        return data if data.isascii() and data.isprintable() else showable(data)
    if isinstance(data, dict):
        return {key: all_showable(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [all_showable(value) for value in data]
    return data
