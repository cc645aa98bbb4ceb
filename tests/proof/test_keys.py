"""Keys: written, read back, named, and refused when they are none."""

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
        with pytest.raises(BadFile, match=r"workshop\.key does not hold an Ed25519 private key"):
            SigningKey.from_pem(data, "workshop.key")


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
    with pytest.raises(Refused, match="a public key has 32 bytes, not 31"):
        PublicKey(bytes(31))


def test_key_line_there_and_back() -> None:
    assert public_key_from(KEY.public.line("yard.example/log")) == KEY.public


def test_base64_is_taken_in_one_spelling_only() -> None:
    assert from_base64("AAE=") == b"\x00\x01"
    for text in ("AAF=", "AAE", "AAE=\n", " AAE=", "AA_E", "ä", "AAE=AAE="):
        assert from_base64(text) is None, text
