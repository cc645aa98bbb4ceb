"""Which language a request is answered in."""

from __future__ import annotations

import threading

import pytest

from clampwright.locale import choice, language, negotiated, page_tag, speaking


@pytest.fixture(autouse=True)
def german_is_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choice, "spoken", lambda: ("en", "de"))
    negotiated.cache_clear()


@pytest.mark.parametrize(
    ("accepted", "tag"),
    [
        ("de", "de"),
        ("de-DE,de;q=0.9,en;q=0.8", "de"),
        ("de-CH", "de_CH"),
        ("de-Latn-AT", "de_AT"),
        ("DE-ch", "de_CH"),
        ("en-US,en;q=0.5", "en"),
        ("en-GB, de;q=0.9", "en_GB"),
        ("en;q=0.3, de;q=0.7", "de"),
        ("fr, de;q=0.2", "de"),
        ("de;q=0, en;q=0.1", "en"),
        ("de ; q = 0.5 , en ; q=0.6", "en"),
        ("de-XX", "de"),
        ("deu", None),
        ("fr", None),
        ("*", None),
        ("", None),
        (None, None),
        ("de;q=2, en;q=zero, ;;;,,", None),
        ("de_CH", None),
        ("\x00de", None),
        ("x" * 100_000, None),
    ],
)
def test_what_the_browser_accepts_by_weight(accepted: str | None, tag: str | None) -> None:
    """Weights and order as RFC 9110, 12.5.4, says; regions are those the Unicode CLDR knows."""
    assert negotiated(None, accepted) == tag


@pytest.mark.parametrize(
    ("chosen", "accepted", "tag"),
    [
        ("de", "en-US", "de"),
        ("en", "de-CH", "en"),
        ("de", "en, de-CH;q=0.5", "de_CH"),
        ("fr", "de", "de"),
        ("../../etc", None, None),
        ("de; path=/", "en", "en"),
    ],
)
def test_what_the_person_chose_comes_first(chosen: str, accepted: str | None, tag: str) -> None:
    assert negotiated(chosen, accepted) == tag


def test_a_choice_holds_inside_and_no_further(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CLAMPWRIGHT_LANG", "en_GB")
    heard: list[str] = []
    with speaking("de"):
        other = threading.Thread(target=lambda: heard.append(language()))
        other.start()
        other.join()
        with speaking(None):
            heard.append(language())
    assert heard == ["en_GB", "de"]
    assert language() == "en_GB"
    assert page_tag() == "en-GB"
