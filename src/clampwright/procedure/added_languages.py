"""Languages that installed packages bring: a row of marks and hints, and a table of words each.

The same rules hold for the tables that Clampwright ships; a test holds them against these.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from clampwright.errors import ClampwrightError
from clampwright.extensions import table
from clampwright.words import words

ROW_FILE, WORDS_FILE = "language.csv", "words.csv"
ROW_COLUMNS = ("tag", "decimal", "thousands", "hints")
WORD_COLUMNS = ("class", "value", "phrases")
NUMBERS = frozenset({"NUMBER", "ORDINAL", "PASSES", "TWICE"})
"""Classes whose value is a number: a whole one, or a fraction for `NUMBER`."""
FEWEST_HINTS = 5
_NUMBER = re.compile(r"[1-9]\d{0,2}(/[1-9]\d?)?")
_WHOLE = re.compile(r"-?[1-9]\d?")


@dataclass(frozen=True, slots=True)
class Language:
    """A language to read procedures in.

    Parameters
    ----------
    tag : str
    decimal, thousands : str
        Its marks.
    hints : tuple of str
        Words by which a text in it is recognised.
    rows : tuple of tuple of str
        Class, value and phrases of each meaning.
    """

    tag: str
    decimal: str
    thousands: str
    hints: tuple[str, ...]
    rows: tuple[tuple[str, str, str], ...]


Meanings = Mapping[str, Collection[str]]
"""The classes of words that there are, each with the values it can have."""


def language_in(
    tag: str, module: object, meanings: Meanings, hints_taken: Collection[str]
) -> Language:
    """Take a language out of a package.

    Parameters
    ----------
    tag : str
        Of the entry point.
    module : module
        Holds ``language.csv`` and ``words.csv``.
    meanings : mapping
    hints_taken : collection of str
        By which another language is recognised.

    Returns
    -------
    Language

    Raises
    ------
    ClampwrightError
        Says what is wrong, and in which row.
    """
    rows = table(module, ROW_FILE, ROW_COLUMNS)
    if len(rows) != 1 or rows[0]["tag"] != tag or not re.fullmatch("[a-z]{2,3}", tag):
        raise ClampwrightError(
            words(
                "{file} must hold one row, whose tag is that of the entry point: {tag}",
                file=ROW_FILE,
                tag=tag,
            )
        )
    row = rows[0]
    _check_marks(row)
    hints = tuple(row["hints"].split())
    both = sorted(set(hints) & set(hints_taken))
    if len(set(hints)) < FEWEST_HINTS or both:
        raise ClampwrightError(
            words(
                "{file}: name at least {count} words by which the language is recognised, and none "
                "of another language ({words})",
                file=ROW_FILE,
                count=FEWEST_HINTS,
                words=", ".join(both) or "-",
            )
        )
    found = table(module, WORDS_FILE, WORD_COLUMNS)
    told = tuple((one["class"], one["value"], one["phrases"]) for one in found)
    check_words(told, WORDS_FILE, meanings)
    return Language(tag, row["decimal"], row["thousands"], hints, told)


def _check_marks(row: Mapping[str, str]) -> None:
    decimal, thousands = row["decimal"], row["thousands"]
    if decimal not in {".", ","} or thousands not in set(".,'’ \u00a0\u202f") - {decimal}:
        raise ClampwrightError(
            words(
                "{file}: the decimal mark is a point or a comma, and the thousands mark another "
                "sign of those in use",
                file=ROW_FILE,
            )
        )


def check_words(rows: Sequence[tuple[str, str, str]], file: str, meanings: Meanings) -> None:
    """Check a table of words.

    Parameters
    ----------
    rows : sequence of (str, str, str)
        Class, value and phrases.
    file : str
        Its name, for messages.
    meanings : mapping

    Raises
    ------
    ClampwrightError
        Says what is wrong, and in which row.
    """
    if not rows:
        raise ClampwrightError(words("{file} is empty", file=file))
    for number, (name, value, phrases) in enumerate(rows, 2):
        if name not in meanings:
            raise ClampwrightError(
                words("{file}, row {row}: there is no class {name}", file=file, row=number,
                      name=name)
            )  # fmt: skip
        if not _possible(name, value, meanings):
            raise ClampwrightError(
                words(
                    "{file}, row {row}: class {name} has no value {value!r}",
                    file=file,
                    row=number,
                    name=name,
                    value=value,
                )
            )
        if not all(_sayable(phrase.strip()) for phrase in phrases.split(" | ")):
            raise ClampwrightError(
                words(
                    "{file}, row {row}: phrases are words, divided by ' | '", file=file, row=number
                )
            )


def _possible(name: str, value: str, meanings: Meanings) -> bool:
    if name in NUMBERS:
        return bool((_NUMBER if name == "NUMBER" else _WHOLE).fullmatch(value))
    return value in meanings[name]


def _sayable(phrase: str) -> bool:
    """Whether a phrase has something that can be looked up in a text."""
    return any(sign.isalnum() for sign in phrase) or phrase in {"&", "^", "*"}
