"""The ways people write a unit, and what each of them may stand for.

A torque unit is a force word and a length word in either order. They are matched by their parts, so
that the table holds a few dozen words and not the thousands of spellings these make.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import product

from clampwright.units.text import LONGEST, compatible, plain
from clampwright.units.unit import read_rows, units


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one spelling stands for.

    Parameters
    ----------
    names : tuple of str
        Canonical names of the units it may be.
    ask : bool
        True when even a single reading needs a person's word for it (``N/m``).
    quotient : bool
        True when a product is written with a slash (``kg/m``).
    """

    names: tuple[str, ...]
    ask: bool = False
    quotient: bool = False


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


@dataclass(slots=True)
class _Lexicon:
    """Words of the tables; one with their case kept and one with it folded away."""

    whole: dict[str, Meaning] = field(default_factory=dict)
    force: dict[str, set[int]] = field(default_factory=dict)
    length: dict[str, set[int]] = field(default_factory=dict)

    def find(self, key: str) -> Meaning | None:
        return self.whole.get(key) or self._product(key)

    def _product(self, key: str) -> Meaning | None:
        """Cut the key into a force and a length wherever that can be done."""
        rows = _products()
        found: set[int] = set()
        for cut in range(1, len(key)):
            left, right = key[:cut], key[cut:]
            separated = right.startswith("·")
            right = right.removeprefix("·")
            found |= self.force.get(left, set()) & self.length.get(right, set())
            found |= {
                row
                for row in self.length.get(left, set()) & self.force.get(right, set())
                if separated or rows[row]["joined"] == "both"
            }
        names = dict.fromkeys(rows[row]["unit"] for row in sorted(found))
        return Meaning(tuple(names)) if names else None


@lru_cache(maxsize=1)
def _products() -> tuple[dict[str, str], ...]:
    return tuple(read_rows("products"))


@lru_cache(maxsize=1)
def _lexicons() -> tuple[_Lexicon, _Lexicon]:
    exact, folded = _Lexicon(), _Lexicon()
    for spelling, meaning in _whole_spellings():
        key = key_of(spelling)
        exact.whole[key] = meaning
        folded.whole.setdefault(key.casefold(), meaning)
    for number, row in enumerate(_products()):
        for column in ("force", "length"):
            for word in row[column].split():
                for lexicon, key in ((exact, key_of(word)), (folded, key_of(word).casefold())):
                    words_of_column: dict[str, set[int]] = getattr(lexicon, column)
                    words_of_column.setdefault(key, set()).add(number)
    return exact, folded


def _whole_spellings() -> Iterator[tuple[str, Meaning]]:
    """Yield what is looked up whole: units that are no product, quotients, questions."""
    asked = {
        spelling: Meaning(tuple(row["readings"].split()), ask=True)
        for row in read_rows("asked")
        for spelling in row["spellings"].split()
    }
    yield from asked.items()
    for name, unit in units().items():
        if unit.kind != "torque" and name not in asked:
            yield name, Meaning((name,))
    for row in read_rows("spellings"):
        for spelling in row["spellings"].split():
            yield spelling, Meaning((row["unit"],))
    for row in _products():
        for spelling in row["quotient"].split():
            yield spelling, Meaning((row["unit"],), quotient=True)


@lru_cache(maxsize=1024)
def meaning_of(text: str) -> Meaning | None:
    """Return what a spelling stands for, or None when it is not known.

    The case counts where the text has it as the tables do (``mN·m`` against ``MN·m``); any other
    case is taken too, and what only the case could tell apart then has several readings.

    Parameters
    ----------
    text : str

    Returns
    -------
    Meaning or None

    Examples
    --------
    >>> meaning_of("MNM").names
    ('mN·m', 'MN·m')
    """
    if len(text) > LONGEST:
        return None
    exact, folded = _lexicons()
    key = key_of(text)
    return exact.find(key) or folded.find(key.casefold())


def torques_of_force(text: str) -> tuple[str, ...]:
    """Return the torque units of which a bare force is the one half.

    Parameters
    ----------
    text : str
        Such as ``lbf``.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> torques_of_force("lbf")
    ('ft·lbf', 'in·lbf')
    """
    rows = _products()
    numbers = _lexicons()[0].force.get(key_of(text), set())
    return tuple(dict.fromkeys(rows[number]["unit"] for number in sorted(numbers)))


def spellings() -> Iterator[tuple[str, str]]:
    """Yield every spelling that has one meaning, with the unit's canonical name.

    Yields
    ------
    tuple of str
        Spelling and canonical name. Separators stand as ``·``; others are read as well.
    """
    for spelling, meaning in _whole_spellings():
        if not meaning.ask:
            yield spelling, meaning.names[0]
    taken = _lexicons()[0].whole
    for row in _products():
        for force, length in product(row["force"].split(), row["length"].split()):
            yield f"{force}·{length}", row["unit"]
            yield f"{length}·{force}", row["unit"]
            if f"{force}{length}" not in taken:  # kilogram + m is no kilogramm
                yield f"{force}{length}", row["unit"]
            if row["joined"] == "both":
                yield f"{length}{force}", row["unit"]
