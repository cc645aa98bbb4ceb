"""Keys: written, read back, named, and refused when they are none."""

from hashlib import sha256

import pytest
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec

from clampwright.errors import BadFile, Missing, Refused
from clampwright.proof.keys import (
    PublicKey,
    SigningKey,
    fingerprint_named,
    from_base64,
    public_key_from,
)
from clampwright.proof.passphrase import MAX_LANES, MAX_MEMORY, MAX_PASSES, Stretch, stretch_in

KEY = SigningKey.from_seed(bytes(range(32)))


@pytest.mark.parametrize("pass_phrase", [None, "drei Schlüssel, ein Schloss"])
def test_pem_there_and_back(pass_phrase: str | None) -> None:
    pem = KEY.to_pem(pass_phrase)
    assert (b"ENCRYPTED" in pem) == (pass_phrase is not None)
    again = SigningKey.from_pem(pem, "workshop.key", pass_phrase)
    assert again.public == KEY.public
    assert again.sign(b"x") == KEY.sign(b"x")


def test_a_plain_key_needs_no_pass_phrase_even_if_one_is_given() -> None:
    assert SigningKey.from_pem(KEY.to_pem(), "workshop.key", "any").public == KEY.public


def test_locked_key_without_or_with_the_wrong_pass_phrase() -> None:
    pem = KEY.to_pem("right")
    with pytest.raises(Missing, match=r"workshop\.key is locked with a pass phrase"):
        SigningKey.from_pem(pem, "workshop.key")
    with pytest.raises(Refused, match=r"does not open workshop\.key"):
        SigningKey.from_pem(pem, "workshop.key", "wrong")


def test_other_files_are_no_key() -> None:
    other = ec.generate_private_key(ec.SECP256R1()).private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    for data in (b"", b"torque list", other, KEY.to_pem()[:60]):
        with pytest.raises(
            BadFile, match=r"workshop\.key does not hold an Ed25519 private key"
        ) as caught:
            SigningKey.from_pem(data, "workshop.key")
        assert caught.value.file == "workshop.key"
    with pytest.raises(BadFile, match=r"^workshop\.key"):
        SigningKey.from_pem(bytes(100_001), "workshop.key")


def test_of_two_keys_in_a_file_the_first_is_taken() -> None:
    both = KEY.to_pem() + SigningKey.new().to_pem()
    assert SigningKey.from_pem(both, "workshop.key").public == KEY.public


def test_signatures() -> None:
    signature = KEY.sign(b"head")
    assert KEY.public.signed(signature, b"head")
    assert not KEY.public.signed(signature, b"hair")
    assert not KEY.public.signed(signature[:-1], b"head")
    assert not SigningKey.new().public.signed(signature, b"head")


def test_all_names_of_a_key_lead_to_its_fingerprint() -> None:
    public = KEY.public
    digits = public.fingerprint.replace(" ", "")
    assert len(digits) == 64
    for text in (
        public.fingerprint,
        digits,
        digits.upper(),
        f"  {public.fingerprint}\n",
        public.text,
        public.line("yard.example/log"),
    ):
        assert fingerprint_named(text) == public.fingerprint


def test_names_that_are_no_key() -> None:
    line = KEY.public.line("yard")
    for text in ("", "ab cd", "AAAA", line.replace("yard+", "barn+"), line[:-1], "x" * 64):
        with pytest.raises(Refused, match="is not a key: give its fingerprint"):
            fingerprint_named(text)
    with pytest.raises(Refused) as caught:
        public_key_from(f" {'x' * 100} ")
    assert str(caught.value).startswith(f"'{'x' * 80}' is not a key: give its fingerprint")
    with pytest.raises(Refused, match="a public key has 32 bytes, not 31"):
        PublicKey(bytes(31))


def test_key_line_there_and_back() -> None:
    # The form of C2SP signed-note.
    key_id = sha256(b"yard\n\x01" + KEY.public.raw).digest()[:4]
    assert KEY.public.key_id("yard") == key_id
    assert KEY.public.line("yard").startswith(f"yard+{key_id.hex()}+AQ")
    assert public_key_from(KEY.public.line("yard.example/log")) == KEY.public


