"""The few steps through DER: lengths in each form, limits, and certificates put into order."""

from itertools import pairwise

import pytest

from clampwright.proof.der import (
    CONTEXT_0,
    INTEGER,
    OCTETS,
    SEQUENCE,
    Item,
    inside,
    item_at,
    items,
    with_sorted_certificates,
)


def value(tag: int, *parts: bytes) -> bytes:
    content = b"".join(parts)
    size = len(content)
    length = bytes([size]) if size < 128 else bytes([0x82]) + size.to_bytes(2, "big")
    return bytes([tag]) + length + content


@pytest.mark.parametrize(
    ("data", "body", "end"),
    [
        (b"\x04\x00", 2, 2),
        (b"\x04\x81\x00", 3, 3),
        (b"\x04\x01x", 2, 3),
        (b"\x04\x7f" + b"x" * 127, 2, 129),
        (b"\x04\x81\x80" + b"x" * 128, 3, 131),
        (b"\x04\x82\x01\x00" + b"x" * 256, 4, 260),
        (b"\x04\x84\x00\x00\x00\x01x", 6, 7),
    ],
)
def test_a_length_in_each_form(data: bytes, body: int, end: int) -> None:
    assert item_at(data, 0, len(data)) == Item(OCTETS, 0, body, end)
    assert item_at(b"??" + data + b"?", 2, len(data) + 3) == Item(OCTETS, 2, body + 2, end + 2)
    with pytest.raises(ValueError, match=r"in the middle of a value|cannot be read"):
        item_at(data + b"more behind it", 0, end - 1)


@pytest.mark.parametrize(
    ("data", "part"),
    [
        (b"", r"^it ends in the middle of a value$"),
        (b"\x04", r"^it ends in the middle of a value$"),
        (b"\x04\x02x", r"^it ends in the middle of a value$"),
        (b"\x04\x80\x00\x00", r"^a length cannot be read$"),
        (b"\x04\x85\x00\x00\x00\x00\x01x", r"^a length cannot be read$"),
        (b"\x04\x82\x01", r"^a length cannot be read$"),
    ],
)
def test_a_value_that_does_not_fit(data: bytes, part: str) -> None:
    with pytest.raises(ValueError, match=part):
        item_at(data, 0, len(data))


def test_values_one_after_another() -> None:
    data = value(SEQUENCE, value(INTEGER, b"\1"), value(OCTETS), value(OCTETS, b"ab"))
    whole = item_at(data, 0, len(data))
    found = inside(data, whole, SEQUENCE)
    assert [(one.tag, data[one.body : one.end]) for one in found] == [
        (INTEGER, b"\1"),
        (OCTETS, b""),
        (OCTETS, b"ab"),
    ]
    assert all(one.end == two.start for one, two in pairwise(found))
    assert list(items(data, 5, 5)) == []
    with pytest.raises(ValueError, match=r"^another value was expected$"):
        inside(data, whole, OCTETS)


STATUS = value(SEQUENCE, value(INTEGER, b"\0"))
KIND = value(0x06, b"*")


def answer(*parts: bytes) -> bytes:
    """An answer whose signed data hold some parts."""
    return value(SEQUENCE, STATUS, value(SEQUENCE, KIND, value(CONTEXT_0, value(SEQUENCE, *parts))))


def test_certificates_are_put_into_the_order_of_their_bytes() -> None:
    small, large = value(SEQUENCE, b"a" * 200), value(SEQUENCE, b"b" * 200)
    version, rest = value(INTEGER, b"\3"), value(0x31, value(OCTETS, b"z"), value(OCTETS, b"a"))
    sorted_ = answer(version, value(CONTEXT_0, small, large), rest)
    assert (
        with_sorted_certificates(answer(version, value(CONTEXT_0, large, small), rest)) == sorted_
    )
    assert with_sorted_certificates(sorted_) == sorted_


@pytest.mark.parametrize(
    "data",
    [
        value(SEQUENCE),
        value(SEQUENCE, STATUS),
        value(SEQUENCE, STATUS, value(SEQUENCE)),
        value(SEQUENCE, STATUS, value(SEQUENCE, KIND)),
        answer(),
        answer(value(INTEGER, b"\3"), value(0x31)),
    ],
)
def test_without_certificates_nothing_is_changed(data: bytes) -> None:
    assert with_sorted_certificates(data) == data


@pytest.mark.parametrize(
    "data",
    [
        value(OCTETS, b"x"),
        value(SEQUENCE, STATUS, value(OCTETS)),
        value(SEQUENCE, STATUS, value(SEQUENCE, KIND, value(OCTETS))),
        value(SEQUENCE, STATUS, value(SEQUENCE, KIND, value(CONTEXT_0, value(OCTETS)))),
        value(SEQUENCE, STATUS, value(SEQUENCE, KIND, value(CONTEXT_0))),
    ],
)
def test_what_is_no_answer(data: bytes) -> None:
    with pytest.raises(ValueError, match=r"expected|unpack"):
        with_sorted_certificates(data)
