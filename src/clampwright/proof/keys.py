"""Ed25519 keys (RFC 8032): made, written as PEM, read back, named by a fingerprint.

Nothing here touches a file or a database; the functions take and return bytes. The private key is
PKCS #8 in PEM form, with a pass phrase encrypted, without one plain (then only the permissions of
the file protect it).
"""

from __future__ import annotations

import base64
import binascii
import re
from dataclasses import dataclass
from hashlib import sha256

from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric.ed25519 import (
    Ed25519PrivateKey,
    Ed25519PublicKey,
)

from clampwright.errors import BadFile, Missing, Refused
from clampwright.intake import sized
from clampwright.words import words

ED25519 = b"\x01"
"""Type of signature in key names and key ids (C2SP signed-note, Signature types)."""

BEGIN = b"-----BEGIN "
PUBLIC_BYTES = 32
SIGNATURE_BYTES = 64
_P = 2**255 - 19


def to_base64(data: bytes) -> str:
    """Return bytes as standard base64 with padding (RFC 4648, section 4).

    Parameters
    ----------
    data : bytes

    Returns
    -------
    str
    """
    return base64.b64encode(data).decode("ascii")


def from_base64(text: str) -> bytes | None:
    r"""Return the bytes of a base64 text, or None unless it is written in the one right way.

    Parameters
    ----------
    text : str

    Returns
    -------
    bytes or None

    Examples
    --------
    >>> from_base64("AQ=="), from_base64("AR==")
    (b'\x01', None)
    """
    try:
        data = base64.b64decode(text.encode("ascii"), validate=True)
    except (UnicodeEncodeError, binascii.Error):
        return None
    # Spare bits in the last character would let two texts stand for one content.
    return data if to_base64(data) == text else None


