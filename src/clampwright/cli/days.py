"""Days as people write them on the command line."""

from __future__ import annotations

import datetime as dt

from clampwright.errors import ClampwrightError
from clampwright.words import words


def day(text: str) -> dt.date:
    """Return a day written as 2026-05-01.

    Parameters
    ----------
    text : str

    Returns
    -------
    datetime.date

    Raises
    ------
    ClampwrightError
        For anything else.
    """
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise ClampwrightError(
            words("{text!r} is not a day; write it as 2026-05-01", text=text)
        ) from error
