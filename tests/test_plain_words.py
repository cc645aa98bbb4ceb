"""What a person reads is in plain words: short sentences, no words of programmers or offices.

The limits are our own; the habit behind them (one thought a sentence, the shorter word) is that of
plain-language guides in general: common practice, no source.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

TEMPLATE = Path(__file__).parents[1] / "src/clampwright/locale/clampwright.pot"
LONGEST = 30
"""Words of a sentence, or of its part up to a colon or semicolon."""
USUAL = 9
"""Words of a sentence on average, at most."""
JARGON = re.compile(
    r"\b(utili[sz]\w+|leverag\w+|invalid\w*|abort\w*|illegal\w*|parse[ds]?|deprecat\w+|"
    r"instantiat\w+|synchroni[sz]\w+|authenticat\w+|credential\w*|execut\w+|terminat\w+|fatal|null|"
    r"boolean|integers?|exceptions?|traceback|timeout|please note|simply|obviously|optimal|"
    r"functionality|prior to|in order to|aforementioned|herein|respectively)\b",
    re.IGNORECASE,
)


def sentences() -> list[str]:
    with TEMPLATE.open(encoding="utf-8") as file:
        found = [str(message.id) for message in read_po(file) if message.id]
    assert len(found) > 4000
    return found


def parts(text: str) -> list[str]:
    return [part for part in re.split(r"(?<=[.!?:;])\s+", text) if part]


def test_no_sentence_is_long_and_most_are_short() -> None:
    lengths = [(len(part.split()), part) for text in sentences() for part in parts(text)]
    assert [part for count, part in lengths if count > LONGEST] == []
    assert sum(count for count, _part in lengths) / len(lengths) <= USUAL


def test_words_of_programmers_and_offices_stay_out() -> None:
    found = [(match[0], text) for text in sentences() if (match := JARGON.search(text))]
    assert found == []


@pytest.mark.parametrize("text", ["The input is invalid", "Authentication failed", "prior to use"])
def test_the_check_can_fail(text: str) -> None:
    assert JARGON.search(text)


GERMAN = TEMPLATE.parent / "de" / "LC_MESSAGES" / "clampwright.po"
LONGEST_GERMAN = 30
"""As in English: compounds make German sentences shorter in words, verbs at the end longer."""
OFFICIALESE = re.compile(
    r"\b(diesbezüglich\w*|bezüglich|hinsichtlich|gegebenenfalls|ggf\.|seitens|zwecks|mittels|"
    r"vorgenannt\w*|unverzüglich|erfolgt\w*|durchgeführt|Durchführung|Inbetriebnahme|"
    r"ungültige Eingabe|Parameter|deaktivier\w*|synchronisier\w*|authentifizier\w*|du|dein\w*)\b"
)


def test_german_is_as_plain() -> None:
    with GERMAN.open(encoding="utf-8") as file:
        told = [str(one.string) for one in read_po(file, locale="de") if one.id and one.string]
    assert len(told) > 4000
    assert [p for text in told for p in parts(text) if len(p.split()) > LONGEST_GERMAN] == []
    assert [(match[0], text) for text in told if (match := OFFICIALESE.search(text))] == []
