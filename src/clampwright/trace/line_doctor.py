"""What is wrong with a device's line, from the bytes that came over it, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from clampwright.trace.line_buffer import LineBuffer
from clampwright.trace.line_form import LineForm
from clampwright.words import Words, words

Code = Literal[
    "silent",
    "wrong_speed",
    "no_line_ends",
    "no_match",
    "few_match",
    "time_stands",
    "line_full",
    "no_form",
    "well",
]

GARBAGE = 0.02
"""Share of bytes that are no text from which the speed is doubted (ours: in simulated trials of
each pair of `SPEEDS` a wrong one gave 3 % at half the right speed and 34 to 100 % elsewhere)."""
FEW = 0.9
"""Share of lines that should be samples, the first two left out (ours)."""
FULL = 0.9
"""Share of what a speed can carry from which a line is full: later lines come late (ours)."""
BITS_PER_BYTE = 10
"""Start bit, eight data bits, stop bit."""
SPEEDS = (9600, 19200, 38400, 57600, 115200, 4800, 2400, 230400)
"""Usual speeds, the most frequent first (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Found:
    """One thing found on a line.

    Parameters
    ----------
    code : str
    say, do : Words
        What it is, and what to do.
    """

    code: Code
    say: Words
    do: Words

    @property
    def well(self) -> bool:
        """Whether nothing is to be done."""
        return self.code == "well"


@dataclass(frozen=True, slots=True)
class Looked:
    """What a look at a line gave.

    Parameters
    ----------
    size, lines, matched : int
        Bytes, whole lines, and lines that are samples.
    seconds : float
    sample : tuple of str
        The last few lines.
    found : tuple of Found
    """

    size: int
    lines: int
    matched: int
    seconds: float
    sample: tuple[str, ...]
    found: tuple[Found, ...]


def look_at(data: bytes, seconds: float, form: LineForm | None, baud: int) -> Looked:
    r"""Say what is wrong with a line.

    Parameters
    ----------
    data : bytes
        What came over it.
    seconds : float
        In how long.
    form : LineForm or None
        How its lines are to be read; None where nobody has said yet.
    baud : int
        The speed it was listened to with.

    Returns
    -------
    Looked

    Examples
    --------
    >>> from clampwright.trace.line_form import form_from_text
    >>> form = form_from_text("time 1 ms; torque 2 N·m; angle 3 deg")
    >>> [one.code for one in look_at(b"0 1 2\n10 2 3\n20 3 4\n", 3.0, form, 9600).found]
    ['well']
    >>> [one.code for one in look_at(b"", 3.0, form, 9600).found]
    ['silent']
    """
    lines = LineBuffer().take(data)[1:]  # the first was cut by the moment of listening
    readings = [form.read(line) for line in lines] if form else []
    matched = [one for one in readings if one is not None]
    found = _found(data, lines, form, baud)
    if found is None:
        found = _of_lines(lines, readings, form, seconds * baud / BITS_PER_BYTE, len(data))
    if found is None:
        found = Found(
            "well",
            words("{count} lines are samples", count=len(matched)),
            words("nothing is to be done"),
        )
    return Looked(len(data), len(lines), len(matched), seconds, tuple(lines[-5:]), (found,))


def _found(data: bytes, lines: list[str], form: LineForm | None, baud: int) -> Found | None:
    """Look at the bytes alone."""
    if not data:
        return Found(
            "silent",
            words("the port is open, but nothing came"),
            words(
                "switch the device on and let it send; look whether it waits for a button, sleeps, "
                "or sends by another cable; many devices send only while they are pulled"
            ),
        )
    if _garbage(data) > GARBAGE:
        return Found(
            "wrong_speed",
            words("what came is no text: the speed {baud} is not the device's", baud=baud),
            words(
                "set the speed the device's own papers name; usual ones are {speeds}",
                speeds=", ".join(str(one) for one in SPEEDS if one != baud),
            ),
        )
    if not lines and len(data) > 200:
        return Found(
            "no_line_ends",
            words("text came, but no line end"),
            words(
                "set the device to send a line end after each sample; at half the right speed line "
                "ends are lost too"
            ),
        )
    if form is None:
        return Found(
            "no_form",
            words("text comes, and nobody has said what stands where"),
            words("say what stands where in a line, and try it on these lines"),
        )
    return None


def _garbage(data: bytes) -> float:
    """Share of bytes that are no text."""
    text = data.decode("utf-8", "replace")
    strange = sum(not (sign.isprintable() or sign in "\r\n\t") or sign == "\ufffd" for sign in text)
    return strange / max(len(text), 1)


def _of_lines(
    lines: list[str],
    readings: list[tuple[float, ...] | None],
    form: LineForm | None,
    room: float,
    size: int,
) -> Found | None:
    """Look at the lines with the form they are to be read by."""
    matched = [one for one in readings if one is not None]
    first = next((line for line, one in zip(lines, readings, strict=True) if one is None), "")
    if not matched:
        return Found(
            "no_match",
            words("no line fits what was said of it; one is {line!r}", line=first[:60]),
            words("count the fields anew, from 1, and look at the separator and the units"),
        )
    if len(matched) < FEW * len(lines):
        return Found(
            "few_match",
            words(
                "{matched} of {lines} lines fit; one that does not is {line!r}",
                matched=len(matched),
                lines=len(lines),
                line=first[:60],
            ),
            words(
                "where other lines are meant to be passed over, that is right; else look at a "
                "loose plug, a long cable, or a form that fits only some lines"
            ),
        )
    if _stands(matched, form):
        return Found(
            "time_stands",
            words("the time in the lines does not rise"),
            words("look which field is the time, or say rate_hz instead"),
        )
    if size > FULL * room:
        return Found(
            "line_full",
            words("the line is full: samples come later and later"),
            words("set a higher speed, or fewer samples a second"),
        )
    return None


def _stands(matched: list[tuple[float, ...]], form: LineForm | None) -> bool:
    roles = [field.role for field in form.fields] if form else []
    if "time" not in roles or len(matched) < 3:
        return False
    times = [one[roles.index("time")] for one in matched]
    return sum(b <= a for a, b in pairwise(times)) > 0.2 * len(times)
