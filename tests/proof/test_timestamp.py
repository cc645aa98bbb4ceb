"""Time stamps over a head, made by openssl: what holds, and everything that must not."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.serialization import Encoding
from outside import Authority

from clampwright.errors import BadFile, Refused
from clampwright.proof.anchors import Anchor, compare_stamp, read_anchor, read_kept
from clampwright.proof.checkpoint import Head, read_checkpoint
from clampwright.proof.keys import SigningKey
from clampwright.proof.timestamp import (
    StampRequest,
    TimeStamp,
    read_chain,
    read_stamp,
    read_stamp_request,
    stamp_problem,
    stamp_request,
)
from clampwright.proof.witness import countersign

KEY = SigningKey.from_seed(bytes(range(32)))
NOTE = Head("yard.56475aa7", 7, bytes(32)).sign(KEY)
OTHER = Head("yard.56475aa7", 8, bytes(32)).sign(KEY)


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("outside") / "authority")


@pytest.fixture(scope="module")
def asked() -> StampRequest:
    return stamp_request(NOTE)


@pytest.fixture(scope="module")
def answer(authority: Authority, asked: StampRequest) -> bytes:
    return authority.answer(asked.data)


def problem(answer: bytes, chain: bytes, asked: StampRequest | None = None) -> str:
    return str(stamp_problem(read_stamp(answer, "a.tsr"), read_chain(chain, "c.pem"), asked) or "")


def test_an_answer_holds_and_openssl_agrees(
    authority: Authority, answer: bytes, asked: StampRequest
) -> None:
    stamp = read_stamp(answer, "a.tsr")
    assert problem(answer, authority.root, asked) == ""
    assert authority.says(answer, NOTE.encode())
    assert not authority.says(answer, OTHER.encode())
    assert stamp.over(read_checkpoint(NOTE))
    assert not stamp.over(read_checkpoint(OTHER))
    assert abs(stamp.time - dt.datetime.now(dt.UTC)) < dt.timedelta(minutes=10)
    assert (stamp.accuracy_seconds, stamp.policy) == (1.0, "1.2.3.4.1")
    assert (stamp.name, stamp.signer) == ("a.tsr", "CN=Invented Stamps")
    assert stamp.time.tzinfo is dt.UTC


def test_each_stamp_of_an_authority_has_a_number(authority: Authority, asked: StampRequest) -> None:
    stamp = read_stamp(authority.answer(asked.data), "a.tsr")
    assert int(stamp.serial, 16) == int((authority.folder / "serial").read_text(), 16)


def test_openssl_reads_the_request_as_it_is_meant(
    authority: Authority, asked: StampRequest
) -> None:
    (authority.folder / "q.tsq").write_bytes(asked.data)
    said = authority.run("-query", "-in", authority.folder / "q.tsq", "-text").stdout.decode()
    assert "Hash Algorithm: sha256" in said
    assert "Certificate required: yes" in said
    assert re.search(rf"Nonce: 0x0*{asked.nonce:X}\b", said)
    assert read_stamp_request(asked.data, "q") == asked


def test_lines_of_witnesses_are_not_stamped() -> None:
    witness = SigningKey.new()
    head = read_checkpoint(NOTE).head
    signed = NOTE + countersign(head, "neighbour", witness, 1).line
    assert stamp_request(signed).imprint == stamp_request(NOTE).imprint


def test_an_answer_to_another_request_is_not_taken(authority: Authority, answer: bytes) -> None:
    again, other = stamp_request(NOTE), stamp_request(OTHER)
    assert problem(answer, authority.root, again) == (
        "a.tsr: the time stamp does not repeat the number in the request; it is an answer to "
        "another one, or an old one"
    )
    assert problem(answer, authority.root, other) == (
        "a.tsr: the time stamp is over something else than was asked"
    )


def test_a_foreign_chain_does_not_hold(tmp_path: Path, answer: bytes) -> None:
    foreign = Authority(tmp_path / "foreign")
    assert problem(answer, foreign.root) == (
        "a.tsr: the time stamp does not hold by the certificates given: unable to get local issuer "
        "certificate"
    )
    with pytest.raises(Refused, match="shows nothing"):
        stamp_problem(read_stamp(answer, "a"), ())


def test_a_certificate_that_had_ended_does_not_hold(tmp_path: Path, asked: StampRequest) -> None:
    ended = Authority(tmp_path / "ended", ended=True)
    late = ended.answer(asked.data)
    assert "certificate has expired" in problem(late, ended.root, asked)
    assert not ended.says(late, NOTE.encode())


def test_without_the_certificate_between_it_does_not_hold(
    authority: Authority, asked: StampRequest
) -> None:
    config = authority.folder / "ts.cnf"
    whole = config.read_text()
    config.write_text(re.sub("certs = .*\n", "", whole))
    bare = authority.answer(asked.data)
    config.write_text(whole)
    assert "unable to get local issuer" in problem(bare, authority.root, asked)
    both = authority.root + (authority.folder / "between.pem").read_bytes()
    assert problem(bare, both, asked) == ""


@pytest.mark.parametrize(
    ("accuracy", "seconds"),
    [("", None), ("secs:2, millisecs:250, microsecs:125", 2.250125), ("millisecs:500", 0.5)],
)
def test_how_far_the_clock_may_be_off_is_read_where_it_is_said(
    authority: Authority, asked: StampRequest, accuracy: str, seconds: float | None
) -> None:
    config = authority.folder / "ts.cnf"
    whole = config.read_text()
    line = f"accuracy = {accuracy}\n" if accuracy else ""
    config.write_text(whole.replace("accuracy = secs:1\n", line))
    said = authority.answer(asked.data)
    config.write_text(whole)
    assert read_stamp(said, "a.tsr").accuracy_seconds == pytest.approx(seconds)


@pytest.mark.parametrize("size", [0, 1, 2, 40, -1000, -100, -1])
def test_a_truncated_answer_is_told(answer: bytes, size: int) -> None:
    cut = answer[:size] if size >= 0 else answer[: len(answer) + size]
    with pytest.raises(BadFile, match=r"a\.tsr is cut off") as caught:
        read_stamp(cut, "a.tsr")
    assert caught.value.file == "a.tsr"


def test_more_than_an_answer_is_told(answer: bytes) -> None:
    with pytest.raises(BadFile, match="is cut off, damaged or no answer"):
        read_stamp(answer + b"\0", "a.tsr")


def changed_anywhere(answer: bytes, root: bytes, asked: StampRequest, places: range) -> int:
    """Change one byte at each place; return how many went unseen although content changed."""
    sound, unseen = read_stamp(answer, "a"), 0
    for place in places:
        other = bytearray(answer)
        other[place] ^= 1 + place % 255
        try:
            stamp = read_stamp(bytes(other), "a")
        except BadFile:
            continue
        if stamp_problem(stamp, read_chain(root, "c"), asked) is None:
            unseen += content(stamp) != content(sound)
    return unseen


def content(stamp: TimeStamp) -> tuple[object, ...]:
    return (stamp.imprint, stamp.time, stamp.nonce, stamp.policy, stamp.serial)


def test_a_changed_byte_never_changes_what_holds(
    authority: Authority, answer: bytes, asked: StampRequest
) -> None:
    assert changed_anywhere(answer, authority.root, asked, range(len(answer))) == 0


def test_an_authority_that_says_no(authority: Authority) -> None:
    odd = stamp_request(NOTE).data.replace(
        bytes.fromhex("608648016503040201"), bytes.fromhex("608648016503040204")
    )  # another hash, which this authority does not take
    said = authority.answer(odd)
    with pytest.raises(BadFile) as caught:
        read_stamp(said, "no.tsr")
    assert str(caught.value) == (
        "no.tsr: the authority gave no time stamp (Message digest algorithm is not supported.)"
    )
    assert caught.value.file == "no.tsr"


@pytest.mark.parametrize(
    ("reader", "data"),
    [
        (read_stamp_request, b""),
        (read_stamp_request, b"0\x03\x02\x01\x01"),
        (read_stamp_request, b"\x30\x84\xff\xff\xff\xff"),
        (read_chain, b"no certificate"),
        (read_chain, b"0\x01"),
    ],
)
def test_other_files_are_told(reader: Callable[[bytes, str], object], data: bytes) -> None:
    with pytest.raises(BadFile, match=r"other\.txt") as caught:
        reader(data, "other.txt")
    assert caught.value.file == "other.txt"


def value(tag: int, content: bytes) -> bytes:
    return bytes([tag, len(content)]) + content


def asking(*, tag: int = 4, size: int = 32, nonces: int = 1, more: bytes = b"") -> bytes:
    """A request in DER, a little odd where asked for."""
    algorithm = value(0x30, value(6, bytes.fromhex("608648016503040201")))
    imprint = value(0x30, algorithm + value(tag, b"h" * size))
    return value(0x30, value(2, b"\1") + imprint + value(2, b"\1\2") * nonces) + more


def test_a_request_is_read_back_to_its_end() -> None:
    asked = read_stamp_request(asking(), "q")
    assert (asked.data, asked.imprint, asked.nonce) == (asking(), b"h" * 32, 258)
    for odd in (
        asking(tag=5),
        asking(size=20),
        asking(size=33),
        asking(nonces=0),
        asking(nonces=2),
        asking(more=b"\0"),
    ):
        with pytest.raises(BadFile) as caught:
            read_stamp_request(odd, "q")
        assert str(caught.value) == "q is not a time-stamp request of this program"
        assert caught.value.file == "q"


def test_one_certificate_may_be_given_in_der(authority: Authority) -> None:
    (root,) = read_chain(authority.root, "root.pem")
    assert read_chain(root.public_bytes(Encoding.DER), "root.der") == (root,)
    with pytest.raises(BadFile, match=r"^root\.pem"):
        read_chain(bytes(1_000_001), "root.pem")


def told(
    stamp: TimeStamp, note: str, anchors: list[Anchor], chain: bytes
) -> tuple[list[str], list[str]]:
    trusted = read_chain(chain, "c") if chain else ()
    found = compare_stamp(stamp, read_checkpoint(note), anchors, trusted)
    return [str(one) for one in found.findings], [str(one) for one in found.notes]


def test_what_a_record_is_told_of_a_stamp(authority: Authority, answer: bytes) -> None:
    stamp = read_kept(answer, "a.tsr")
    assert isinstance(stamp, TimeStamp)
    findings, notes = told(stamp, NOTE, [], authority.root)
    assert not findings
    assert "over the head of this record" in notes[0]
    assert "CN=Invented Stamps saw its hash at" in notes[1]
    findings, notes = told(stamp, NOTE, [], b"")
    assert not findings
    assert "its signature was not checked" in notes[1]
    findings, notes = told(stamp, OTHER, [read_anchor(NOTE.encode(), "kept.txt")], authority.root)
    assert not findings
    assert "over the head in kept.txt" in notes[0]
    findings, _ = told(stamp, OTHER, [], authority.root)
    assert "over none of the heads given" in findings[0]
