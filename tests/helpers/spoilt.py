"""Bytes as a careless or hostile hand would change them: one number gives one change, always.

A change is drawn by Hypothesis in the tests (it shows the smallest number that fails) and counted
up in the large runs, where a hundred thousand are made at a few microseconds each.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

PIECES = (
    b"", b"\x00", b"\xff", b"\xef\xbb\xbf", b"\xfe\xff", b"\xed\xa0\x80", b"\n", b"\r\n", b"\r",
    b"\t", b" " * 200, b'"', b"'", b"'''", b'"""', b"\\", b"\\u0000", b"\\ud800", b"\\x", b"[",
    b"]", b"{", b"}", b"[[", b"]]", b"[" * 60, b"{" * 60, b'{"a":' * 60, b"a." * 60, b"(", b")",
    b",", b";", b":", b"=", b"#", b"-", b"+", b"-0", b"0x", b"1e999", b"-1e999", b"NaN",
    b"Infinity", b"nan", b"inf", b"true", b"null", b"9" * 25, b"9" * 500, b"1_0", b"0.1", b"1,5",
    b"1979-02-30", b"9999-12-31T23:59:60Z", b"../", b"%00", b"%n%s", b"{0.__class__}",
    b"{{7*7}}", b"${x}", b"<script>", b"' OR 1=1 --", "N·m".encode(), "\u202e".encode(),
    "\u0301".encode() * 60, "\U0001f600".encode(), "\u2028".encode(), b"\x1b[2J", b"\x30\x80",
    b"\x30\x84\xff\xff\xff\xff", b"\xa0\x03\x02\x01\x02", b"PK\x03\x04", b"PAR1", b"%PDF-",
)  # fmt: skip
"""What sits badly in one format or another."""


def spoilt(seeds: Sequence[bytes], number: int) -> bytes:
    """Return one of the seeds, changed in one to four places.

    Parameters
    ----------
    seeds : sequence of bytes
        Good contents.
    number : int
        Which change.
    """
    draw = random.Random(number)
    data = bytearray(draw.choice(seeds))
    for _ in range(draw.randint(1, 4)):
        at, end = sorted((draw.randint(0, len(data)), draw.randint(0, len(data))))
        match draw.randrange(7):
            case 0 if data:
                data[at % len(data)] = draw.randrange(256)
            case 1:
                data[at:at] = draw.choice(PIECES)
            case 2:
                del data[at : min(end, at + draw.choice((1, 4, 40, 4000)))]
            case 3:
                data[at:end] = draw.choice(PIECES)
            case 4:
                data[at:at] = data[at : min(end, at + 300)] * draw.choice((1, 2, 30))
            case 5:
                other = draw.choice(seeds)
                data[at:] = other[draw.randint(0, len(other)) :]
            case _:
                del data[at:]
    return bytes(data)
