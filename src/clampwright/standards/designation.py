"""The parts of a thread's name: system, size, pitch, series."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from clampwright.standards.tables import rows
from clampwright.units import Unreadable
from clampwright.units.number import parse_fraction, vulgar_spelled_out
from clampwright.units.text import LONGEST, shown
from clampwright.words import words

LARGEST_PITCH = 6
"""mm; a larger figure after the × is a length. ISO 261 has no larger pitch (from memory)."""


@dataclass(frozen=True, slots=True)
class Designation:
    """What a thread's name says.

    Parameters
    ----------
    system : str
        ``metric`` or ``unified``.
    size : Fraction
        Nominal diameter, mm or inch by `system`.
    pitch : Fraction or None
        Pitch in mm, or threads per inch; None when not said.
    series : str or None
        ``coarse``, ``fine``, ``UNC``, ``UNF``; None when not said.
    """

    system: Literal["metric", "unified"]
    size: Fraction
    pitch: Fraction | None
    series: str | None


# Tolerance class, hand and the word "thread" say nothing about the dimensions kept here.
_METRIC_TAIL = (
    r"(?:[ -]*\d[eghEGH](?:\d[eghEGH])?(?:/\d[eghEGH](?:\d[eghEGH])?)?)?(?:[ -]*(?:lh|rh))?"
)
_METRIC = re.compile(
    r"mf? ?(?P<size>\d{1,3}(?:\.\d{1,3})?)"
    r"(?: ?[x-] ?(?P<pitch>\d{1,3}(?:\.\d{1,3})?)(?: ?mm)?(?![\deghx.]))?"
    r"(?P<length> ?x ?\d+(?:\.\d+)?)?"
    r"(?:[ -]*(?P<series>coarse|fine))?" + _METRIC_TAIL,
    re.ASCII,
)
_INCH_TAIL = r"(?:[ -]*[123][ab])?(?:[ -]*(?:lh|rh))?"
_INCH = re.compile(
    r"(?:(?P<number>(?:#|no ?|number ?)\d{1,2})|"
    r"(?P<size>\d[ -]\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|\d?\.\d{1,4}|\d{1,2}))"
    r'(?: ?(?:"|″|in\b|inch\b))?'
    r"(?:(?: ?[-x] ?| )(?P<pitch>\d{1,2})(?: ?tpi)?(?![\dab/]))?"
    r"(?:[ -]*(?P<series>unr?[cf]|coarse|fine))?" + _INCH_TAIL,
    re.ASCII,
)
_SERIES = {"unc": "UNC", "unrc": "UNC", "unf": "UNF", "unrf": "UNF", "coarse": "UNC", "fine": "UNF"}


def read_designation(name: str) -> Designation:
    """Take a thread's name apart.

    Parameters
    ----------
    name : str

    Returns
    -------
    Designation

    Raises
    ------
    Unreadable
        It is not a thread's name.

    Examples
    --------
    >>> read_designation("3/8-16").size
    Fraction(3, 8)
    """
    text = _plain(name)
    if match := _METRIC.fullmatch(text):
        return _metric(match, name, text)
    if (match := _INCH.fullmatch(text)) and (size := _inches(match)) is not None:
        pitch = Fraction(match["pitch"]) if match["pitch"] else None
        return Designation("unified", size, pitch, _SERIES.get(match["series"] or ""))
    raise Unreadable(
        words(
            "{name!r} is not a thread's name; write it like M10, M10x1.25, 3/8-16 UNC or #10-24",
            name=shown(name),
        ),
        name,
    )


def _plain(name: str) -> str:
    text = vulgar_spelled_out(name[: LONGEST + 1]).casefold()
    text = re.sub(r"[×✕*]", "x", text.replace("⁄", "/"))
    text = re.sub(r"(?<=\d),(?=\d)", ".", text)
    text = re.sub(r"\b(no|nr)\.", "no", text)
    return re.sub(r"\s+", " ", text).strip().rstrip(".,; ")


def _metric(match: re.Match[str], name: str, text: str) -> Designation:
    pitch = Fraction(match["pitch"]) if match["pitch"] else None
    if match["length"] or (pitch is not None and pitch > LARGEST_PITCH):
        raise Unreadable(
            words(
                "{name!r} has a length in it; write the thread alone, such as M10 or M10x1.25",
                name=shown(name),
            ),
            name,
        )
    series = match["series"] or ("fine" if text.startswith("mf") else None)
    return Designation("metric", Fraction(match["size"]), pitch, series)


def _inches(match: re.Match[str]) -> Fraction | None:
    """Return the nominal diameter in inches; a whole number above 1 is a screw number."""
    number = re.sub(r"\D", "", match["number"] or "")
    size = match["size"] or ""
    if not number and size.isdigit() and int(size) > 1:
        number = size
    if number:
        known = {row["size"]: Fraction(row["d_in"]) for row in rows("threads_unified")}
        return known.get(f"#{int(number)}")
    return parse_fraction(size, decimal=".")
