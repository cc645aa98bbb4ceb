"""The signed head of a log: a checkpoint after C2SP tlog-checkpoint, a note after C2SP signed-note.

The text is three lines (origin, size, root hash), a blank line, and one signature line; it can be
printed on paper and typed in again.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from clampwright.errors import BadFile, Refused
from clampwright.proof.keys import (
    SIGNATURE_BYTES,
    PublicKey,
    SigningKey,
    from_base64,
    to_base64,
)
from clampwright.proof.merkle import HASH_BYTES
from clampwright.words import Words, words

MAX_CHARACTERS = 2_000
MAX_ORIGIN = 120
_SIZE = re.compile(r"0|[1-9][0-9]{0,15}")


@dataclass(frozen=True, slots=True)
class Head:
    """State of a log: how many entries, and the hash over all of them.

    Parameters
    ----------
    origin : str
        The log's own name, unlike any other log's: no spaces, no plus sign.
    size : int
    root : bytes
        32 bytes.
    """

    origin: str
    size: int
    root: bytes

    @property
    def text(self) -> str:
        """The three lines that are signed."""
        return f"{self.origin}\n{self.size}\n{to_base64(self.root)}\n"

    def sign(self, key: SigningKey) -> str:
        """Return the checkpoint: the head with a signature.

        Parameters
        ----------
        key : SigningKey

        Returns
        -------
        str
        """
        check_origin(self.origin)
        signature = key.public.key_id(self.origin) + key.sign(self.text.encode("utf-8"))
        return f"{self.text}\n— {self.origin} {to_base64(signature)}\n"


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """A head with the signature that stands under it.

    Parameters
    ----------
    head : Head
    key_id : bytes
        4 bytes.
    signature : bytes
        64 bytes.
    """

    head: Head
    key_id: bytes
    signature: bytes

    @property
    def text(self) -> str:
        """The head as the log signed it, with its own signature line and no other."""
        line = f"— {self.head.origin} {to_base64(self.key_id + self.signature)}\n"
        return f"{self.head.text}\n{line}"

    def signed_by(self, key: PublicKey) -> bool:
        """Say whether the signature was made with a key.

        Parameters
        ----------
        key : PublicKey

        Returns
        -------
        bool
        """
        return self.key_id == key.key_id(self.head.origin) and key.signed(
            self.signature, self.head.text.encode("utf-8")
        )


def check_origin(origin: str) -> None:
    """Refuse a name that cannot stand in a signature line.

    Parameters
    ----------
    origin : str

    Raises
    ------
    Refused
    """
    if not 0 < len(origin) <= MAX_ORIGIN or any(
        character.isspace() or character == "+" or not character.isprintable()
        for character in origin
    ):
        raise Refused(
            words(
                "{origin!r} cannot name a log: 1 to {limit} characters, no spaces, no plus sign",
                origin=origin[:MAX_ORIGIN],
                limit=MAX_ORIGIN,
            )
        )


def origin_for(workshop: str, key: PublicKey) -> str:
    """Make a log's name from the workshop's, told apart from others by its first key.

    Parameters
    ----------
    workshop : str
    key : PublicKey

    Returns
    -------
    str

    Examples
    --------
    >>> origin_for("Boat & Trailer Yard", PublicKey(bytes(32)))
    'boat-trailer-yard.66687aad'
    """
    plain = unicodedata.normalize("NFKD", workshop).encode("ascii", "ignore").decode("ascii")
    slug = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:80].strip("-") or "workshop"
    return f"{slug}.{key.fingerprint.replace(' ', '')[:8]}"


def read_checkpoint(text: str, name: str = "checkpoint") -> Checkpoint:
    """Read a checkpoint; its signature still has to be checked with `Checkpoint.signed_by`.

    Parameters
    ----------
    text : str
    name : str
        For messages.

    Returns
    -------
    Checkpoint

    Raises
    ------
    BadFile
        When the text has not exactly the form this program writes: one origin, size and root,
        one signature line.
    """

    def bad(problem: Words) -> BadFile:
        return BadFile(
            words("{name}: {problem}", name=name, problem=str(problem)),
            file=name,
            expected="a checkpoint: origin, size, root hash, blank line, signature line",
        )

    lines = text.split("\n") if len(text) <= MAX_CHARACTERS else []
    if len(lines) != 6 or lines[3] or lines[5]:
        raise bad(words("a checkpoint has three lines, a blank line and one signature line"))
    origin, size, root_text, _, signature_line, _ = lines
    try:
        check_origin(origin)
    except Refused as refused:
        raise bad(refused.message) from None
    if not _SIZE.fullmatch(size):
        raise bad(words("{size!r} is not a number of entries", size=size))
    root = from_base64(root_text)
    if root is None or len(root) != HASH_BYTES:
        raise bad(words("{root!r} is not a root hash", root=root_text))
    start = f"— {origin} "
    signature = from_base64(signature_line.removeprefix(start))
    if not signature_line.startswith(start):
        raise bad(words("the signature line does not name {origin}", origin=origin))
    if signature is None or len(signature) != 4 + SIGNATURE_BYTES:
        raise bad(words("the signature line does not hold an Ed25519 signature"))
    return Checkpoint(Head(origin, int(size), root), signature[:4], signature[4:])
