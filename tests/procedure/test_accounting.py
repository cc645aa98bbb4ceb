"""No number of the text is lost: each is used, recognised as something else, or reported."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.procedure import spans
from clampwright.procedure.reader import read
from clampwright.procedure.reading import Reading


def unaccounted(text: str, reading: Reading) -> list[str]:
    """Return the runs of digits that no span covers."""
    covered = {place for span in reading.spans for place in range(span.start, span.end)}
    return [
        match[0]
        for match in re.finditer(r"[0-9０-９]+", text)
        if not covered.intersection(range(*match.span()))
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Step 1: 30 Nm. Step 2: +90°",
        "Bolts 1-10: 65 ft-lb (88 N·m), see page 12, fig. 3",
        "M8 x 1.25 x 35 flange bolts, class 10.9, 25 Nm, part no. 12345-678",
        "Warm engine to 80 °C, let cool for 2 hours, then 75 N·m",
        "Version 2.1 of 12.03.2021: 30 Nm 4711",
        "Head bolts ......... 65 N·m ......... 4-12",
        "Tighten to 33 1/3 % of 90 Nm",
    ],
)
def test_every_number_has_a_span(text: str) -> None:
    assert unaccounted(text, read(text)) == []


NOTES = (
    "Note {n}: the old manual says {value} Nm for this cover.",
    "({value} N·m on the earlier engine)",
    "Customer remembers about {value} ft-lb.",
    "was previously {value} Nm",
    "ask {n} about {value} Nm",
    "instead of {value} Nm",
    "Never {value} Nm!",
    "reading of the other wrench {value} Nm",
    "Früher waren es {value} Nm.",
    "nicht {value} Nm",
    "jamais {value} N.m",
    "el valor antiguo era {value} Nm",
    "in officina dicono {value} Nm",
    "o colega falou em {value} Nm",
    "volgens de oude tabel {value} Nm",
    "以前は{value} N·m",
    "{value}",
    "tel. {value}-{n}",
    "[{value} kgf·cm?]",
    "bolts from batch {value}",
)


def _figures(stage: dict[str, object]) -> set[float]:
    also = stage.get("also") or []
    beside = also if isinstance(also, list) else [also]
    setting = stage.get("wrench_setting")
    told = [stage, *beside, *([setting] if setting else [])]
    keys = ("value", "tolerance_low", "tolerance_high")
    return {one[key] for one in told for key in keys if isinstance(one.get(key), int | float)}


def told(text: str, value: int, start: int, reading: Reading) -> bool:
    """Tell whether a person sees what became of a figure: its stage, a question, or its name."""
    where = text.index(str(value), start)
    piece = next(one for one in spans(text, reading) if one.start <= where < one.end)
    if piece.role != "used":
        return piece.role != "plain"
    stages = [reading.stages[stage].as_json() for stage in piece.stages]
    return any(value in _figures(stage) for stage in stages)


@pytest.mark.no_cover
def test_a_thousand_torques_slipped_into_notes_are_all_used_or_reported() -> None:
    plain = "Head bolts 30 Nm + 90°."
    for number in range(1000):
        value = 1001 + 3 * number
        note = NOTES[number % len(NOTES)].format(n=number + 1, value=value)
        text = f"{plain} {note}"
        assert told(text, value, len(plain), read(text)), text


@pytest.mark.no_cover
def test_a_thousand_torques_in_the_notes_of_one_text_are_all_used_or_reported() -> None:
    values = [1001 + 3 * number for number in range(1000)]
    notes = [NOTES[n % len(NOTES)].format(n=n + 1, value=value) for n, value in enumerate(values)]
    text = "Head bolts 30 Nm + 90°.\n" + "\n".join(notes)
    reading = read(text)
    assert reading.status == "ambiguous"
    place = 0
    for value in values:
        place = text.index(str(value), place)
        assert told(text, value, place, reading), text[place - 40 : place + 20]


def pieces(text: str, locale: str = "en") -> list[tuple[str, str, tuple[int, ...]]]:
    return [(text[s.start : s.end], s.role, s.stages) for s in spans(text, read(text, locale))]


def test_the_pieces_say_which_stages_a_figure_became() -> None:
    text = "Oil the threads. Bolts 1-4: 30 Nm (22 lb ft), max. 33 Nm, then 2 x 90°, see page 12"
    found = {piece: (role, stages) for piece, role, stages in pieces(text) if role != "plain"}
    assert found["Oil the threads"] == ("used", ())
    assert found["Bolts 1-4"] == ("used", ())
    assert found["30 Nm"] == found["22 lb ft"] == found["33 Nm"] == ("used", (0,))
    assert found["2 x 90°"] == ("used", (1, 2))
    assert found["page 12"] == ("other", ())


def test_words_that_made_a_stage_are_shown_with_it() -> None:
    read_back = pieces("Loosen all bolts. Nip them up, then 20 N·m; check again after 10 min")
    found = {piece: stages for piece, role, stages in read_back if role == "used"}
    assert found["Loosen"] == (0,)
    assert found["Nip"] == (1,)
    assert found["20 N·m"] == (2,)
    assert found["check again"] == (4,)


def test_figures_in_a_question_are_shown_as_asked() -> None:
    roles = {piece: role for piece, role, _ in pieces("30 Nm or 40 Nm, then 90°")}
    assert roles["30 Nm"] == roles["40 Nm"] == "asked"
    assert roles["90°"] == "used"


def test_a_refused_text_is_one_piece_with_the_cause() -> None:
    text = "<b>30 Nm</b>"
    (piece,) = spans(text, read(text))
    assert (piece.start, piece.end, piece.role) == (0, len(text), "reported")
    assert spans("", read("")) == ()


def test_the_reading_of_another_text_is_turned_away() -> None:
    with pytest.raises(ValueError, match="longer text"):
        spans("30 Nm", read("Step 1: 30 Nm, then 90°"))


def test_pieces_of_any_text_join_to_the_text_again() -> None:
    for text in (
        "Ａ１½ 1½ turns\r\n30\u00adNm ①②",
        "Schrau-\nben 3 0 Nm",
        "ボルト１～８ ３０Ｎ・ｍ",
    ):
        assert "".join(piece for piece, _, _ in pieces(text, "und")) == text


WORDS = st.sampled_from(
    [
        "tighten",
        "bolts",
        "to",
        "30",
        "Nm",
        "then",
        "90",
        "°",
        "loosen",
        "step",
        "1",
        "2",
        "turn",
        "1/2",
        "(",
        ")",
        "+",
        "-",
        ",",
        ".",
        ";",
        ":",
        "45",
        "ft-lb",
        "and",
        "after",
        "10",
        "min",
        "wait",
        "km",
        "50",
        "max",
        "min",
        "oil",
        "threads",
        "new",
        "M8",
        "x",
        "1.25",
        "±",
        "5",
        "%",
        "page",
        "no.",
        "until",
        "contact",
        "anziehen",
        "mit",
        "Schrauben",
        "lösen",
        "um",
        "serrer",
        "vis",
        "à",
        "puis",
        "apretar",
        "a",
        "vuelta",
        "serrare",
        "poi",
        "apertar",
        "volta",
        "aanhalen",
        "slag",
        "締め付ける",
        "回転",
        "ボルト",
    ]
)


@given(st.lists(WORDS, max_size=25).map(" ".join), st.sampled_from(["en", "de", "fr", "ja", "und"]))
@settings(max_examples=300, deadline=None)
def test_words_in_any_order_never_lose_a_number(text: str, locale: str) -> None:
    reading = read(text, locale)
    if reading.error is None or reading.error.code == "no_tightening_instruction":
        assert unaccounted(text, reading) == []


@given(st.text(max_size=120), st.sampled_from(["en", "de-DE", "und", "", "x" * 40]))
@settings(max_examples=300, deadline=None)
def test_any_text_gives_an_answer(text: str, locale: str) -> None:
    reading = read(text, locale)
    data = reading.as_json()
    assert data["status"] in {"ok", "ambiguous", "refused"}
    assert (data["error"] is not None) == (data["status"] == "refused")
    assert bool(reading.why) == (data["status"] == "ambiguous")
    for span in reading.spans:
        assert 0 <= span.start < span.end <= len(text)
        assert all(0 <= stage < len(reading.stages) for stage in span.stages)
    assert "".join(text[one.start : one.end] for one in spans(text, reading)) == text


TEMPLATES = {
    "en": "Tighten to {torque} Nm, then turn {angle}°",
    "de-DE": "Mit {torque} Nm anziehen, dann {angle}° weiterdrehen",
    "fr-FR": "Serrer à {torque} N·m puis tourner de {angle}°",
    "es-ES": "Apretar a {torque} Nm y girar {angle}°",
    "it-IT": "Serrare a {torque} Nm, poi ruotare di {angle}°",
    "pt-BR": "Apertar com {torque} Nm e girar {angle}°",
    "nl-NL": "Aanhalen met {torque} Nm, daarna {angle}° verdraaien",
    "ja-JP": "{torque} N·m で締め付け、{angle}°回す",
}


@given(
    st.sampled_from(sorted(TEMPLATES)),
    st.integers(10, 9990),
    st.integers(10, 360),
)
@settings(max_examples=200, deadline=None)
def test_numbers_times_language(locale: str, tenths: int, angle: int) -> None:
    mark = "." if locale in {"en", "ja-JP"} else ","
    whole, rest = divmod(tenths, 10)
    torque = f"{whole}{mark}{rest}" if rest else str(whole)
    reading = read(TEMPLATES[locale].format(torque=torque, angle=angle), locale)
    assert reading.status == "ok", (reading.why, torque)
    assert [(stage.kind, stage.value) for stage in reading.stages] == [
        ("torque", tenths / 10),
        ("angle", float(angle)),
    ]
