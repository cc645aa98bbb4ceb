"""Heads, clearance holes, washers, and the pressure that parts bear under them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from clampwright.errors import Ambiguous, Missing
from clampwright.standards.tables import Row, cited, nearest, optional, rows
from clampwright.standards.thread import Thread, thread
from clampwright.units.text import plain, shown
from clampwright.words import words


@dataclass(frozen=True, slots=True)
class Head:
    """A bolt head's bearing face and drive.

    Parameters
    ----------
    item : str
        Standard it belongs to, such as ``ISO 4014/4017``.
    bearing_diameter : float
        Least outer diameter of the bearing face, mm.
    across_flats : float or None
        Width across flats of hexagon or socket, mm; None where no source has it.
    source : str
    drive : str
        ``hexagon`` or ``socket``.
    flag : str
        What is doubtful about the row.
    """

    item: str
    bearing_diameter: float
    across_flats: float | None
    source: str
    drive: str = "hexagon"
    flag: str = ""


@dataclass(frozen=True, slots=True)
class Hole:
    """A clearance hole; `diameter` in mm."""

    diameter: float
    source: str
    series: str = "medium"


@dataclass(frozen=True, slots=True)
class Washer:
    """A plain washer; inner and outer diameter and thickness in mm."""

    inner: float
    outer: float
    thickness: float
    source: str


@dataclass(frozen=True, slots=True)
class PressureLimit:
    """The pressure a material bears under a head, MPa."""

    material: str
    limit: float
    source: str
    flag: str = ""


_ITEMS = {
    "iso 4014/4017": "ISO 4014/4017",
    "iso 4014": "ISO 4014/4017",
    "iso 4017": "ISO 4014/4017",
    "hexagon": "ISO 4014/4017",
    "hex": "ISO 4014/4017",
    "din 931/933": "DIN 931/933",
    "din 931": "DIN 931/933",
    "din 933": "DIN 931/933",
    "iso 4762": "ISO 4762",
    "din 912": "ISO 4762",
    "socket cap": "ISO 4762",
    "cap": "ISO 4762",
    "en 1665 heavy flange": "EN 1665 heavy flange",
    "en 1665": "EN 1665 heavy flange",
    "heavy flange": "EN 1665 heavy flange",
    "iso 4162/iso 15071 small flange": "ISO 4162/ISO 15071 small flange",
    "iso 4162": "ISO 4162/ISO 15071 small flange",
    "iso 15071": "ISO 4162/ISO 15071 small flange",
    "small flange": "ISO 4162/ISO 15071 small flange",
}
_HOLES = {"fine": "fine", "close": "fine", "medium": "medium", "normal": "medium"}
_HOLES |= {"coarse": "coarse", "loose": "coarse"}


def _words_of(text: str) -> str:
    return re.sub(r"[\s_-]+", " ", plain(text).casefold()).strip()


def _item(text: str) -> str:
    key = re.sub(r"\b(iso|din|en)(\d)", r"\1 \2", _words_of(text))
    key = re.sub(r" ?(?:head|screw|bolt|screws|bolts)\b", "", key).strip()
    if key in {"flange", "flanged"}:
        readings = ("EN 1665 heavy flange", "ISO 4162/ISO 15071 small flange")
        raise Ambiguous(
            words(
                "{item!r} may be the heavy or the small series; write {first} or {second}",
                item=shown(text),
                first=readings[0],
                second=readings[1],
            ),
            readings,
        )
    if key not in _ITEMS:
        known = tuple(dict.fromkeys(_ITEMS.values()))
        raise Missing(
            words(
                "the tables have no head {item!r}; they have {known}",
                item=shown(text),
                known=", ".join(known),
            ),
            needed=text,
        )
    return _ITEMS[key]


def _of_size(table: Iterable[Row], wanted: Thread, what: str) -> list[Row]:
    """Return the rows for a thread's nominal size: fine threads share them with coarse."""
    table = tuple(table)
    size = f"M{wanted.d:g}" if wanted.system == "metric" else wanted.name
    found = [row for row in table if row["thread"] == size]
    if not found:
        known = ", ".join(dict.fromkeys(row["thread"] for row in table))
        raise Missing(
            words(
                "no source here gives {what} for {thread}; there are figures for {known}. "
                "Measure the part and give its dimensions",
                what=what,
                thread=wanted.name,
                known=known,
            ),
            needed=what,
        )
    return found


