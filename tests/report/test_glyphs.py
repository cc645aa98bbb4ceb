"""What the fonts are said to show, they show: held against the typesetter itself."""

from __future__ import annotations

import random
import unicodedata

import pytest
import typst

from clampwright.report.glyphs import FONTS, UNKNOWN, all_showable, covered, showable

FACES = ("DejaVu Sans", "DejaVu Sans Mono")


def set_all(text: str) -> bytes:
    """Set a text in every shipped face; the typesetter refuses what a face does not have."""
    lines = [f'#text(font: "{face}", sys.inputs.text)' for face in FACES]
    lines.append('#text(font: "DejaVu Sans", weight: "bold", sys.inputs.text)')
    source = "#set text(fallback: false)\n" + "\n\n".join(lines)
    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)]
    )
    pdf = typst.Compiler(source.encode(), font_paths=fonts, ignore_system_fonts=True).compile(
        format="pdf", sys_inputs={"text": text}, pdf_standards=["a-3b"]
    )
    assert isinstance(pdf, bytes)
    return pdf


def test_every_letter_said_to_be_there_can_be_set() -> None:
    rng = random.Random(20260101)
    signs = [chr(point) for point in sorted(covered())]
    plain = [sign for sign in signs if unicodedata.category(sign)[0] in "LNPS"]
    text = " ".join(rng.sample(plain, 400))
    assert showable(text) == text
    assert set_all(text).startswith(b"%PDF")


@pytest.mark.parametrize("sign", ["測", "🔧", "ก"])
def test_what_is_not_there_is_refused_by_the_typesetter_and_replaced_here(sign: str) -> None:
    with pytest.raises(typst.TypstError, match="could not be displayed"):
        set_all(sign)
    assert showable(f"a{sign}b") == f"a{UNKNOWN}b"
    assert set_all(showable(sign))


@pytest.mark.parametrize("sign", ["\u202e", "\u200f", "\u2066", "\x07", "\ufeff"])
def test_signs_that_steer_are_made_visible(sign: str) -> None:
    assert showable(f"1{sign}2") == f"1{UNKNOWN}2"


def test_the_signs_of_the_trade_are_there() -> None:
    text = "12,5 N·m ± 0.4 µm 90° × ✓ – — … “x” ≤ ½ äöüßéñçøåłšž αμΔ"
    assert showable(text) == text


def test_only_texts_are_touched() -> None:
    data = {"a": ["測", 1, True, None, {"b": "line\nbreak"}]}
    assert all_showable(data) == {"a": [UNKNOWN, 1, True, None, {"b": "line\nbreak"}]}
