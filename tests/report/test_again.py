"""A paper held against its data: every changed byte is found, by the pages or the record in it."""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Any, NamedTuple

import pytest

from clampwright.errors import BadFile, Refused
from clampwright.proof.record import verify
from clampwright.report import again
from clampwright.report.paper.material import open_record
from clampwright.report.pdf import record_pdf


class Whole(NamedTuple):
    """A record, its paper, and the recordings drawn on it."""

    record: bytes
    pdf: bytes
    traces: Mapping[str, bytes]


_MADE: list[Whole] = []


@pytest.fixture
def whole(request: pytest.FixtureRequest) -> Whole:
    """A record and its paper, which is made once: each record made anew has ids of its own."""
    if not _MADE:
        clean = request.getfixturevalue("clean")
        record = clean.record()
        _MADE.append(Whole(record, record_pdf(record, clean.traces, language="en"), clean.traces))
    return _MADE[0]


def test_the_record_comes_out_as_it_went_in(whole: Whole) -> None:
    record, pdf, _ = whole
    assert again.attached_record(pdf, "a.pdf") == record


def test_two_attached_files_are_none(whole: Whole) -> None:
    pdf = whole.pdf
    begin = pdf.rindex(b" obj", 0, pdf.index(b"/Type/EmbeddedFile"))
    part = pdf[begin : pdf.index(b"endobj", begin)]
    with pytest.raises(BadFile, match="no record is attached"):
        again.attached_record(pdf + b"\n999 0" + part, "a.pdf")


def where_found(changed: bytes, record: bytes, recordings: Mapping[str, bytes]) -> str:
    """Which check finds a change: of the record attached, of the pages, or the version's name."""
    try:
        attached = again.attached_record(changed, "a.pdf")
        if attached != record:
            assert not verify(attached).ok
            return "record"
        same = again.made_again(changed, "a.pdf", recordings).same
    except (BadFile, Refused):
        return "record"
    assert same is not True
    return "pages" if same is False else "version"


@pytest.mark.parametrize(
    "count", [40, pytest.param(10_000, marks=pytest.mark.soak)], ids=["40", "10000"]
)
def test_single_byte_changes_are_found(
    whole: Whole, monkeypatch: pytest.MonkeyPatch, count: int
) -> None:
    """The same record gives the same paper (a test of its own), so it is opened and made once."""
    record, pdf, traces = whole
    opened = open_record(record)
    monkeypatch.setattr(again, "open_record", lambda _record: opened)
    monkeypatch.setattr(again, "record_pdf", lambda *_a, **_k: pdf)
    random_, found = random.Random(20261130), dict.fromkeys(("record", "pages", "version"), 0)
    for _ in range(count):
        changed = bytearray(pdf)
        changed[random_.randrange(len(pdf))] ^= 1 + random_.randrange(255)
        found[where_found(bytes(changed), record, traces)] += 1
    assert sum(found.values()) == count
    assert found["version"] * 20 < count  # only where the version's own name was hit
    print(f"{count} single bytes of a paper changed: {found}")


@pytest.mark.parametrize(("tag", "stated"), [("de", b"/Lang(de)"), ("de_CH", b"/Lang(de-CH)")])
def test_a_paper_is_made_again_in_the_language_that_stands_in_it(
    clean: Any, tag: str, stated: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The one who checks it may speak another language; the record in it is the same in all."""
    record = clean.record()
    pdf = record_pdf(record, clean.traces, language=tag)
    assert stated in pdf
    assert again.attached_record(pdf, "a.pdf") == record
    monkeypatch.setenv("CLAMPWRIGHT_LANG", "en")
    assert again.made_again(pdf, "a.pdf", clean.traces).same
    assert pdf != record_pdf(record, clean.traces, language="en")
