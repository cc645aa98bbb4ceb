"""Passwords, PINs and random secrets: what is kept of them gives none of them back.

Passwords and PINs go through Argon2id with the second set of parameters that RFC 9106 recommends
(section 4; 64 MiB, 3 passes, 4 lanes; as argon2-cffi names it). Random secrets of 256 bits need no
slow function: SHA-256 of them is kept.
"""

from __future__ import annotations

import hashlib
import secrets
import unicodedata
from functools import cached_property

from argon2 import Parameters, PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from argon2.profiles import RFC_9106_LOW_MEMORY


class Hashing:
    """How passwords and PINs are hashed.

    Parameters
    ----------
    parameters : argon2.Parameters

    Examples
    --------
    >>> from argon2.profiles import CHEAPEST
    >>> hashing = Hashing(CHEAPEST)
    >>> hashing.matches(hashing.of("four plain words here"), "four plain words here")
    True
    """

    def __init__(self, parameters: Parameters = RFC_9106_LOW_MEMORY) -> None:
        self._hasher = PasswordHasher.from_parameters(parameters)

    @cached_property
    def _nobody(self) -> str:
        """The hash of what nobody knows."""
        return self._hasher.hash(secrets.token_hex(16))

    def of(self, secret: str) -> str:
        """Return the hash of a password or PIN, with parameters and salt.

        Parameters
        ----------
        secret : str

        Returns
        -------
        str
        """
        return self._hasher.hash(_plain(secret))

    def matches(self, kept: str | None, secret: str) -> bool:
        """Say whether a hash was made of a password or PIN.

        Where there is no hash, as much work is done as if there were, so that the time an answer
        takes does not tell who exists.

        Parameters
        ----------
        kept : str or None
        secret : str

        Returns
        -------
        bool
        """
        try:
            self._hasher.verify(kept or self._nobody, _plain(secret))
        except (VerificationError, InvalidHashError):
            return False
        return kept is not None

    def is_old(self, kept: str) -> bool:
        """Say whether a hash was made with other parameters than today's."""
        return self._hasher.check_needs_rehash(kept)


def _plain(secret: str) -> str:
    """Return one form of a text, whichever keyboard it was typed on (Unicode form NFC)."""
    return unicodedata.normalize("NFC", secret)


def new_secret() -> str:
    """Return 256 random bits as text, for a cookie."""
    return secrets.token_urlsafe(32)


def kept_of(secret: str) -> bytes:
    """Return what is kept of a random secret: its SHA-256, 32 bytes."""
    return hashlib.sha256(secret.encode()).digest()
