"""The few steps through DER (ITU-T X.690) that time stamps need beside their library.

The library reads and verifies; here only a request is read back, and the certificates of an answer
are put into the order DER asks for. Lengths are definite, tags of one byte: all that RFC 3161 has.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

INTEGER, OCTETS, SEQUENCE = 0x02, 0x04, 0x30
CONTEXT_0 = 0xA0
_LONG = 0x80
_MOST_LENGTH_BYTES = 4


class Item(NamedTuple):
    """One value inside DER.

    Parameters
    ----------
    tag : int
    start, body, end : int
        Where it begins, where its content begins, and where it ends.
    """

    tag: int
    start: int
    body: int
    end: int


def item_at(data: bytes, at: int, end: int) -> Item:
    """Return the value that begins at a place.

    Parameters
    ----------
    data : bytes
    at, end : int
        Where it begins, and before which it must end.

    Returns
    -------
    Item

    Raises
    ------
    ValueError
        When it does not fit in there.
    """
    if at + 2 > end:
        raise ValueError("it ends in the middle of a value")
    length, body = data[at + 1], at + 2
    if length >= _LONG:
        count = length - _LONG
        if not 1 <= count <= _MOST_LENGTH_BYTES or body + count > end:
            raise ValueError("a length cannot be read")
        length = int.from_bytes(data[body : body + count], "big")
        body += count
    if body + length > end:
        raise ValueError("it ends in the middle of a value")
    return Item(data[at], at, body, body + length)


def items(data: bytes, start: int, end: int) -> Iterator[Item]:
    """Yield the values that stand one after another.

    Parameters
    ----------
    data : bytes
    start, end : int

    Yields
    ------
    Item
    """
    while start < end:
        found = item_at(data, start, end)
        yield found
        start = found.end


def inside(data: bytes, item: Item, tag: int) -> list[Item]:
    """Return what stands in a value that must be of a kind.

    Parameters
    ----------
    data : bytes
    item : Item
    tag : int

    Returns
    -------
    list of Item

    Raises
    ------
    ValueError
        When it is of another kind.
    """
    if item.tag != tag:
        raise ValueError("another value was expected")
    return list(items(data, item.body, item.end))


def with_sorted_certificates(data: bytes) -> bytes:
    """Return a time-stamp answer with its certificates in the order of DER.

    Many authorities write them in the order of the chain; X.690, 11.6 asks for the order of their
    bytes, and a strict reader refuses any other. No signature covers that order (RFC 5652, 5.4).

    Parameters
    ----------
    data : bytes
        TimeStampResp (RFC 3161, 2.4.2).

    Returns
    -------
    bytes
        As it was, where it holds no token or no certificates.

    Raises
    ------
    ValueError
        When it cannot be read as such.
    """
    answer = inside(data, item_at(data, 0, len(data)), SEQUENCE)
    if len(answer) < 2:
        return data
    content = inside(data, answer[1], SEQUENCE)
    if len(content) < 2:
        return data
    (signed,) = inside(data, content[1], CONTEXT_0)
    for part in inside(data, signed, SEQUENCE):
        if part.tag == CONTEXT_0:
            found = [data[one.start : one.end] for one in items(data, part.body, part.end)]
            return data[: part.body] + b"".join(sorted(found)) + data[part.end :]
    return data
