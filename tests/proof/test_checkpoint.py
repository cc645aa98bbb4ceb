"""Signed heads: written, read back, and any change found."""

import pytest

from clampwright.errors import BadFile, Refused
from clampwright.proof.checkpoint import (
    MAX_CHARACTERS,
    MAX_ORIGIN,
    Checkpoint,
    Head,
    check_origin,
    origin_for,
    read_checkpoint,
)
from clampwright.proof.keys import PublicKey, SigningKey
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
        (TEXT.replace("\n\n", "\nmore\n"), "three lines"),
        (TEXT + "more", "three lines"),
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


def test_key_and_signature_must_both_fit() -> None:
    read, other = read_checkpoint(TEXT), read_checkpoint(HEAD.sign(SigningKey.new()))
    assert (len(read.key_id), len(read.signature)) == (4, 64)
    assert read.text == TEXT
    assert not Checkpoint(HEAD, read.key_id, other.signature).signed_by(KEY.public)
    assert not Checkpoint(HEAD, other.key_id, read.signature).signed_by(KEY.public)
    elsewhere = Head("barn.example/log", HEAD.size, HEAD.root)
    assert not Checkpoint(elsewhere, read.key_id, read.signature).signed_by(KEY.public)


def test_the_limits_themselves_are_inside() -> None:
    check_origin("x" * MAX_ORIGIN)
    largest = Head("x" * MAX_ORIGIN, 10**16 - 1, EMPTY_ROOT)
    assert read_checkpoint(largest.sign(KEY)).head == largest
    with pytest.raises(BadFile, match="'10000000000000000' is not a number"):
        read_checkpoint(Head("x", 10**16, EMPTY_ROOT).sign(KEY))
    with pytest.raises(BadFile, match=r"^checkpoint: .* cannot name a log: 1 to 120 characters"):
        read_checkpoint(TEXT.replace("yard.example/log", "x" * (MAX_ORIGIN + 1)))
    assert len(largest.sign(KEY)) < MAX_CHARACTERS


def test_a_longer_text_is_not_even_read() -> None:
    def padded(length: int) -> str:
        return f"{'x' * (length - len(TEXT))}{TEXT}"

    with pytest.raises(BadFile, match="cannot name a log"):
        read_checkpoint(padded(MAX_CHARACTERS))
    with pytest.raises(BadFile, match="three lines"):
        read_checkpoint(padded(MAX_CHARACTERS + 1))


def test_a_refusal_names_the_file_and_only_the_beginning_of_a_long_name() -> None:
    with pytest.raises(BadFile) as caught:
        read_checkpoint("x", "slip.txt")
    assert caught.value.file == "slip.txt"
    with pytest.raises(Refused) as refused:
        check_origin("y" * 500)
    assert "y" * MAX_ORIGIN in str(refused.value)
    assert "y" * (MAX_ORIGIN + 1) not in str(refused.value)


@pytest.mark.parametrize(
    ("workshop", "origin"),
    [
        ("Boat & Trailer Yard", "boat-trailer-yard"),
        ("Werft Süd  Söhne!", "werft-sud-sohne"),
        ("工場", "workshop"),
        ("", "workshop"),
        ("x" * 300, "x" * 80),
        ("x" * 79 + " y", "x" * 79),
        (" - X - ", "x"),
        ("!" + "x" * 300 + "!", "x" * 80),
    ],
)
def test_the_name_of_a_log_is_made_of_the_workshops_and_its_key(workshop: str, origin: str) -> None:
    assert origin_for(workshop, PublicKey(bytes(32))) == f"{origin}.66687aad"
