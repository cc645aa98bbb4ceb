"""A pass phrase made slow to guess, before it locks a key.

The container of a locked key (PKCS #8) stretches its pass phrase with so few rounds that a short
one is guessed in days. So the phrase is first put through Argon2id, memory-hard (RFC 9106; the
second recommended option of section 4: 64 MiB, 3 passes, 4 lanes); how, stands in one line of text
above the container, where RFC 7468, section 2, allows it.
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from typing import Self

from argon2.low_level import Type, hash_secret_raw

from clampwright.proof.keys import from_base64, to_base64

SALT_BYTES = 16
SECRET_BYTES = 32
MAX_MEMORY, MAX_PASSES, MAX_LANES = 1 << 20, 20, 16
"""A file may not ask for more: KiB, passes, lanes."""

_LINE = re.compile(rb"Argon2id m=(\d{1,7}) t=(\d{1,2}) p=(\d{1,2}) salt=([A-Za-z0-9+/=]{24})\r?\n")


@dataclass(frozen=True, slots=True)
class Stretch:
    """How a pass phrase is stretched.

    Parameters
    ----------
    salt : bytes
    memory : int
        KiB.
    passes, lanes : int
    """

    salt: bytes
    memory: int = 65_536
    passes: int = 3
    lanes: int = 4

    @classmethod
    def new(cls) -> Self:
        """Return the recommended way, with a salt of its own.

        Returns
        -------
        Stretch
        """
        return cls(os.urandom(SALT_BYTES))

    @property
    def line(self) -> bytes:
        """The line of text that says how."""
        salt = to_base64(self.salt)
        return f"Argon2id m={self.memory} t={self.passes} p={self.lanes} salt={salt}\n".encode()

    def secret(self, pass_phrase: str) -> bytes:
        """Return the secret that opens the container.

        Parameters
        ----------
        pass_phrase : str

        Returns
        -------
        bytes
            Base64, so that any program that asks for a pass phrase takes it.
        """
        raw = hash_secret_raw(
            pass_phrase.encode("utf-8"),
            self.salt,
            time_cost=self.passes,
            memory_cost=self.memory,
            parallelism=self.lanes,
            hash_len=SECRET_BYTES,
            type=Type.ID,
        )
        return to_base64(raw).encode("ascii")


def stretch_in(data: bytes) -> Stretch | None:
    """Return how the pass phrase of a key file is stretched.

    Parameters
    ----------
    data : bytes
        The file.

    Returns
    -------
    Stretch or None
        None when the file does not say: then the pass phrase itself opens it.

    Raises
    ------
    ValueError
        When it asks for more than is allowed.
    """
    found = _LINE.match(data)
    if found is None:
        return None
    memory, passes, lanes = (int(found[part]) for part in (1, 2, 3))
    salt = from_base64(found[4].decode("ascii"))
    allowed = (
        8 * lanes <= memory <= MAX_MEMORY and 1 <= passes <= MAX_PASSES and 1 <= lanes <= MAX_LANES
    )
    if salt is None or len(salt) != SALT_BYTES or not allowed:
        raise ValueError("a stretch outside its limits")
    return Stretch(salt, memory, passes, lanes)
