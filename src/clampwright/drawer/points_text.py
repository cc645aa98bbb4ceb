"""Calibration points as a person types them: ``60 = 62.1``, ``60 = -3.4 %``, ``60 = 62.1 ccw``."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from clampwright.errors import ClampwrightError
from clampwright.units import parse_number
from clampwright.words import words

_POINT = re.compile(
    r"^\s*(?P<set>[\d.,]+)\s*[=:]\s*(?P<value>[+-]?[\d.,]+)\s*(?P<percent>%)?"
    r"\s*(?P<direction>cw|ccw)?\s*$",
    re.IGNORECASE,
)


def point_from(text: str) -> Mapping[str, object]:
    """Return one point: what was set or shown, and what the device measured or the deviation.

    Parameters
    ----------
    text : str
        ``SET = MEASURED``, or ``SET = DEVIATION %``; the direction may stand behind it.

    Returns
    -------
    mapping
        As `clampwright.drawer.calibration_entry.record_of` takes it.

    Raises
    ------
    ClampwrightError
        It is written otherwise.

    Examples
    --------
    >>> dict(point_from("60 = 62,1 ccw"))
    {'set': 60.0, 'reference': 62.1, 'direction': 'ccw'}
    >>> dict(point_from("60=-3.4%"))
    {'set': 60.0, 'deviation_percent': -3.4}
    """
    found = _POINT.match(text)
    if found is None:
        raise ClampwrightError(
            words(
                "point {text!r}: write what was set and what the device measured, such as "
                "60 = 62.1, or the deviation, such as 60 = -3.4 %",
                text=text.strip()[:40],
            )
        )
    key = "deviation_percent" if found["percent"] else "reference"
    point: dict[str, object] = {
        "set": float(parse_number(found["set"])),
        key: float(parse_number(found["value"])),
    }
    if found["direction"]:
        point["direction"] = found["direction"].lower()
    return point


def points_from(lines: Sequence[str]) -> list[Mapping[str, object]]:
    """Return the points of several lines; empty ones are passed over."""
    return [point_from(line) for line in lines if line.strip()]


def pairs_from(lines: Sequence[str]) -> list[tuple[float, float]]:
    """Return pairs of readings: what a tool showed, and what a trusted one showed.

    Parameters
    ----------
    lines : sequence of str
        Such as ``40 = 40.3``; empty ones are passed over.

    Returns
    -------
    list of (float, float)

    Raises
    ------
    ClampwrightError
        One is written otherwise.

    Examples
    --------
    >>> pairs_from(["40 = 40,3", ""])
    [(40.0, 40.3)]
    """
    found = []
    for line in lines:
        if not line.strip():
            continue
        one, sign, other = line.partition("=")
        if not sign:
            raise ClampwrightError(
                words(
                    "pair {text!r}: write what both showed, such as 40 = 40.3",
                    text=line.strip()[:40],
                )
            )
        found.append((float(parse_number(one)), float(parse_number(other))))
    return found
