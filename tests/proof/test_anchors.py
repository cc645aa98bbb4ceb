"""A head held against what was kept of its log elsewhere: each thing that can be told of it."""

import json
from collections.abc import Sequence

import pytest
from small_log import KEY, OTHER, Log

from clampwright.errors import BadFile
from clampwright.proof.anchors import Anchor, compare, read_anchor, read_kept
from clampwright.proof.checkpoint import Head, read_checkpoint
from clampwright.proof.keys import PublicKey, SigningKey
from clampwright.proof.merkle import EMPTY_ROOT
from clampwright.proof.witness import countersign

NEIGHBOUR = SigningKey.from_seed(bytes(range(3, 35)))
LOG = Log()
LOG.seal("wheel")
RECORD = LOG.record("wheel")
SIZE = 15
NOTE = LOG.note()
HEAD = read_checkpoint(NOTE).head


def kept(text: str, name: str = "kept.txt") -> Anchor:
    return read_anchor(text.encode(), name)


def told(
    *anchors: Anchor, head: Head = HEAD, keys: Sequence[PublicKey] = ()
) -> tuple[list[str], list[str]]:
    found = compare(head, anchors, keys)
    return [str(one) for one in found.findings], [str(one) for one in found.notes]


# What can be kept.


@pytest.mark.parametrize(
    "data",
    [
        NOTE.encode(),
        NOTE.rstrip("\n").encode(),
        NOTE.encode() + b"\n\n",
        NOTE.replace("\n", "\r\n").encode(),
        RECORD,
        b'{ "checkpoint" : "' + NOTE.replace("\n", "\\n").encode() + b'" }',
    ],
    ids=["as it is", "cut end", "more lines", "other ends of lines", "record", "saved anew"],
)
def test_a_head_is_read_from_whatever_holds_it(data: bytes) -> None:
    anchor = read_anchor(data, "kept.txt")
    assert (anchor.name, anchor.head, anchor.bridge) == ("kept.txt", HEAD, None)
    assert read_kept(data, "kept.txt") == anchor


def test_a_bridge_is_read_with_the_head_it_leads_to() -> None:
    anchor = kept(LOG.bridge(6), "bridge.txt")
    assert anchor.bridge is not None
    assert (anchor.name, anchor.head, anchor.bridge.old) == ("bridge.txt", HEAD, 6)
    assert anchor.note == anchor.bridge.note


@pytest.mark.parametrize(
    ("data", "part"),
    [
        (b"{}", r"^kept\.txt holds no signed head$"),
        (b'{"checkpoint":7}', r"^kept\.txt holds no signed head$"),
        (b'{"checkpoint":"x"}', r"^kept\.txt: a signed head has three lines"),
        (b"{", r"^kept\.txt: line 1, column 2: this is not JSON"),
        (b"x", r"^kept\.txt: a signed head has three lines"),
        (b"\n" + NOTE.encode(), r"^kept\.txt: "),
        (NOTE.rstrip("\n").encode() + b" \n", r"^kept\.txt: "),
        (NOTE.rstrip("\n").encode() + b"X\n", r"^kept\.txt: "),
        (b"old 6\n", r"^kept\.txt is not a proof between two heads"),
        (b"\xff", r"^kept\.txt"),
        (NOTE.replace("\n", "\n\n").encode(), r"^kept\.txt: "),
        (b"0\x00", r"^kept\.txt is cut off, damaged or no answer of a time-stamp authority$"),
    ],
)
def test_what_holds_no_head_is_told_with_its_name(data: bytes, part: str) -> None:
    with pytest.raises(BadFile, match=part) as caught:
        read_kept(data, "kept.txt")
    assert caught.value.file == "kept.txt"


def test_a_record_that_was_kept_may_be_larger_than_an_entry() -> None:
    data = json.dumps({"checkpoint": NOTE, "entries": "x" * 1_000_001}).encode()
    assert read_anchor(data, "large.json").head == HEAD


# Against one head.


def same(count: int, name: str = "kept.txt") -> str:
    return (
        f"{name}: the same log; its first {count} entries are as they were when that head was kept."
    )


def another_way(count: int) -> str:
    return (
        f"kept.txt: the log went another way. The head kept there covers {count} entries and does "
        "not belong to the log of this record: it was changed, cut off or written anew."
    )


def test_the_same_head_is_the_same_log() -> None:
    assert told(kept(NOTE)) == ([], [same(SIZE)])


def test_of_the_same_size_with_another_root_it_went_another_way() -> None:
    other = Head(LOG.origin, SIZE, bytes(32)).sign(KEY)
    assert told(kept(other)) == ([another_way(SIZE)], [])