def test_base64_is_taken_in_one_spelling_only() -> None:
    assert from_base64("AAE=") == b"\x00\x01"
    for text in ("AAF=", "AAE", "AAE=\n", " AAE=", "AA_E", "ä", "AAE=AAE="):
        assert from_base64(text) is None, text


def test_the_first_example_of_the_standard() -> None:
    # RFC 8032, section 7.1, test 1, from memory.
    key = SigningKey.from_seed(
        bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
    )
    assert key.public.raw.hex() == (
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
    )
    assert key.seed.hex().startswith("9d61b19d")
    assert (
        key.sign(b"").hex().startswith("e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065")
    )


P = 2**255 - 19
EVERYTHING = (1).to_bytes(32, "little") + bytes(32)
"""A signature that a key of order 1 or 2 bears over every message, or over every second."""


def times_signed(number: int) -> int:
    """Count over how many messages of 64 a key, written as a number, would have signed."""
    key = PublicKey(number.to_bytes(32, "little"))
    return sum(key.signed(EVERYTHING, bytes([message])) for message in range(64))


def test_a_key_written_in_a_second_way_signs_nothing() -> None:
    """RFC 8032, section 5.1.3; the library takes the second writings too."""
    assert times_signed(1) == 64
    assert 0 < times_signed(P - 1) < 64
    sign = 1 << 255
    assert [times_signed(number) for number in (1 + sign, P - 1 + sign, P, P + 1)] == [0] * 4


SALT = Stretch(bytes(16)).line.partition(b"salt=")[2]


def asked(memory: int, passes: int, lanes: int) -> bytes:
    return b"Argon2id m=%d t=%d p=%d salt=" % (memory, passes, lanes) + SALT


@pytest.mark.parametrize(
    ("memory", "passes", "lanes"),
    [(8, 1, 1), (65_536, 3, 4), (MAX_MEMORY, MAX_PASSES, MAX_LANES), (8 * MAX_LANES, 1, MAX_LANES)],
)
def test_how_a_pass_phrase_is_stretched_is_read_back(memory: int, passes: int, lanes: int) -> None:
    stretch = Stretch(bytes(16), memory, passes, lanes)
    assert stretch.line == asked(memory, passes, lanes)
    assert stretch_in(stretch.line + b"-----BEGIN") == stretch
    assert stretch_in(stretch.line.replace(b"\n", b"\r\n")) == stretch


@pytest.mark.parametrize(
    ("memory", "passes", "lanes"),
    [
        (7, 1, 1),
        (8 * MAX_LANES - 1, 1, MAX_LANES),
        (MAX_MEMORY + 1, 1, 1),
        (8, 0, 1),
        (8, MAX_PASSES + 1, 1),
        (8, 1, 0),
        (MAX_MEMORY, 1, MAX_LANES + 1),
    ],
)
def test_a_file_cannot_ask_for_more_than_a_machine_has(
    memory: int, passes: int, lanes: int
) -> None:
    with pytest.raises(ValueError, match=r"^a stretch outside its limits$"):
        stretch_in(asked(memory, passes, lanes))


def test_a_salt_is_sixteen_bytes_and_the_line_stands_first() -> None:
    line = asked(8, 1, 1)
    for salt in (b"A" * 24, b"A" * 23 + b"=", b"=" * 24):
        with pytest.raises(ValueError, match=r"^a stretch outside its limits$"):
            stretch_in(line.replace(SALT, salt + b"\n"))
    assert stretch_in(b"\n" + line) is None
    assert stretch_in(KEY.to_pem()) is None


def test_a_key_locked_by_another_program_is_opened_by_the_phrase_itself() -> None:
    phrase = "drei Schlüssel"
    locked = KEY._private.private_bytes(  # noqa: SLF001 - as another program would write it
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.BestAvailableEncryption(phrase.encode()),
    )
    assert SigningKey.from_pem(locked, "workshop.key", phrase).seed == KEY.seed
    spoilt = asked(8, 0, 1) + locked
    with pytest.raises(Refused, match=r"does not open workshop\.key, or the file is damaged"):
        SigningKey.from_pem(spoilt, "workshop.key", phrase)
