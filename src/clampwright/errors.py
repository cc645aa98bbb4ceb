"""What can go wrong, by whose move it is next.

``ClampwrightError``
    ``Ambiguous``   the text can be read in two ways; a person chooses
    ``Missing``     something is needed that was not given
    ``OutOfRange``  a value lies where a relation, a table or a tool does not hold
    ``BadFile``     a file cannot be taken as it is; says where and what was expected
    ``Refused``     the request cannot be carried out now; nothing was changed
    ``StoreBusy``   another program holds the store, or it does not answer in time
    ``StoreFull``   the disk or the file has no room left
    ``StoreFailed`` the disk or the file failed; the store must be opened again

Every one of them is shown to a person as one sentence and leaves the stored data as it was.
"""

from __future__ import annotations

from clampwright.words import Words


class ClampwrightError(Exception):
    """Base of all errors that are meant to be read by a person.

    Parameters
    ----------
    message : Words or str
        One sentence: what is wrong, where, and what would be right.
    """

    exit_status = 2

    def __init__(self, message: Words | str) -> None:
        self.message = message if isinstance(message, Words) else Words(message)
        super().__init__(str(self.message))


class Ambiguous(ClampwrightError):  # noqa: N818 - a state of the text, named as design.md names it
    """The text can be read in more than one way that leaves a different result.

    Parameters
    ----------
    message : Words or str
    readings : tuple of str
        The possible readings, none preferred.
    """

    exit_status = 1

    def __init__(self, message: Words | str, readings: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.readings = readings


class Missing(ClampwrightError):  # noqa: N818 - as above
    """Something is needed that was not given.

    Parameters
    ----------
    message : Words or str
    needed : str
        Name of what is needed.
    """

    def __init__(self, message: Words | str, needed: str) -> None:
        super().__init__(message)
        self.needed = needed


class OutOfRange(ClampwrightError):  # noqa: N818 - as above
    """A value lies outside the range in which a relation, table or tool holds.

    Parameters
    ----------
    message : Words or str
    value : float
        The value, in the unit the message names.
    low, high : float or None
        The limits; None where the range is open.
    source : str
        Where the limits come from.
    """

    def __init__(
        self,
        message: Words | str,
        *,
        value: float,
        low: float | None = None,
        high: float | None = None,
        source: str = "",
    ) -> None:
        super().__init__(message)
        self.value, self.low, self.high, self.source = value, low, high, source


class BadFile(ClampwrightError):  # noqa: N818 - as above
    """A file cannot be taken as it is.

    Parameters
    ----------
    message : Words or str
    file : str
        Name of the file as the user gave it.
    line, column : int or None
        Where in it, counted from 1.
    expected : str
        What would be right.
    """

    def __init__(
        self,
        message: Words | str,
        *,
        file: str,
        line: int | None = None,
        column: int | None = None,
        expected: str = "",
    ) -> None:
        super().__init__(message)
        self.file, self.line, self.column, self.expected = file, line, column, expected


class Refused(ClampwrightError):  # noqa: N818 - as above
    """The request cannot be carried out in the present state; nothing was changed."""


class StoreBusy(ClampwrightError):  # noqa: N818 - as above
    """Another program holds the store, or it does not answer in time."""


class StoreFull(ClampwrightError):  # noqa: N818 - as above
    """The disk or the file has no room left; what was asked for was not stored."""


class StoreFailed(ClampwrightError):  # noqa: N818 - as above
    """The disk or the file failed; the store takes nothing more until it is opened again."""
