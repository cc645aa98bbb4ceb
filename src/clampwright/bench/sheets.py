"""Sheets of paper a workshop keeps: the key to lock away, the head of the day to sign by hand."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

from clampwright.errors import Refused, StoreFull
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.keys import SigningKey
from clampwright.proof.sheet import rows_of
from clampwright.report.sheet import Sheet, sheet_pdf
from clampwright.words import words


def recovery_sheet(key: SigningKey, workshop: str, origin: str, time: str) -> Sheet:
    """Return the sheet that brings a lost signing key back.

    Parameters
    ----------
    key : SigningKey
    workshop, origin : str
        Names of the workshop and its log.
    time : str
        RFC 3339.

    Returns
    -------
    Sheet
    """
    rows = rows_of(key)
    return Sheet(
        title=words("Recovery sheet: signing key"),
        time=time,
        warning=words(
            "Whoever reads this sheet can sign in the workshop's name. Keep it locked away, in "
            "another building than the workshop. Do not photograph it."
        ),
        facts=(
            (words("Workshop"), workshop),
            (words("Log"), origin),
            (words("Fingerprint"), key.public.fingerprint),
        ),
        rows=[(str(number), row) for number, row in enumerate(rows, 1)],
        code="\n".join(rows),
        closing=(
            words(
                "To bring the key back: clampwright key from-sheet FOLDER, and type the eight "
                "rows. Each row has a check of its own, so a slip names its row. There is no 0, "
                "1, 8 or 9: what looks like one is O, I, B or G."
            ),
        ),
        footer=origin,
    )


def write_recovery_sheet(key: SigningKey, workshop: str, origin: str, file: Path) -> None:
    """Write the recovery sheet as PDF, readable by its owner only.

    Parameters
    ----------
    key : SigningKey
    workshop, origin : str
    file : pathlib.Path
        Must not exist.

    Raises
    ------
    Refused
        When the file exists.
    StoreFull
        When it cannot be written.
    """
    time = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    write_private(file, sheet_pdf(recovery_sheet(key, workshop, origin, time)))


def head_sheet(note: str, workshop: str, fingerprint: str, time: str) -> Sheet:
    """Return the sheet with a signed head, to be signed by hand and put in a binder.

    Parameters
    ----------
    note : str
        The checkpoint.
    workshop, fingerprint : str
    time : str
        When it was signed (RFC 3339).

    Returns
    -------
    Sheet
    """
    head = read_checkpoint(note).head
    digits = head.root.hex()
    groups = [digits[at : at + 16] for at in range(0, len(digits), 16)]
    return Sheet(
        title=words("Head of the log"),
        time=time,
        paragraphs=(
            words(
                "This sheet fixes everything that the workshop's log held at this moment. Signed "
                "by hand and kept outside the computer, it shows later whether an entry was "
                "changed, taken away or slipped in before that moment."
            ),
        ),
        facts=(
            (words("Workshop"), workshop),
            (words("Log"), head.origin),
            (words("Entries"), str(head.size)),
            (words("Signed"), time),
            (words("Fingerprint of the key"), fingerprint),
        ),
        rows=[
            (str(number), f"{group[:4]} {group[4:8]} {group[8:12]} {group[12:]}")
            for number, group in enumerate(groups, 1)
        ],
        row_size=14,
        code=note,
        closing=(
            words(
                "The four rows are the root hash. The square code holds the signed head; save its "
                "text as a file, and: clampwright verify RECORD --against FILE. To compare by "
                "hand: clampwright head FOLDER --size {size}",
                size=head.size,
            ),
        ),
        sign=(words("Place and date"), words("Name"), words("Signature")),
        footer=head.origin,
    )


def write_private(file: Path, data: bytes) -> None:
    """Write a new file that only its owner may read.

    Parameters
    ----------
    file : pathlib.Path
    data : bytes

    Raises
    ------
    Refused
        When the file exists.
    StoreFull
        When it cannot be written.
    """
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as out:
            out.write(data)
    except FileExistsError:
        raise Refused(words("{file} is there already", file=str(file))) from None
    except OSError as error:
        raise StoreFull(
            words(
                "{file} could not be written: {problem}",
                file=str(file),
                problem=str(error.strerror),
            )
        ) from error