@dataclass(frozen=True, slots=True)
class PublicKey:
    """The half of a key that everybody may know.

    Parameters
    ----------
    raw : bytes
        32 bytes (RFC 8032, section 5.1.5).
    """

    raw: bytes

    def __post_init__(self) -> None:
        if len(self.raw) != PUBLIC_BYTES:
            raise Refused(
                words(
                    "a public key has {wanted} bytes, not {size}",
                    wanted=PUBLIC_BYTES,
                    size=len(self.raw),
                )
            )

    @property
    def text(self) -> str:
        """The key as base64."""
        return to_base64(self.raw)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the key as 64 hexadecimal digits in groups of four, for reading aloud."""
        return _grouped(sha256(self.raw).hexdigest())

    def key_id(self, name: str) -> bytes:
        """Return the four bytes that point to this key in a signature line.

        Parameters
        ----------
        name : str
            Name of the key.

        Returns
        -------
        bytes
            First 4 bytes of SHA-256(name || 0x0A || 0x01 || key) (C2SP signed-note).
        """
        return sha256(name.encode("utf-8") + b"\n" + ED25519 + self.raw).digest()[:4]

    def line(self, name: str) -> str:
        """Return the key as one line of text, ``name+id+key``, to hand to others.

        Parameters
        ----------
        name : str

        Returns
        -------
        str
        """
        return f"{name}+{self.key_id(name).hex()}+{to_base64(ED25519 + self.raw)}"

    def signed(self, signature: bytes, data: bytes) -> bool:
        """Say whether a signature over some bytes was made with this key.

        Parameters
        ----------
        signature, data : bytes

        Returns
        -------
        bool
        """
        if not _in_one_writing(self.raw):
            return False
        try:
            Ed25519PublicKey.from_public_bytes(self.raw).verify(signature, data)
        except (InvalidSignature, ValueError):
            return False
        return True


def _in_one_writing(raw: bytes) -> bool:
    """Say whether a key is written as RFC 8032, section 5.1.3, demands: some libraries are lax.

    y lies below p, and where x is 0 (y is 1 or p - 1) the bit of its sign is not set.
    """
    number = int.from_bytes(raw, "little")
    sign, y = divmod(number, 1 << 255)
    return y < _P and not (sign and y in {1, _P - 1})


def fingerprint_named(text: str) -> str:
    """Return the fingerprint of the key somebody names.

    Parameters
    ----------
    text : str
        A fingerprint (64 hexadecimal digits, spaces and case do not matter), the key as base64, or
        a key line.

    Returns
    -------
    str
        As `PublicKey.fingerprint`.

    Raises
    ------
    Refused
        When the text names no key.
    """
    digits = re.sub(r"\s", "", text).lower()
    if re.fullmatch(r"[0-9a-f]{64}", digits):
        return _grouped(digits)
    return public_key_from(text).fingerprint


def _grouped(digits: str) -> str:
    return " ".join(digits[i : i + 4] for i in range(0, len(digits), 4))


def public_key_from(text: str) -> PublicKey:
    """Read a public key from its base64 form or its line.

    Parameters
    ----------
    text : str

    Returns
    -------
    PublicKey

    Raises
    ------
    Refused
        When it is neither.
    """
    name, _, rest = text.strip().partition("+")
    key_id, _, encoded = rest.partition("+")
    line = from_base64(encoded)
    if line is not None and line[:1] == ED25519 and len(line) == 1 + PUBLIC_BYTES:
        key = PublicKey(line[1:])
        if key.key_id(name).hex() == key_id:
            return key
    raw = from_base64(text.strip())
    if raw is not None and len(raw) == PUBLIC_BYTES:
        return PublicKey(raw)
    raise Refused(
        words(
            "{text!r} is not a key: give its fingerprint (64 digits), its base64 form, "
            "or its line name+id+key",
            text=text.strip()[:80],
        )
    )


class SigningKey:
    """The half of a key that signs, and that nobody else may have.

    Parameters
    ----------
    private : Ed25519PrivateKey
    """

    __slots__ = ("_private", "public")

    def __init__(self, private: Ed25519PrivateKey) -> None:
        self._private = private
        self.public = PublicKey(private.public_key().public_bytes_raw())

    @classmethod
    def new(cls) -> SigningKey:
        """Make a key from the operating system's random numbers.

        Returns
        -------
        SigningKey
        """
        return cls(Ed25519PrivateKey.generate())

    @classmethod
    def from_seed(cls, seed: bytes) -> SigningKey:
        """Make the key that belongs to a secret of 32 bytes.

        Parameters
        ----------
        seed : bytes
            The private key of RFC 8032.

        Returns
        -------
        SigningKey
        """
        return cls(Ed25519PrivateKey.from_private_bytes(seed))

    def sign(self, data: bytes) -> bytes:
        """Sign some bytes.

        Parameters
        ----------
        data : bytes

        Returns
        -------
        bytes
            64 bytes.
        """
        return self._private.sign(data)

    def to_pem(self, pass_phrase: str | None = None) -> bytes:
        """Return the key as PEM text.

        Parameters
        ----------
        pass_phrase : str, optional
            Encrypts the key; without one it is written plain.

        Returns
        -------
        bytes
        """
        if not pass_phrase:
            return self._pem(serialization.NoEncryption())
        from clampwright.proof.passphrase import Stretch  # noqa: PLC0415 - it needs base64 from here

        stretch = Stretch.new()
        locked = self._pem(serialization.BestAvailableEncryption(stretch.secret(pass_phrase)))
        return stretch.line + locked

    def _pem(self, encryption: serialization.KeySerializationEncryption) -> bytes:
        return self._private.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, encryption
        )

    @property
    def seed(self) -> bytes:
        """The 32 secret bytes the key is made from (RFC 8032, section 5.1.5), for a paper sheet."""
        return self._private.private_bytes_raw()

    @classmethod
    def from_pem(cls, data: bytes, name: str, pass_phrase: str | None = None) -> SigningKey:
        """Read a key back.

        Parameters
        ----------
        data : bytes
            PEM text.
        name : str
            Name of the file, for messages.
        pass_phrase : str, optional

        Returns
        -------
        SigningKey

        Raises
        ------
        Missing
            When the key is encrypted and no pass phrase was given.
        Refused
            When the pass phrase is wrong.
        BadFile
            When this is no such key.
        """
        encrypted = b"BEGIN ENCRYPTED PRIVATE KEY" in sized(data, "key file", name)
        if encrypted and not pass_phrase:
            raise Missing(
                words("{file} is locked with a pass phrase; give it", file=name), "pass phrase"
            )
        try:
            secret = _secret(data, pass_phrase) if pass_phrase and encrypted else None
            private = serialization.load_pem_private_key(data[max(data.find(BEGIN), 0) :], secret)
        except (ValueError, TypeError, UnsupportedAlgorithm):
            if encrypted:
                raise Refused(
                    words("the pass phrase does not open {file}, or the file is damaged", file=name)
                ) from None
            private = None
        if not isinstance(private, Ed25519PrivateKey):
            raise BadFile(
                words("{file} does not hold an Ed25519 private key (PKCS #8, PEM)", file=name),
                file=name,
                expected="Ed25519 private key, PKCS #8, PEM",
            )
        return cls(private)


def _secret(data: bytes, pass_phrase: str) -> bytes:
    """Return what opens a locked key file: the phrase, stretched as the file says."""
    from clampwright.proof.passphrase import stretch_in  # noqa: PLC0415 - it needs base64 from here

    stretch = stretch_in(data)
    return stretch.secret(pass_phrase) if stretch else pass_phrase.encode("utf-8")
