"""A picture's size from its header; bombs and liars are met before anything unpacks them."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import pytest

from clampwright.errors import BadFile
from clampwright.work.attached import type_of
from clampwright.work.picture_size import picture_size

PICTURES = Path(__file__).parents[2] / "docs" / "pictures"


def png(width: int, height: int) -> bytes:
    """A whole PNG of one colour; its rows pack to almost nothing."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + check

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    rows = zlib.compress(bytes((width + 7) // 8 + 1) * min(height, 50_000), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def jpeg(width: int, height: int, before: bytes = b"") -> bytes:
    frame = b"\xff\xc0\x00\x11\x08" + struct.pack(">HH", height, width) + bytes(10)
    return b"\xff\xd8" + before + frame


def webp(form: bytes, rest: bytes) -> bytes:
    return b"RIFF" + struct.pack("<I", len(rest) + 8) + b"WEBP" + form + bytes(4) + rest


def size(data: bytes) -> tuple[int, int] | None:
    return picture_size(data, type_of(data, "p").type, "p")


@pytest.mark.parametrize(
    ("data", "wanted"),
    [
        (png(640, 480), (640, 480)),
        (jpeg(4000, 3000), (4000, 3000)),
        (jpeg(9, 7, b"\xff\xe1\x00\x08Exif\0\0" + b"\xff\xff\xdb\x00\x03\x00"), (9, 7)),
        (webp(b"VP8X", bytes(4) + b"\x7f\x02\x00\xdf\x01\x00"), (640, 480)),
        (webp(b"VP8L", b"\x2f" + struct.pack("<I", 639 | 479 << 14)), (640, 480)),
        (webp(b"VP8 ", bytes(3) + b"\x9d\x01\x2a" + struct.pack("<HH", 640, 480)), (640, 480)),
        (b"%PDF-1.7", None),
    ],
)
def test_the_size_is_read(data: bytes, wanted: tuple[int, int] | None) -> None:
    assert size(data) == wanted


def test_real_screenshots_are_read() -> None:
    files = sorted(PICTURES.glob("*.png"))
    assert files
    for file in files:
        width, height = size(file.read_bytes()) or (0, 0)
        assert 300 < width < 4000
        assert 300 < height < 10_000


@pytest.mark.parametrize(
    "data",
    [
        png(40_000, 40_000),
        png(200_000, 1),
        jpeg(65_535, 65_535),
        webp(b"VP8X", bytes(4) + b"\xff\xff\xff\xff\xff\xff"),
    ],
)
def test_a_bomb_is_refused(data: bytes) -> None:
    assert len(data) < 1_000_000
    with pytest.raises(BadFile, match="it unpacks to"):
        size(data)


@pytest.mark.parametrize(
    "data",
    [
        b"\x89PNG\r\n\x1a\n",
        b"\x89PNG\r\n\x1a\n" + bytes(40),
        png(640, 480)[:20],
        png(0, 480),
        b"\xff\xd8\xff",
        b"\xff\xd8\xff\xe1\xff\xff",
        b"\xff\xd8\xff\xe1\x00\x00" * 50,
        jpeg(0, 0),
        webp(b"VP8 ", bytes(12)),
        webp(b"ABCD", bytes(20)),
    ],
)
def test_a_damaged_header_is_refused(data: bytes) -> None:
    with pytest.raises(BadFile, match="header is damaged"):
        size(data)


@pytest.mark.parametrize(
    "data", [b"", b"GIF89a", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"<html>", b"MZ\x90\0",
             b" %PDF-1.7", b"PK\x03\x04"]
)  # fmt: skip
def test_what_lies_about_its_type_is_refused(data: bytes) -> None:
    with pytest.raises(BadFile, match="neither a photograph"):
        type_of(data, "photo.jpg")
