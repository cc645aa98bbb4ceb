"""Sentences keep their values apart, so that they can be translated and logged."""

from __future__ import annotations

from gettext import GNUTranslations
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from clampwright.locale import catalogue, language, say
from clampwright.words import as_data, from_data, words

SENTENCE = words(
    "{torque:.1f} N·m is above {limit} N·m at {name}", torque=31.04, limit=30, name="7"
)


def test_english_text() -> None:
    assert str(SENTENCE) == "31.0 N·m is above 30 N·m at 7"


def test_there_and_back_through_plain_data() -> None:
    data = as_data(SENTENCE)
    assert data["text"] == str(SENTENCE)
    assert str(from_data(data)) == str(SENTENCE)
    assert not any(isinstance(value, float) for value in data.values())


def test_braces_in_values_are_left_alone() -> None:
    assert str(words("read {text}", text="{0} {x}")) == "read {0} {x}"


def test_a_translation_is_used_and_english_stands_in(tmp_path: Path) -> None:
    german = Catalog(locale="de")
    german.add(SENTENCE.template, "{torque:.1f} N·m liegt über {limit} N·m bei {name}")
    folder = tmp_path / "de" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    with (folder / "clampwright.mo").open("wb") as file:
        write_mo(file, german)
    found = catalogue("de", tmp_path).gettext(SENTENCE.template)
    assert SENTENCE.fill(found) == "31.0 N·m liegt über 30 N·m bei 7"
    assert say(SENTENCE, "xx") == str(SENTENCE)


def test_a_sentence_inside_a_sentence_is_translated_with_it() -> None:
    whole = words("fastener at {place}", place=words("the top"))
    assert str(whole) == "fastener at the top"
    assert str(from_data(as_data(whole))) == str(whole)
    german = Catalog(locale="de")
    german.add("fastener at {place}", "Schraube {place}")
    german.add("the top", "ganz oben")
    known = GNUTranslations(BytesIO(compiled(german)))
    assert whole.fill(known.gettext(whole.template), lambda w: known.gettext(w.template)) == (
        "Schraube ganz oben"
    )


def compiled(german: Catalog) -> bytes:
    out = BytesIO()
    write_mo(out, german)
    return out.getvalue()


def test_numbers_of_numpy_become_plain_decimals() -> None:
    data = as_data(words("{share:.2f}", share=np.float64(0.125)))
    assert data["values"] == {"share": {"number": "0.125"}}


@pytest.mark.parametrize(
    ("variable", "tag"),
    [("C.UTF-8", "en"), ("POSIX", "en"), ("de_AT.UTF-8", "de_AT"), ("de@euro", "de"), ("", "en")],
)
def test_language_of_the_person(monkeypatch: pytest.MonkeyPatch, variable: str, tag: str) -> None:
    for name in ("CLAMPWRIGHT_LANG", "LC_ALL", "LC_MESSAGES"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("LANG", variable)
    assert language() == tag


@pytest.mark.parametrize(
    "template",
    ["{a:>999999999}", "{a.__class__}", "{a[0]}", "{}", "{a!s:5000}", "{a:{b}}", "{a"],
)
def test_templates_from_a_file_ask_for_nothing_but_their_values(template: str) -> None:
    with pytest.raises(ValueError, match="short number format"):
        from_data({"template": template, "values": {"a": "x"}})
