"""The words of each language, read from tables: one file for a language, one row for a meaning.

A language is added without code: a row in ``languages.csv`` and a file ``words/<tag>.csv`` whose
rows are class, value and the phrases that mean it, divided by ``|``; or the same two tables in a
package of its own (docs/how-to/extend-it.md).
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from clampwright.extensions import LANGUAGE, Found, any_installed, found

if TYPE_CHECKING:
    from clampwright.procedure.added_languages import Language

FOLDER = Path(__file__).parent
CJK = r"\u3005\u3040-\u30ff\u3400-\u9fff"
_WORD = re.compile(rf"[A-Za-z]/[A-Za-z](?![^\W\d_])|[^\W\d_{CJK}]+|[{CJK}]+|\d+|[*^&]")
_JAPANESE = re.compile(f"[{CJK}]")

LONGEST_WORD = 60
Meaning = tuple[str, str]
"""Class of a word and its value, such as ``("ORDER", "star")``."""


@lru_cache(maxsize=16384)
def fold(word: str) -> str:
    """Return a word without case and accents, as it is looked up.

    Parameters
    ----------
    word : str

    Returns
    -------
    str

    Examples
    --------
    >>> fold("Größe")
    'grosse'
    """
    low = word.casefold()
    if low.isascii():
        return low
    decomposed = unicodedata.normalize("NFD", low.replace("œ", "oe").replace("æ", "ae"))
    bare = "".join(c for c in decomposed if not "\u0300" <= c <= "\u036f")
    return unicodedata.normalize("NFC", bare)


@dataclass(slots=True)
class Vocabulary:
    """Phrases of one language with the shared and the English ones behind them.

    Parameters
    ----------
    language : str
        Language tag.
    """

    language: str
    phrases: dict[str, tuple[Meaning, ...]] = field(default_factory=dict)
    longest: dict[str, int] = field(default_factory=dict)
    endings: dict[str, tuple[Meaning, ...]] = field(default_factory=dict)
    beginnings: dict[str, tuple[Meaning, ...]] = field(default_factory=dict)
    _known: dict[str, tuple[Meaning, ...]] = field(default_factory=dict)

    def add(self, phrase: str, meaning: Meaning, *, override: bool) -> None:
        """Add one phrase; later tables do not change what earlier ones said.

        Parameters
        ----------
        phrase : str
            Words; ``*`` before or after a single word stands for any beginning or ending.
        meaning : tuple of str
            Class and value.
        override : bool
            Whether the phrase may get further meanings (own language) or only a first one.
        """
        if len(phrase) > 2 and "*" in (phrase[0], phrase[-1]):
            table = self.endings if phrase[0] == "*" else self.beginnings
            key = fold(phrase.strip("*"))
        else:
            table, key = self.phrases, self._key(phrase)
        if override:
            table[key] = (*table.get(key, ()), meaning)
        elif key not in table:
            table[key] = (meaning,)

    def _key(self, phrase: str) -> str:
        parts = split(phrase)
        if len(parts) == 1 and _JAPANESE.match(phrase):
            self.longest[phrase[0]] = max(self.longest.get(phrase[0], 0), len(phrase))
        else:
            self.longest[parts[0]] = max(self.longest.get(parts[0], 0), len(parts))
        return " ".join(parts)

    def meanings(self, key: str) -> tuple[Meaning, ...]:
        """Return what a phrase (folded, words joined by single spaces) means; may be empty."""
        found = self.phrases.get(key)
        if found is not None:
            return found
        if " " in key or len(key) > LONGEST_WORD:
            return ()
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._by_part(key)
        return known

    def _by_part(self, word: str) -> tuple[Meaning, ...]:
        for length in range(len(word), 2, -1):
            if found := self.endings.get(word[-length:]):
                return found
            if found := self.beginnings.get(word[:length]):
                return found
        if self.language == "de" and re.search("[aou]e", word):
            return self.phrases.get(re.sub("([aou])e", r"\1", word), ())
        return ()


def split(phrase: str) -> list[str]:
    """Return the folded words of a phrase, without hyphens, apostrophes and dots.

    Parameters
    ----------
    phrase : str

    Returns
    -------
    list of str

    Examples
    --------
    >>> split("D'un demi-tour")
    ['d', 'un', 'demi', 'tour']
    """
    return [fold(word) for word in _WORD.findall(phrase)]


def _rows(name: str) -> Iterator[list[str]]:
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        yield from rows


@lru_cache(maxsize=16)
def vocabulary(language: str) -> Vocabulary:
    """Return the words of a language; what it lacks is looked up in English.

    Parameters
    ----------
    language : str
        One of `languages`.

    Returns
    -------
    Vocabulary
    """
    made = Vocabulary(language)
    for meaning, phrase in _phrases(language):
        made.add(phrase, meaning, override=True)
    for other in ("any", "en"):
        if other != language:
            fallback = Vocabulary(other)
            for meaning, phrase in _phrases(other):
                fallback.add(phrase, meaning, override=True)
            _fill(made, fallback)
    return made


def _fill(made: Vocabulary, fallback: Vocabulary) -> None:
    """Take over what is missing; the small words of English only where nothing else claims them."""
    for key, meanings in fallback.phrases.items():
        if key not in made.phrases:
            made.phrases[key] = meanings
    for first, length in fallback.longest.items():
        made.longest[first] = max(length, made.longest.get(first, 0))


def _phrases(language: str) -> Iterator[tuple[Meaning, str]]:
    added = added_languages().named(language)
    for name, value, phrases in (
        _rows(f"words/{language}.csv") if added is None else added.value.rows
    ):
        for phrase in phrases.split(" | "):
            yield (name, value), phrase.strip()


@dataclass(frozen=True, slots=True)
class Marks:
    """Decimal and thousands mark of a locale; empty when the locale is not known."""

    decimal: str = ""
    thousands: str = ""


@lru_cache(maxsize=1)
def languages() -> dict[str, tuple[Marks, frozenset[str]]]:
    """Return the languages that can be read, with their marks and telling words.

    Returns
    -------
    dict
        Tag to marks and words; those of Clampwright itself first.
    """
    added = {
        one.name: (Marks(one.value.decimal, one.value.thousands), _folded(one.value.hints))
        for one in added_languages().brought
    }
    return {**_shipped(), **added}


@lru_cache(maxsize=1)
def _shipped() -> dict[str, tuple[Marks, frozenset[str]]]:
    return {
        tag: (Marks(decimal, thousands), _folded(hints.split()))
        for tag, decimal, thousands, hints in _rows("languages.csv")
    }


def _folded(hints: Iterable[str]) -> frozenset[str]:
    return frozenset(fold(word) for word in hints)


@lru_cache(maxsize=1)
def added_languages() -> Found[Language]:
    """Return the languages that installed packages bring, checked.

    Returns
    -------
    Found of Language
    """
    if not any_installed():
        return Found()
    from clampwright.procedure.added_languages import language_in  # noqa: PLC0415 - few have one

    taken = frozenset(hint for _marks, hints in _shipped().values() for hint in hints)
    shared = shared_meanings()
    return found(
        LANGUAGE, lambda tag, module: language_in(tag, module, shared, taken), {*_shipped(), "any"}
    )


def shared_meanings() -> dict[str, frozenset[str]]:
    """Return the classes of words of the shipped tables, each with the values it has there.

    Returns
    -------
    dict of str to frozenset of str
    """
    values: dict[str, set[str]] = {}
    for tag in ("any", *_shipped()):
        for name, value, _phrases in _rows(f"words/{tag}.csv"):
            values.setdefault(name, set()).add(value)
    return {name: frozenset(those) for name, those in values.items()}


@lru_cache(maxsize=64)
def marks_of(locale: str) -> Marks:
    """Return the number marks of a locale tag; unknown tags have none.

    Parameters
    ----------
    locale : str
        Such as ``de-DE``; ``und`` for unknown.

    Returns
    -------
    Marks

    Examples
    --------
    >>> marks_of("de-CH").decimal
    '.'
    """
    tag = locale.replace("_", "-").casefold()
    for region, decimal, thousands in _rows("regions.csv"):
        if tag == region:
            return Marks(decimal, thousands)
    known = languages().get(tag.partition("-")[0])
    return known[0] if known else Marks()


def language_of(text: str, locale: str) -> str:
    """Return the language whose words are to be used for a text.

    The locale's own language is kept unless another one is clearly written.

    Parameters
    ----------
    text : str
        Plain text.
    locale : str
        Language tag, or ``und``.

    Returns
    -------
    str

    Examples
    --------
    >>> language_of("Schrauben mit 30 Nm anziehen und weiterdrehen", "und")
    'de'
    """
    known = languages()
    own = locale.replace("_", "-").casefold().partition("-")[0]
    if _JAPANESE.search(text[:4000]):
        return "ja"
    found = split(text[:4000])
    scores = {tag: sum(word in hints for word in found) for tag, (_, hints) in known.items()}
    best = max(scores, key=lambda tag: scores[tag])
    # A stated language is kept against a few shared words; plain "en" may only be a default.
    lead = scores[best] - scores.get(own, 0)
    if own in known and (lead < (3 if own == "en" else 6) or scores[best] < 3 * scores[own]):
        return own
    return best if scores[best] else (own if own in known else "en")
