"""From any spelling of a unit to the unit, or to the question that must be asked."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from clampwright.errors import Ambiguous
from clampwright.units.text import LONGEST, Unreadable, compatible, plain, shown
from clampwright.words import Words, words

Kind = Literal["torque", "force", "length", "stress", "angle", "time", "temperature", "mass"]

FOLDER = Path(__file__).parent

KIND_WORDS: MappingProxyType[str, Words] = MappingProxyType(
    {
        "torque": words("a torque"),
        "force": words("a force"),
        "length": words("a length"),
        "stress": words("a stress or pressure"),
        "angle": words("an angle"),
        "time": words("a time"),
        "temperature": words("a temperature"),
        "mass": words("a mass"),
    }
)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit and what it is in the library's own unit of the same kind.

    Parameters
    ----------
    name : str
        Canonical name, such as ``ft·lbf``.
    kind : str
        What it measures, such as ``torque``; see `Kind`.
    factor : Fraction
        Exact size in N·m, N, mm, MPa, deg, s, °C or kg.
    offset : Fraction
        Added to a value before it is multiplied; other than 0 only for °F.
    symbol, plural : str
        How it is printed after 1 and after any other number.
    spaced : bool
        Whether a space stands before the symbol.
    source : str
        Where the factor comes from.
    """

    name: str
    kind: Kind
    factor: Fraction
    offset: Fraction = Fraction(0)
    symbol: str = ""
    plural: str = ""
    spaced: bool = True
    source: str = ""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one spelling stands for: its possible units, and what is odd about it."""

    names: tuple[str, ...]
    remark: str = ""
    ask: bool = False


def _rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@lru_cache(maxsize=1)
def units() -> MappingProxyType[str, Unit]:
    """Return all known units by canonical name.

    Returns
    -------
    mapping of str to Unit

    Examples
    --------
    >>> units()["ft·lbf"].factor
    Fraction(3389544870828501, 2500000000000000)
    """
    return MappingProxyType({row["name"]: _unit(row) for row in _rows("units.csv")})


def _unit(row: dict[str, str]) -> Unit:
    symbol = row["symbol"] or row["name"]
    return Unit(
        name=row["name"],
        kind=row["kind"],  # type: ignore[arg-type]  # the table's kinds are held by a test
        factor=Fraction(row["factor"]),
        offset=Fraction(row["offset"]),
        symbol=symbol,
        plural=row["plural"] or symbol,
        spaced=row["joined"] != "yes",
        source=row["source"],
    )


# What people put between the parts of a unit: spaces, dots, bullets, hyphens, crosses.
_BETWEEN = re.compile(r"(?:\s+x(?=\s)|[\s.,\-‐-―_*×✕⨯·•∙⋅‧・･●⸱⸳])+")


def key_of(text: str) -> str:
    """Return a unit's text with all separators made one, case kept.

    Parameters
    ----------
    text : str

    Returns
    -------
    str

    Examples
    --------
    >>> key_of("ft. - lbs.")
    'ft·lbs'
    """
    parts = (part for part in _BETWEEN.split(compatible(plain(text))) if part)
    return re.sub(r"·?/·?", "/", "·".join(parts))


@lru_cache(maxsize=1)
def _spellings() -> tuple[dict[str, Meaning], dict[str, Meaning]]:
    """Return all spellings: with their case, and with case folded away."""
    exact: dict[str, Meaning] = {}
    folded: dict[str, Meaning] = {}
    for spelling, meaning in _all_spellings():
        key = key_of(spelling)
        exact[key] = meaning
        low = key.casefold()
        if low in folded and folded[low].names != meaning.names:
            # Only the case tells milli from mega: without it both are possible.
            names = tuple(dict.fromkeys(folded[low].names + meaning.names))
            folded[low] = Meaning(names, meaning.remark, ask=True)
        else:
            folded.setdefault(low, meaning)
    return exact, folded


def _all_spellings() -> Iterator[tuple[str, Meaning]]:
    asked = [
        (spelling, Meaning(tuple(row["readings"].split()), row["why"], ask=True))
        for row in _rows("asked.csv")
        for spelling in row["spellings"].split()
    ]
    kept_for_asking = {key_of(spelling) for spelling, _ in asked}
    for name in units():
        if key_of(name) not in kept_for_asking:
            yield name, Meaning((name,))
    for row in _rows("spellings.csv"):
        for spelling in row["spellings"].split():
            yield spelling, Meaning((row["unit"],))
    for row in _rows("products.csv"):
        yield from _products(row)
    yield from asked


def _products(row: dict[str, str]) -> Iterator[tuple[str, Meaning]]:
    """Yield a torque unit's spellings: force and length words in both orders."""
    usual = Meaning((row["unit"],))
    for force in row["force"].split():
        for length in row["length"].split():
            yield f"{force}·{length}", usual
            yield f"{length}·{force}", usual
            yield f"{force}{length}", usual
            if row["joined"] == "both":
                yield f"{length}{force}", usual
    for spelling in row["quotient"].split():
        yield spelling, Meaning((row["unit"],), "quotient")


