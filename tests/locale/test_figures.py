"""Figures and days in the way of the language (expected values: Unicode CLDR, by region)."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from clampwright.locale import figure, figures, say, told
from clampwright.units import units
from clampwright.words import words


@pytest.fixture(autouse=True)
def german_is_there(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(figures, "spoken", lambda: ("en", "de"))
    figures.writing.cache_clear()
    yield
    figures.writing.cache_clear()


@pytest.mark.parametrize(
    ("tag", "said"),
    [
        ("en", ("1,204.50", "+5%", "31.25", "1.5e-05", "1204")),
        ("en_GB", ("1,204.50", "+5%", "31.25", "1.5e-05", "1204")),
        ("de", ("1.204,50", "+5\xa0%", "31,25", "1,5e-05", "1204")),
        ("de_AT", ("1.204,50", "+5\xa0%", "31,25", "1,5e-05", "1204")),
        ("de_CH", ("1’204.50", "+5%", "31.25", "1.5e-05", "1204")),
        ("fr", ("1,204.50", "+5%", "31.25", "1.5e-05", "1204")),  # no catalogue: as English
    ],
)
def test_the_same_codes_in_every_language(tag: str, said: tuple[str, ...]) -> None:
    given = [(1204.5, ",.2f"), (0.05, "+.0%"), (31.25, "g"), (0.000015, "g"), (1204, "d")]
    assert tuple(figure(value, code, tag) for value, code in given) == said


@pytest.mark.parametrize(
    ("text", "german"),
    [
        ("31.5 N·m", "31,5 N·m"),
        ("-0.5 %", "-0,5 %"),
        ("\N{MINUS SIGN}0.5%", "\N{MINUS SIGN}0,5%"),
        ("≥ 12.5°", "≥ 12,5°"),
        ("30.5 – 40.5 ft·lbf", "30,5 – 40,5 ft·lbf"),
        ("5.1 N·m, 20.25 N·m", "5,1 N·m, 20,25 N·m"),
        ("1,200 N·m", "1.200 N·m"),
        ("2026-11-30", "30.11.2026"),
        ("2026-11-30 08:05 UTC", "30.11.2026, 08:05 UTC"),
        ("2026-11-30T08:05:10.125Z", "30.11.2026, 08:05 UTC"),
        ("2026-13-40", "2026-13-40"),
        ("10.9", "10.9"),
        ("10.9 bolts", "10.9 bolts"),
        ("pump 3.5 N·m.pdf", "pump 3.5 N·m.pdf"),
        ("1.2.3", "1.2.3"),
        ("M10×1.25", "M10×1.25"),
        ("", ""),
    ],
)
def test_only_what_is_wholly_a_quantity_or_a_day_is_rewritten(text: str, german: str) -> None:
    assert told(text, "de") == german
    assert say(words("at {what}", what=text), "de") == f"at {german}"
    assert told(text, "en") == text


def test_every_unit_is_known_behind_a_figure() -> None:
    for unit in units().values():
        for name in (unit.symbol, unit.plural):
            assert told(f"1.5 {name}", "de") == f"1,5 {name}"


def test_a_sentence_keeps_its_codes() -> None:
    sentence = words("{torque:>8.1f} N·m, {share:.1%}, {name!r}", torque=31.04, share=0.5, name="7")
    assert say(sentence, "de") == "    31,0 N·m, 50,0\xa0%, '7'"
    assert str(sentence) == say(sentence, "en") == "    31.0 N·m, 50.0%, '7'"
