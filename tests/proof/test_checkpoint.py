"""Signed heads: written, read back, and any change found."""

import pytest

from clampwright.errors import BadFile, Refused
from clampwright.proof.checkpoint import Head, check_origin, origin_for, read_checkpoint
from clampwright.proof.keys import SigningKey
from clampwright.proof.merkle import EMPTY_ROOT, leaf_hash

KEY = SigningKey.from_seed(bytes(range(32)))
HEAD = Head("yard.example/log", 17, leaf_hash(b"x"))
TEXT = HEAD.sign(KEY)


def test_there_and_back() -> None:
    read = read_checkpoint(TEXT)
    assert read.head == HEAD
    assert read.signed_by(KEY.public)
    assert not read.signed_by(SigningKey.new().public)
    assert TEXT.startswith("yard.example/log\n17\n")
    assert TEXT.split("\n")[4].startswith("— yard.example/log ")


def test_the_empty_log_has_a_checkpoint_too() -> None:
    read = read_checkpoint(Head("yard", 0, EMPTY_ROOT).sign(KEY))
    assert read.head.size == 0
    assert read.signed_by(KEY.public)


def test_every_change_of_one_character_is_found() -> None:
    for at, old in enumerate(TEXT):
        for new in "A1\n +—":
            if new == old:
                continue
            try:
                read = read_checkpoint(TEXT[:at] + new + TEXT[at + 1 :])
            except BadFile:
                continue
            assert not read.signed_by(KEY.public), (at, old, new)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "three lines"),
        (TEXT + TEXT.split("\n")[4] + "\n", "three lines"),
        (TEXT.replace("\n\n", "\nmore\n\n"), "three lines"),
        (TEXT[:-1], "three lines"),
        (TEXT + "x" * 3000, "three lines"),
        (TEXT.replace("\n17\n", "\n017\n"), "'017' is not a number"),
        (TEXT.replace("\n17\n", "\n-1\n"), "'-1' is not a number"),
        (TEXT.replace("\n17\n", "\n１\n"), "is not a number"),
        (TEXT.replace("yard.example/log\n", "yard log\n", 1), "cannot name a log"),
        (TEXT.replace("— yard.example/log", "- yard.example/log"), "does not name"),
        (TEXT.replace("— yard.example/log", "— barn.example/log"), "does not name"),
        (TEXT.replace(TEXT.split("\n")[2], "AAAA"), "'AAAA' is not a root hash"),
        (TEXT[:-6] + "\n", "does not hold an Ed25519 signature"),
    ],
)
def test_other_texts_are_refused(text: str, part: str) -> None:
    with pytest.raises(BadFile) as caught:
        read_checkpoint(text, "slip.txt")
    assert part in str(caught.value)
    assert str(caught.value).startswith("slip.txt: ")


@pytest.mark.parametrize("origin", ["", "two words", "a+b", "a\nb", "a\u00a0b", "x" * 121, "a\x00"])
def test_names_that_cannot_stand_in_a_signature_line(origin: str) -> None:
    with pytest.raises(Refused, match="cannot name a log"):
        check_origin(origin)
    with pytest.raises(Refused, match="cannot name a log"):
        Head(origin, 0, EMPTY_ROOT).sign(KEY)


@pytest.mark.parametrize("workshop", ["Werft Süd & Söhne", "工場", "  ", "x" * 300, "+ +"])
def test_every_workshop_gets_a_name_that_can(workshop: str) -> None:
    origin = origin_for(workshop, KEY.public)
    check_origin(origin)
    assert origin != origin_for(workshop, SigningKey.new().public)
