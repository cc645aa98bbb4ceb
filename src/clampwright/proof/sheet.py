"""A signing key on paper: eight rows that can be typed in again, each with a check of its own.

A row holds four bytes of the key and one check byte (the first of SHA-256 over the row's number and
its bytes), in the letters of RFC 4648, section 6 (A to Z, 2 to 7). So a slip names its row. The
fingerprint at the end shows that it is the right key.
"""

from __future__ import annotations

import base64
import re
from hashlib import sha256

from clampwright.errors import Refused
from clampwright.intake import sized
from clampwright.proof.keys import SigningKey
from clampwright.words import words

ROWS = 8
ROW_BYTES = 4
ROW_LETTERS = 8
MISREAD = str.maketrans("0189", "OIBG")
"""Digits that the alphabet does not have, and the letters they are taken for when read."""


def rows_of(key: SigningKey) -> list[str]:
    """Return the rows of a key's sheet.

    Parameters
    ----------
    key : SigningKey

    Returns
    -------
    list of str
        Eight rows such as ``ABCD EFGH``.

    Examples
    --------
    >>> rows_of(SigningKey.from_seed(bytes(range(32))))[:2]
    ['AAAQ EA5E', 'AQCQ MB4E']
    """
    seed = key.seed
    rows = []
    for number in range(ROWS):
        part = seed[number * ROW_BYTES : (number + 1) * ROW_BYTES]
        text = base64.b32encode(part + _check(number, part)).decode("ascii")
        rows.append(f"{text[:4]} {text[4:]}")
    return rows


def key_from_rows(text: str) -> SigningKey:
    """Make the key again from its sheet.

    Parameters
    ----------
    text : str
        The eight rows; spaces, hyphens, line ends and case do not matter.

    Returns
    -------
    SigningKey

    Raises
    ------
    Refused
        Names the row that is mistyped, or says how many letters are missing.
    """
    sized(text.encode("utf-8", "replace"), "key sheet", "sheet")
    letters = re.sub(r"[\s\-]", "", text).upper().translate(MISREAD)
    if len(letters) != ROWS * ROW_LETTERS:
        raise Refused(
            words(
                "the sheet has {wanted} letters in {rows} rows; {found} were given",
                wanted=ROWS * ROW_LETTERS,
                rows=ROWS,
                found=len(letters),
            )
        )
    return SigningKey.from_seed(b"".join(_row(letters, number) for number in range(ROWS)))


def _row(letters: str, number: int) -> bytes:
    text = letters[number * ROW_LETTERS : (number + 1) * ROW_LETTERS]
    try:
        data = base64.b32decode(text)
    except ValueError:
        data = b""
    part, check = data[:ROW_BYTES], data[ROW_BYTES:]
    if check != _check(number, part):
        raise Refused(
            words(
                "row {row} of the sheet is mistyped: {text}",
                row=number + 1,
                text=f"{text[:4]} {text[4:]}",
            )
        )
    return part


def _check(number: int, part: bytes) -> bytes:
    return sha256(bytes([number]) + part).digest()[:1]