def test_another_log_is_told_by_its_name() -> None:
    other = Head("barn", SIZE, HEAD.root).sign(KEY)
    assert told(kept(other)) == (
        [f"kept.txt is of another log, barn; the record is of {LOG.origin}."],
        [],
    )


def test_the_empty_log_needs_no_bridge() -> None:
    assert told(kept(LOG.note(0))) == ([], [same(0)])
    odd = Head(LOG.origin, 0, bytes(32)).sign(KEY)
    assert told(kept(odd)) == ([another_way(0)], [])
    empty = Head(LOG.origin, 0, EMPTY_ROOT)
    assert told(kept(NOTE), head=empty) == ([], [same(0)])


@pytest.mark.parametrize(
    ("own", "there"), [(SIZE, 1), (SIZE, 6), (SIZE, 14), (6, SIZE), (14, SIZE)]
)
def test_between_two_heads_a_bridge_is_needed_and_enough(own: int, there: int) -> None:
    head = read_checkpoint(LOG.note(own)).head
    smaller, larger = sorted((own, there))
    asked = (
        f"kept.txt: not compared. It covers {there} entries, the record's head {own}; ask the "
        "workshop for the proof between them (clampwright head FOLDER --since "
        f"{smaller} --size {larger}) and give it too."
    )
    assert told(kept(LOG.note(there)), head=head) == ([], [asked])
    bridge = kept(LOG.bridge(smaller), "bridge.txt")
    assert told(kept(LOG.note(there)), bridge, head=head) == (
        [],
        [same(smaller), same(min(own, SIZE), "bridge.txt")],
    )


def test_a_bridge_that_does_not_join_the_head_that_was_kept_shows_another_way() -> None:
    odd = Head(LOG.origin, 6, bytes(32)).sign(KEY)
    findings, notes = told(kept(odd), kept(LOG.bridge(6), "bridge.txt"))
    assert (findings, notes) == ([another_way(6)], [same(SIZE, "bridge.txt")])


def test_the_bridge_that_fits_is_looked_for_among_all() -> None:
    longer = Log()
    longer.lines = [*LOG.lines]
    longer.add("note", {})
    bridges = [
        kept(LOG.bridge(5), "five"),
        kept(longer.bridge(6), "longer"),
        kept(LOG.bridge(6), "six"),
    ]
    assert "not compared" in told(kept(LOG.note(6)), *bridges[:2])[1][0]
    assert told(kept(LOG.note(6)), *bridges)[1][0] == same(6)


# Who signed it.

STRANGE = (
    "kept.txt: its signature is of another key than those of this record; it is worth what the "
    "place is worth where it was kept."
)


def test_another_key_than_those_of_the_log_is_told() -> None:
    anchor = kept(LOG.note(key=OTHER))
    assert told(anchor, keys=[KEY.public]) == ([], [same(SIZE), STRANGE])
    assert told(anchor, keys=[KEY.public, OTHER.public]) == ([], [same(SIZE)])
    assert told(anchor) == ([], [same(SIZE)])


def witnessed(time: int = 1_700_000_000, name: str = "neighbour") -> Anchor:
    return kept(NOTE + countersign(HEAD, name, NEIGHBOUR, time).line)


@pytest.mark.parametrize(
    ("witnesses", "finding", "note"),
    [
        ([], None, "it bears a line of neighbour, whose key was not given (--witness)."),
        (
            [("other", NEIGHBOUR.public)],
            None,
            "it bears a line of neighbour, whose key was not given (--witness).",
        ),
        ([("neighbour", KEY.public)], "the line of neighbour was not made with its key.", None),
        (
            [("neighbour", KEY.public), ("neighbour", NEIGHBOUR.public)],
            None,
            "countersigned by neighbour at 2023-11-14T22:13:20+00:00.",
        ),
    ],
)
def test_the_line_of_a_witness(
    witnesses: list[tuple[str, PublicKey]], finding: str | None, note: str | None
) -> None:
    found = compare(HEAD, [witnessed()], (), witnesses)
    assert [str(one) for one in found.findings] == ([f"kept.txt: {finding}"] if finding else [])
    assert [str(one) for one in found.notes[1:]] == ([f"kept.txt: {note}"] if note else [])


@pytest.mark.parametrize(
    ("time", "said"),
    [(0, "1970-01-01T00:00:00+00:00"), (2**63, str(2**63)), (10**12, str(10**12))],
)
def test_a_time_that_no_calendar_has_is_told_as_it_is(time: int, said: str) -> None:
    found = compare(HEAD, [witnessed(time)], (), [("neighbour", NEIGHBOUR.public)])
    assert str(found.notes[1]) == f"kept.txt: countersigned by neighbour at {said}."
