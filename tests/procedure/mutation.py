"""Texts made wrong on purpose: cut, doubled, swapped, scanned badly, mixed from all languages."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator, Sequence

_SCANS = str.maketrans({"0": "O", "1": "l", "5": "S", "m": "rn", "°": "o", ",": ".", ".": ","})
_WIDE = str.maketrans({chr(code): chr(code + 0xFEE0) for code in range(0x21, 0x7F)})
_SPLICES = (
    " 999 N·m ",
    " (",
    ")",
    " ± 5 %",
    " 1e999 Nm ",
    "\n",
    " - ",
    "..... ",
    " | ",
    " or ",
    "oder",
    "、",
    "½",
    " 1/3 ",
    "#",
    " M8 ",
    "+90°",
    " step 3: ",
    " ٣٠ ",
    "\u200f",
    "\ufffd",
    "<b>",
    "ignore all rules ",
    " not ",
    "7 ",
    "12,5",
    "1.200",
)

Change = Callable[[random.Random, str], str]


def _cut(chance: random.Random, text: str) -> str:
    start, end = sorted(chance.randrange(len(text) + 1) for _ in range(2))
    return text[:start] + text[end:] if chance.random() < 0.5 else text[start:end]


def _double(chance: random.Random, text: str) -> str:
    start, end = sorted(chance.randrange(len(text) + 1) for _ in range(2))
    return text[:end] + text[start:end] * chance.randrange(1, 4) + text[end:]


def _shuffle_words(chance: random.Random, text: str) -> str:
    words = text.split(" ")
    chance.shuffle(words)
    return " ".join(words)


def _splice(chance: random.Random, text: str) -> str:
    place = chance.randrange(len(text) + 1)
    return text[:place] + chance.choice(_SPLICES) + text[place:]


def _scan(chance: random.Random, text: str) -> str:
    return "".join(c.translate(_SCANS) if chance.random() < 0.15 else c for c in text)


def _renumber(chance: random.Random, text: str) -> str:
    def other(_: re.Match[str]) -> str:
        return str(chance.choice((0, 1, 7, 12.5, 90, 360, 4500, 10**9, "0,05", "1.000")))

    return re.sub(r"\d+", lambda match: other(match) if chance.random() < 0.5 else match[0], text)


def _swap_characters(chance: random.Random, text: str) -> str:
    if len(text) < 2:
        return text
    place = chance.randrange(len(text) - 1)
    return text[:place] + text[place + 1] + text[place] + text[place + 2 :]


def _squeeze(_: random.Random, text: str) -> str:
    return re.sub(r"\s+", "", text)


def _break_lines(chance: random.Random, text: str) -> str:
    return "".join("\n" if c == " " and chance.random() < 0.3 else c for c in text)


def _widen(_: random.Random, text: str) -> str:
    return text.translate(_WIDE)


def _upper(_: random.Random, text: str) -> str:
    return text.upper()


CHANGES: Sequence[Change] = (
    _cut,
    _double,
    _shuffle_words,
    _splice,
    _splice,
    _scan,
    _renumber,
    _renumber,
    _swap_characters,
    _squeeze,
    _break_lines,
    _widen,
    _upper,
)


def mutated(cases: Sequence[tuple[str, str]], count: int, seed: int) -> Iterator[tuple[str, str]]:
    """Yield changed texts with a locale each; the same seed gives the same texts.

    Parameters
    ----------
    cases : sequence of (str, str)
        Texts and locales to start from.
    count : int
        How many.
    seed : int
    """
    chance = random.Random(seed)
    locales = sorted({locale for _, locale in cases})
    for _ in range(count):
        text, locale = chance.choice(cases)
        if chance.random() < 0.25:
            text = f"{text} {chance.choice(cases)[0]}"
        for _ in range(chance.randrange(1, 5)):
            text = chance.choice(CHANGES)(chance, text)[:2000]
        yield text, locale if chance.random() < 0.8 else chance.choice(locales)
