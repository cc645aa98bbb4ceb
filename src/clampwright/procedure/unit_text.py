"""Finding the unit that stands at a place in the text, by the spellings that `units` knows."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from clampwright.procedure.vocabulary import CJK
from clampwright.units.spelling import meaning_of, torques_of_force
from clampwright.units.unit import units

LETTERS = {
    "torque": "Q",
    "angle": "A",
    "length": "L",
    "time": "H",
    "stress": "V",
    "temperature": "V",
    "force": "F",
    "mass": "F",
}
_LONG = {"km": "K", "mi": "K"}
_OTHER = {"g": "V"}
SYMBOLS = {"day": "H", "week": "H", "%": "%"}
"""Units only this room knows: they measure waiting, and portions of a torque."""

_ATOM = rf"(?:[^\W\d_{CJK}]+|[°\"'#])(?:²|³|\^2|2(?!\d))?"
_RUN = re.compile(rf"{_ATOM}(?:[ \t]?[.·*×/&-]{{0,2}}[ \t]?(?:{_ATOM})){{0,3}}")
_DIVIDED = re.compile(r"/[^\W\d_]+")
_PIECE = re.compile(_ATOM)
_HEADINGS = re.compile(
    r"(?:N|n|da?N|kN|cN|mN|ft|foot|feet|lb|lbs|lbf|in|inch|kgf?|kgm|kgcm|mkg|m|kp|kpm|mkp|pi|pie)"
    r"(?![^\W\d_]{3})",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class UnitText:
    """A unit found in the text.

    Parameters
    ----------
    letter : str
        Its class in the grammar.
    name : str
        Canonical name; for a unit that must be asked about, as written.
    end : int
        Where it ends.
    readings : tuple of str
        Torque units it may stand for, where it must be asked about.
    oddity : str
        ``no_length`` (a bare pound or kilogram), ``quotient`` (N/m, ft/lb), ``letters`` (a scanned
        ``rn`` for ``m`` or ``I`` for ``l``), or nothing.
    """

    letter: str
    name: str
    end: int
    readings: tuple[str, ...] = ()
    oddity: str = ""


def unit_at(text: str, start: int, *, after_number: bool) -> UnitText | None:
    """Return the longest unit that starts at a place.

    Parameters
    ----------
    text : str
        Plain text.
    start : int
        Where to look.
    after_number : bool
        Whether a number stands before it; without one only clear torque units are taken.

    Returns
    -------
    UnitText or None

    Examples
    --------
    >>> unit_at("30 ft. lbs. dry", 3, after_number=True).name
    'ft·lbf'
    """
    if not after_number and not _HEADINGS.match(text, start):
        return None
    run = _RUN.match(text, start, start + 60)
    if run is None:
        return None
    for written in _beginnings(run[0]):
        found = _named(written)
        if found is None or (not after_number and found.letter != "Q"):
            continue
        if not after_number and _is_preposition(text, start, written):
            return None
        end = start + len(written)
        if found.name == "turn" and (per := _DIVIDED.match(text, end)):
            return UnitText("V", text[start : per.end()], per.end())  # a speed: tr/min, U/min
        if found.letter == "Q" and _DIVIDED.match(text, end) and not _second_unit(text, end):
            end = _DIVIDED.match(text, end).end()  # type: ignore[union-attr]  # just matched
            return UnitText("F", text[start:end], end, (found.name,), "quotient")
        return UnitText(found.letter, found.name, end, found.readings, found.oddity)
    return None


def _second_unit(text: str, end: int) -> bool:
    """Tell "N·m/ft-lb", two units, from "N·m/rad", a quotient."""
    after = unit_at(text, end + 1, after_number=False)
    return after is not None


def _is_preposition(text: str, start: int, written: str) -> bool:
    """Tell whether "in" before a unit is the little word, as in "torque in lb-ft"."""
    if written[:2].casefold() != "in" or len(written) < 4 or written[2] not in " \t":
        return False
    after = unit_at(text, start + 3, after_number=False)
    return after is not None and after.end > start + len(written)


@lru_cache(maxsize=8192)
def _beginnings(run: str) -> tuple[str, ...]:
    """Return the whole run and its beginnings at the ends of words, longest first."""
    ends = [match.end() for match in _PIECE.finditer(run)]
    return tuple(run[:end] for end in reversed(ends))


@lru_cache(maxsize=8192)
def _named(written: str) -> UnitText | None:
    meaning = meaning_of(written)
    if meaning is None:
        return _scanned(written)
    name = meaning.names[0]
    if meaning.quotient or (meaning.ask and len(meaning.names) == 1):
        return UnitText("F", written, 0, meaning.names, "quotient")
    kind = units()[name].kind
    if meaning.ask and len(meaning.names) > 1:
        torques = tuple(n for n in meaning.names if units()[n].kind == "torque")
        if "g" in meaning.names or not torques:
            return UnitText("V", written, 0)
        return UnitText("F", written, 0, torques, "no_length")
    letter = _LONG.get(name) or _OTHER.get(name) or LETTERS[kind]
    if letter == "F":
        return UnitText("F", name, 0, _torques(name), "no_length")
    if name == "ft" and written == "'":
        return None
    return UnitText(letter, name, 0)


def _torques(force: str) -> tuple[str, ...]:
    """Return the torque units a bare force is likely to stand for; not the rare small ones."""
    found = torques_of_force(force)
    return found[:1] if found[:1] == ("N·m",) else found[:2]


_SCANS = (("rn", "m"), ("Ibf", "lbf"), ("Ib", "lb"), ("1b", "lb"), ("ib", "lb"), ("|b", "lb"))


def _scanned(written: str) -> UnitText | None:
    """Try the letters that scanners confuse: rn for m, I for l."""
    for wrong, right in _SCANS:
        if wrong in written:
            meaning = meaning_of(written.replace(wrong, right))
            if meaning and len(meaning.names) == 1 and units()[meaning.names[0]].kind == "torque":
                return UnitText("Q", meaning.names[0], 0, (), "letters")
    return None
