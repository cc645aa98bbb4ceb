"""Samples from lines as they come: what a live pull is fed with."""

from __future__ import annotations

from clampwright.errors import ClampwrightError
from clampwright.trace.columns import scale_of
from clampwright.trace.line_form import LineForm
from clampwright.words import words


class LineStream:
    """Turns lines of a form of the user's own into samples, one by one.

    Parameters
    ----------
    form : LineForm
        With an angle: a rate alone cannot be summed before the rests after the pull are known.

    Attributes
    ----------
    taken, passed_over : int
        Lines that were a sample, and lines that were none or whose time did not rise.

    Raises
    ------
    ClampwrightError
        Where the form has a rate and no angle.

    Examples
    --------
    >>> from clampwright.trace.line_form import form_from_text
    >>> stream = LineStream(form_from_text("time 1 ms; torque 2 N·m -; angle 3 deg"))
    >>> stream.take("1000 -2.5 4"), stream.take("battery low"), stream.take("1500 -4 7")
    ((0.0, 2.5, 4.0), None, (0.5, 4.0, 7.0))
    >>> stream.taken, stream.passed_over
    (2, 1)
    """

    def __init__(self, form: LineForm) -> None:
        self._form = form
        self._scales = {
            field.role: scale_of(field.role, field.unit, "the form of the lines")
            for field in form.fields
        }
        if "rate" in self._scales:
            raise ClampwrightError(
                words(
                    "a rate cannot be followed live: its drift is known only after the pull; "
                    "record it to a file and judge that with --lines"
                )
            )
        self._begin: float | None = None
        self._last = float("-inf")
        self.taken = self.passed_over = 0

    def take(self, line: str) -> tuple[float, float, float] | None:
        """Read one line.

        Parameters
        ----------
        line : str

        Returns
        -------
        tuple of float or None
            Time since the first sample (s), torque (N·m), angle (degrees); None for a line that is
            no sample, or whose time is not later than the one before.
        """
        values = self._form.read(line)
        if values is None:
            self.passed_over += 1
            return None
        found = {
            field.role: value * self._scales[field.role]
            for field, value in zip(self._form.fields, values, strict=True)
        }
        time = self._time(found.get("time"))
        if time <= self._last:
            self.passed_over += 1
            return None
        self._last = time
        self.taken += 1
        return time, found["torque"], found["angle"]

    def _time(self, told: float | None) -> float:
        if told is None:
            return self.taken / (self._form.rate_hz or 1.0)
        if self._begin is None:
            self._begin = told
        return told - self._begin