def meaning_of(text: str) -> Meaning | None:
    """Return what a spelling stands for, or None when it is not known.

    Parameters
    ----------
    text : str

    Returns
    -------
    Meaning or None
    """
    if len(text) > LONGEST:
        return None
    exact, folded = _spellings()
    key = key_of(text)
    return exact.get(key) or folded.get(key.casefold())


def unit_named(text: str, kind: Kind | None = None) -> Unit:
    """Return the unit that a spelling means.

    Parameters
    ----------
    text : str
        Any spelling: ``N.m``, ``ft-lbs``, ``mkg``, ``°`` …
    kind : str, optional
        What is wanted, such as ``"torque"``; settles spellings that stand for several kinds.

    Returns
    -------
    Unit

    Raises
    ------
    Ambiguous
        The spelling stands for several units (a bare pound or kilogram); carries their names.
    Unreadable
        It is no known unit, or one of another kind.

    Examples
    --------
    >>> unit_named("ft. lbs.").name
    'ft·lbf'
    >>> unit_named("lbs")
    Traceback (most recent call last):
    ...
    clampwright.errors.Ambiguous: 'lbs' alone may mean ft·lbf, in·lbf, lbf, lb; write the unit out
    """
    meaning = meaning_of(text)
    if meaning is None:
        raise _unknown(text, kind)
    known = units()
    names = tuple(n for n in meaning.names if kind is None or known[n].kind == kind)
    if not names:
        raise _wrong_kind(text, meaning, kind)
    if len(names) > 1 or (meaning.ask and len(names) == len(meaning.names)):
        raise _asked(text, names)
    return known[names[0]]


def _asked(text: str, names: tuple[str, ...]) -> Ambiguous:
    listed = ", ".join(names)
    if len(names) == 1:
        message = words(
            "{text!r} is not a torque unit; if {unit} is meant, write it so",
            text=shown(text),
            unit=listed,
        )
    else:
        message = words(
            "{text!r} alone may mean {readings}; write the unit out",
            text=shown(text),
            readings=listed,
        )
    return Ambiguous(message, names)


def _wrong_kind(text: str, meaning: Meaning, kind: Kind | None) -> Unreadable | Ambiguous:
    torques = _torques_of_force(text) if kind == "torque" else ()
    if torques:
        return _asked(text, torques)
    known = units()
    wanted = next((n for n in known if known[n].kind == kind), "")
    return Unreadable(
        words(
            "{text!r} is {found}, but {wanted} is wanted here, such as {example}",
            text=shown(text),
            found=str(KIND_WORDS[known[meaning.names[0]].kind]),
            wanted=str(KIND_WORDS[kind]) if kind else "",
            example=wanted,
        ),
        text,
    )


def _torques_of_force(text: str) -> tuple[str, ...]:
    """Return the torque units of which a bare force is the one half."""
    word = key_of(text).casefold()
    return tuple(
        dict.fromkeys(
            row["unit"]
            for row in _rows("products.csv")
            if word in (key_of(force).casefold() for force in row["force"].split())
        )
    )


def _unknown(text: str, kind: Kind | None) -> Unreadable:
    import difflib  # noqa: PLC0415 - slow to load, and needed only for a message

    _, folded = _spellings()
    known = units()
    spellings = [
        s for s, m in folded.items() if kind is None or any(known[n].kind == kind for n in m.names)
    ]
    near = difflib.get_close_matches(key_of(text[:LONGEST]).casefold(), spellings, n=1, cutoff=0.5)
    if near:
        return Unreadable(
            words(
                "{text!r} is not a known unit; did you mean {near}?",
                text=shown(text),
                near=" / ".join(folded[near[0]].names),
            ),
            text,
        )
    usual = ", ".join(n for n in known if kind is None or known[n].kind == kind)
    return Unreadable(
        words(
            "{text!r} is not a known unit; known are {known}",
            text=shown(text),
            known=usual,
        ),
        text,
    )
