"""What is taken out of a paper, and what making it again can tell: of papers of a few lines."""

import zlib
from collections.abc import Callable
from types import SimpleNamespace

import pytest

from clampwright import __version__
from clampwright.errors import BadFile
from clampwright.report import again
from clampwright.report.again import Again, attached_record, made_again

RECORD = b'{"invented":"record"}'
PACKED = zlib.compress(RECORD)
LENGTH = f"/Length {len(PACKED)}"


def attached(
    packed: bytes = PACKED, length: str | None = None, line: bytes = b"\n", more: str = ""
) -> bytes:
    about = f"<</Type/EmbeddedFile{more}{f'/Length {len(packed)}' if length is None else length}>>"
    return b"7 0 obj\n" + about.encode() + b"\nstream" + line + packed + b"\nendstream\nendobj\n"


def paper(
    *parts: bytes, by: str | None = __version__, language: str | None = None, body: bytes = b"pages"
) -> bytes:
    told = b"" if by is None else f"/Keywords (clampwright {by})\n".encode()
    told += b"" if language is None else f"/Lang ({language})\n".encode()
    return again.PDF + b"1.7\n" + body + b"\n" + b"".join(parts or (attached(),)) + told


@pytest.mark.parametrize(
    "pdf",
    [
        paper(),
        paper(attached(line=b"\r\n")),
        paper(attached(more="/Subtype/json")),
        paper(attached(more="x" * (400 - len(LENGTH)), length=LENGTH)),
        paper(attached(PACKED + b"more than is said", length=LENGTH)),
    ],
)
def test_a_record_is_taken_out_of_its_paper(pdf: bytes) -> None:
    assert attached_record(pdf, "a.pdf") == RECORD


def test_an_empty_file_can_be_attached() -> None:
    assert attached_record(paper(attached(zlib.compress(b""))), "a.pdf") == b""


@pytest.mark.parametrize(
    "pdf",
    [
        b"",
        paper(b"no object"),
        paper(attached(), attached()),
        paper(attached(length="")),
        paper(attached(length="/Length no")),
        paper(attached(more="x" * (401 - len(LENGTH)), length=LENGTH)),
    ],
)
def test_without_exactly_one_record_it_is_no_paper(pdf: bytes) -> None:
    with pytest.raises(BadFile) as caught:
        attached_record(pdf, "a.pdf")
    assert str(caught.value) == ("a.pdf is no paper of this program: no record is attached to it")
    assert (caught.value.file, caught.value.expected) == (
        "a.pdf",
        "a PDF with one attached record",
    )


@pytest.mark.parametrize(
    "pdf",
    [
        paper(attached(PACKED[:-5])),
        paper(attached(b"not packed")),
        paper(attached(PACKED, length="/Length 3")),
        paper(attached(b"")),
    ],
)
def test_a_record_that_cannot_be_unpacked_is_damaged(pdf: bytes) -> None:
    with pytest.raises(BadFile) as caught:
        attached_record(pdf, "a.pdf")
    assert str(caught.value) == "a.pdf: the record attached to it is damaged or too large"
    assert caught.value.file == "a.pdf"


def test_what_unpacks_to_more_than_a_record_is_not_unpacked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(again, "MAX_BYTES", len(RECORD))
    assert attached_record(paper(), "a.pdf") == RECORD
    monkeypatch.setattr(again, "MAX_BYTES", len(RECORD) - 1)
    with pytest.raises(BadFile, match="is damaged or too large"):
        attached_record(paper(), "a.pdf")


def test_a_paper_too_large_is_told_by_its_name() -> None:
    with pytest.raises(BadFile, match=r"^a\.pdf"):
        attached_record(bytes(100_000_001), "a.pdf")


Making = Callable[..., Again]


@pytest.fixture
def making(monkeypatch: pytest.MonkeyPatch) -> Making:
    """Make papers again from a record that names two recordings; English ones name no language."""

    def record_pdf(record: bytes, traces: dict[str, bytes], *, language: str) -> bytes:
        assert record == RECORD
        drawn = ",".join(f"{one}={traces[one].decode()}" for one in sorted(traces))
        told = None if language == "en" else language
        return paper(language=told, body=f"pages with {drawn}".encode())

    def opened(record: bytes) -> SimpleNamespace:
        assert record == RECORD
        return SimpleNamespace(state="a state")

    def named(state: str) -> frozenset[str]:
        assert state == "a state"
        return frozenset({"aa", "bb"})

    monkeypatch.setattr(again, "open_record", opened)
    monkeypatch.setattr(again, "named_recordings", named)
    monkeypatch.setattr(again, "record_pdf", record_pdf)
    return lambda pdf, **recordings: made_again(
        pdf, "a.pdf", {name: text.encode() for name, text in recordings.items()}
    )


def drawn(language: str | None = None) -> bytes:
    return paper(language=language, body=b"pages with aa=1,bb=2")


def test_the_same_bytes_are_the_same_paper(making: Making) -> None:
    found = making(drawn(), aa="1", bb="2", cc="3")
    assert (found.same, str(found.say)) == (
        True,
        "a.pdf: made again from its data, the same bytes.",
    )
    assert making(drawn("de-CH"), aa="1", bb="2").same


CHANGED = (
    "a.pdf: its pages are not what its data give: something on them was changed. Go by the record "
    "attached to it, or make the paper again."
)


def test_what_is_no_paper_is_told_by_its_name(making: Making) -> None:
    with pytest.raises(BadFile, match=r"^a\.pdf is no paper of this program"):
        making(b"x")


def test_other_pages_are_told(making: Making) -> None:
    for pdf in (drawn() + b" ", drawn().replace(b"aa=1", b"aa=2")):
        found = making(pdf, aa="1", bb="2")
        assert (found.same, str(found.say)) == (False, CHANGED)


@pytest.mark.parametrize(("at_hand", "missing"), [({}, 2), ({"aa": "1"}, 1), ({"cc": "3"}, 2)])
def test_without_the_recordings_pages_are_not_blamed(
    making: Making, at_hand: dict[str, str], missing: int
) -> None:
    found = making(drawn(), **at_hand)
    assert found.same is None
    assert str(found.say) == (
        f"a.pdf: its pages were not compared, for {missing} recordings of pulls are drawn on them "
        "that are not at hand (--recordings)."
    )


@pytest.mark.parametrize(("by", "said"), [("0.0.1", "0.0.1"), (None, "?")])
def test_a_paper_of_another_version_is_not_compared(
    making: Making, by: str | None, said: str
) -> None:
    found = making(paper(by=by), aa="1", bb="2")
    assert found.same is None
    assert str(found.say) == (
        f"a.pdf: its pages were not compared. It says that version {said} made it, and this is "
        f"{__version__}; only the same version makes the same bytes. What is attached to it was "
        "checked."
    )
