"""An angle by marks: where a painted mark stands on the clock face before and after the turn.

The clock face is the fastener as it is seen: 12 is up, an hour is 30 degrees. Positions are degrees
from 12, clockwise; the hour hand's own way of telling them (``2:30`` is half way from 2 to 3, 75
degrees) is what people point with.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass

from clampwright.drawer.calibration import Direction
from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.words import Words, words

HOUR = 30.0
"""Degrees of an hour on the clock face."""
QUARTER = 7.5
"""Degrees of a quarter of an hour: as fine as an eye tells a mark (common practice, no source)."""
MOST_TURNS = 20
"""Full turns in one pull that are taken."""
_CLOCK = re.compile(r"(\d{1,2})(?::([0-5]\d))?")


@dataclass(frozen=True, slots=True)
class MarkTurn:
    """A turn told by a mark.

    Parameters
    ----------
    start, end : float
        Where the mark stood and stands, degrees from 12 as it is seen, 0 up to 360.
    turns : int
        Full turns it went round besides.
    turning : str
        ``cw`` or ``ccw``: the way the fastener turned as it is seen.
    step : float
        How finely each place was read, degrees.

    Raises
    ------
    OutOfRange
        For a place off the clock face, turns below 0 or too many, or a step that cannot be.

    Examples
    --------
    >>> turn = MarkTurn(60.0, 150.0)
    >>> turn.angle, round(turn.u, 2)
    (90.0, 3.06)
    >>> MarkTurn(30.0, 330.0, 1, "ccw").angle
    420.0
    """

    start: float
    end: float
    turns: int = 0
    turning: Direction = "cw"
    step: float = QUARTER

    def __post_init__(self) -> None:
        for place in (self.start, self.end):
            if not 0 <= place < 360:
                raise _off("a place on the clock face", place, 0.0, 359.9)
        if not 0 <= self.turns <= MOST_TURNS:
            raise _off("the number of full turns", float(self.turns), 0.0, float(MOST_TURNS))
        if not 0 < self.step <= 60:
            raise _off("how finely a mark is read, in degrees,", self.step, 0.1, 60.0)

    @property
    def angle(self) -> float:
        """Angle turned, degrees."""
        part = self.end - self.start
        return (part if self.turning == "cw" else -part) % 360.0 + 360.0 * self.turns

    @property
    def u(self) -> float:
        """Standard uncertainty, degrees: two places, each anywhere within its step.

        A step read to the nearest is a rectangular spread of that width (JCGM 100:2008, 4.3.7, from
        memory); paint that is wide or an eye that looks askew makes it larger.
        """
        return self.step * math.sqrt(2.0 / 12.0)

    def words(self) -> Words:
        """Say it in words."""
        places = {"start": clock_text(self.start), "end": clock_text(self.end)}
        if not self.turns:
            return words("mark from {start} to {end} on the clock face", **places)
        if self.turns == 1:
            return words(
                "mark from {start} to {end} on the clock face, once round besides", **places
            )
        return words(
            "mark from {start} to {end} on the clock face, {turns} times round besides",
            turns=self.turns,
            **places,
        )


def _off(what: str, value: float, low: float, high: float) -> OutOfRange:
    return OutOfRange(
        words(
            "{what} is {value:g}; it lies between {low:g} and {high:g}",
            what=what,
            value=value,
            low=low,
            high=high,
        ),
        value=value,
        low=low,
        high=high,
    )


def goal_of(start: float, angle: float, turning: Direction = "cw") -> tuple[float, int]:
    """Return where a mark stands after a turn, and how many full turns it went round.

    Parameters
    ----------
    start : float
        Degrees from 12.
    angle : float
        Degrees, 0 or more.
    turning : str
        ``cw`` or ``ccw`` as it is seen.

    Returns
    -------
    float
        Degrees from 12, 0 up to 360.
    int

    Examples
    --------
    >>> goal_of(60.0, 90.0), goal_of(0.0, 90.0, "ccw"), goal_of(30.0, 420.0)
    ((150.0, 0), (270.0, 0), (90.0, 1))
    """
    whole = math.floor(round(angle / 360.0, 9))
    signed = angle if turning == "cw" else -angle
    return round((start + signed) % 360.0, 6) % 360.0, whole


def nearest_turns(start: float, end: float, turning: Direction, expected: float) -> int:
    """Return the number of full turns that brings a turn nearest to what is expected.

    Parameters
    ----------
    start, end : float
        Degrees from 12.
    turning : str
    expected : float
        Degrees.

    Returns
    -------
    int

    Examples
    --------
    >>> nearest_turns(0.0, 85.0, "cw", 450.0), nearest_turns(0.0, 85.0, "cw", 90.0)
    (1, 0)
    """
    part = MarkTurn(start, end, 0, turning).angle
    return min(max(0, round((expected - part) / 360.0)), MOST_TURNS)


def read_clock(text: str) -> float:
    """Read a place on the clock face.

    Parameters
    ----------
    text : str
        ``5``, ``5:30`` or ``12``: hours 0 to 12, minutes as the hour hand tells them.

    Returns
    -------
    float
        Degrees from 12, 0 up to 360.

    Raises
    ------
    ClampwrightError

    Examples
    --------
    >>> read_clock("2"), read_clock("2:30"), read_clock("12")
    (60.0, 75.0, 0.0)
    """
    found = _CLOCK.fullmatch(text.strip())
    if found is None or int(found[1]) > 12:
        raise ClampwrightError(
            words(
                "{text!r} is no place on the clock face; write 5 or 5:30, where 12 is up",
                text=text[:20],
            )
        )
    return (int(found[1]) * HOUR + int(found[2] or 0) / 2) % 360.0


def clock_text(place: float) -> str:
    """Write a place on the clock face, to the minute of the hour hand (half a degree).

    Examples
    --------
    >>> clock_text(75.0), clock_text(0.0), clock_text(359.9)
    ('2:30', '12:00', '12:00')
    """
    minutes = round(place * 2) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def flats_words(angle: float, corners: int = 6) -> Words | None:
    """Say an angle in flats of a hexagon, where it comes out in halves; None elsewhere.

    Parameters
    ----------
    angle : float
        Degrees.
    corners : int
        Flats of the head.

    Returns
    -------
    Words or None

    Examples
    --------
    >>> str(flats_words(90.0)), str(flats_words(60.0)), flats_words(50.0)
    ('1½ flats of the hexagon', 'one flat of the hexagon', None)
    """
    halves = angle * corners / 180.0
    if angle <= 0 or abs(halves - round(halves)) > 1e-6:
        return None
    whole, half = divmod(round(halves), 2)
    if (whole, half) == (1, 0):
        return words("one flat of the hexagon")
    return words("{count} flats of the hexagon", count=f"{whole or ''}{'½' * half}")


def marks_words(start: float, angle: float, turning: Direction = "cw") -> Words:
    """Say where a mark goes from and to; may be spoken.

    Parameters
    ----------
    start : float
        Degrees from 12.
    angle : float
        Degrees to turn.
    turning : str

    Returns
    -------
    Words

    Examples
    --------
    >>> print(marks_words(60.0, 90.0))
    mark from 2 to 5 o'clock
    >>> print(marks_words(0.0, 450.0))
    mark: 12, once round, to 3 o'clock
    """
    goal, whole = goal_of(start, angle, turning)
    places = {"start": _spoken(start), "goal": _spoken(goal)}
    if whole == 0:
        return words("mark from {start} to {goal} o'clock", **places)
    if whole == 1:
        return words("mark: {start}, once round, to {goal} o'clock", **places)
    return words("mark: {start}, {whole} times round, to {goal} o'clock", whole=whole, **places)


def _spoken(place: float) -> str:
    return clock_text(place).removesuffix(":00")


_WIDE, _HIGH = 33, 11
_MIDDLE = (_WIDE // 2, _HIGH // 2)


def clock_lines(start: float, angle: float, turning: Direction = "cw") -> list[str]:
    """Draw the clock face of a fastener as text: the mark's start, its way and its goal.

    Parameters
    ----------
    start : float
        Degrees from 12.
    angle : float
        Degrees to turn.
    turning : str
        ``cw`` or ``ccw`` as it is seen.

    Returns
    -------
    list of str
        ``o`` is the start, ``X`` the goal, dots the way between; hours stand outside.

    Examples
    --------
    >>> drawn = clock_lines(60.0, 90.0)
    >>> drawn[3].split(), drawn[5].split()
    (['o'], ['9', '90°', '.', '3'])
    """
    paper = [[" "] * _WIDE for _ in range(_HIGH)]
    for hour in range(1, 13):
        _put(paper, hour * HOUR, (15.0, 5.0), str(hour))
    sign = 1.0 if turning == "cw" else -1.0
    for place in _way(angle):
        _put(paper, start + sign * place, (10.0, 3.4), ".")
    goal, _whole = goal_of(start, angle, turning)
    _put(paper, start, (10.0, 3.4), "o")
    _put(paper, goal, (10.0, 3.4), "X" if abs(goal - start) > 1e-6 else "@")
    _put(paper, 0.0, (0.0, 0.0), f"{angle:g}°")
    return ["".join(row).rstrip() for row in paper]


def _way(angle: float) -> Iterator[float]:
    for step in range(1, math.ceil(min(angle, 360.0) / 15.0)):
        yield 15.0 * step


def _put(paper: list[list[str]], degrees: float, radii: tuple[float, float], text: str) -> None:
    """Write a text with its middle at a place on an ellipse: signs are twice as high as wide."""
    x = _MIDDLE[0] + radii[0] * math.sin(math.radians(degrees))
    y = _MIDDLE[1] - radii[1] * math.cos(math.radians(degrees))
    first = round(x - (len(text) - 1) / 2)
    for k, sign in enumerate(text):
        paper[round(y)][first + k] = sign