def _head_row(item: str, thread_name: str) -> Row:
    known = _item(item)
    table = (row for row in rows("heads") if row["item"] == known)
    return _of_size(table, thread(thread_name), known)[0]


def head(item: str, thread_name: str) -> Head:
    """Return a head's bearing face for a thread.

    Parameters
    ----------
    item : str
        ``ISO 4014``, ``hexagon``, ``ISO 4762``, ``socket cap``, ``heavy flange`` …
    thread_name : str
        As `thread` takes it.

    Returns
    -------
    Head

    Raises
    ------
    Missing
        No source here has this head, this size, or its bearing face.
    Ambiguous
        The name fits several heads.

    Examples
    --------
    >>> head("hexagon", "M10").bearing_diameter
    14.63
    """
    row = _head_row(item, thread_name)
    if not row["bearing_diameter_mm"]:
        raise Missing(
            words(
                "no source here gives the bearing face of {item}, {thread}; measure the head",
                item=row["item"],
                thread=row["thread"],
            ),
            needed="bearing diameter",
        )
    return Head(
        item=row["item"],
        bearing_diameter=float(row["bearing_diameter_mm"]),
        across_flats=optional(row["across_flats_mm"]),
        source=cited(row),
        drive=row["drive"],
        flag=row["flag"],
    )


def across_flats(item: str, thread_name: str) -> float:
    """Return the width across flats of a head or its socket, mm.

    Parameters
    ----------
    item, thread_name : str
        As in `head`.

    Returns
    -------
    float

    Raises
    ------
    Missing, Ambiguous
        As in `head`.

    Examples
    --------
    >>> across_flats("DIN 931", "M10"), across_flats("ISO 4014", "M10")
    (17.0, 16.0)
    """
    row = _head_row(item, thread_name)
    if not row["across_flats_mm"]:
        raise Missing(
            words(
                "no source here gives the width across flats of {item}, {thread}; measure the head",
                item=row["item"],
                thread=row["thread"],
            ),
            needed="width across flats",
        )
    return float(row["across_flats_mm"])


def hole(thread_name: str, series: str = "medium") -> Hole:
    """Return the clearance hole of ISO 273.

    Parameters
    ----------
    thread_name : str
    series : {"fine", "medium", "coarse"}

    Returns
    -------
    Hole

    Raises
    ------
    Missing
        No source here has this size or series.

    Examples
    --------
    >>> hole("M10").diameter
    11.0
    """
    wanted = _HOLES.get(_words_of(series))
    if wanted is None:
        raise Missing(
            words(
                "there is no series of holes {series!r}; there are fine, medium, coarse",
                series=shown(series),
            ),
            needed="series of holes",
        )
    table = (row for row in rows("holes") if row["series"] == wanted)
    row = _of_size(table, thread(thread_name), "ISO 273 clearance hole")[0]
    return Hole(float(row["diameter_mm"]), cited(row), wanted)


def washer(thread_name: str) -> Washer:
    """Return the plain washer of ISO 7089.

    Parameters
    ----------
    thread_name : str

    Returns
    -------
    Washer

    Raises
    ------
    Missing
        No source here has this size.

    Examples
    --------
    >>> washer("M10").outer
    20.0
    """
    row = _of_size(rows("washers"), thread(thread_name), "ISO 7089 washer")[0]
    return Washer(
        float(row["inner_mm"]), float(row["outer_mm"]), float(row["thickness_mm"]), cited(row)
    )


def bearing_pressure_limit(material: str) -> PressureLimit:
    """Return the pressure a material bears under a head.

    Parameters
    ----------
    material : str
        Such as ``S235`` or ``AlSi9Cu3 die cast``.

    Returns
    -------
    PressureLimit
        Recalled guide values; editions differ.

    Raises
    ------
    Missing
        The table has no such material.

    Examples
    --------
    >>> bearing_pressure_limit("s235").limit
    490.0
    """
    table = {_words_of(row["material"]): row for row in rows("bearing_pressure")}
    row = table.get(_words_of(material))
    if row is None:
        known = [r["material"] for r in table.values()]
        raise Missing(
            words(
                "the table of bearing pressures has no {material!r}; it has {known}",
                material=shown(material),
                known=", ".join(nearest(material, known) or known),
            ),
            needed=material,
        )
    return PressureLimit(row["material"], float(row["limit_MPa"]), cited(row), row["flag"])
