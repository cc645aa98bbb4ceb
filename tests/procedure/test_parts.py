"""The parts of the reader, one at a time."""

from __future__ import annotations

import csv
import itertools
import json
import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.procedure import read as public_read
from clampwright.procedure.amounts import Amount
from clampwright.procedure.dual import agreement
from clampwright.procedure.lexing import tokenise
from clampwright.procedure.normalise import clean
from clampwright.procedure.numerals import read_number
from clampwright.procedure.reader import read
from clampwright.procedure.syntax import (
    TABLES,
    balanced,
    build,
    parser,
    phrases,
    tables,
    walk,
)
from clampwright.procedure.unit_text import unit_at
from clampwright.procedure.vocabulary import (
    FOLDER,
    Marks,
    language_of,
    languages,
    marks_of,
    vocabulary,
)


def letters(text: str, locale: str = "en") -> str:
    words = vocabulary(language_of(text, locale))
    return "".join(token.letter for token in tokenise(clean(text).text, words, marks_of(locale)))


# --- plain characters -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("３０　Ｎ・ｍ", "30 N·m"),
        ("30\u00a0Nm", "30 Nm"),
        ("30\u2009Nm", "30 Nm"),
        ("tigh-\nten", "tighten"),
        ("tigh\u00adten", "tighten"),
        ("90˚", "90°"),
        ("20～25", "20~25"),
        ("e\u0301tape", "étape"),
        ("a\r\nb", "a\nb"),
        ("① 30", "(1) 30"),
        ("30。50", "30. 50"),
        ("㎜", "mm"),
    ],
)
def test_plain_form(text: str, plain: str) -> None:
    assert clean(text).text == plain


def test_the_way_back_to_the_original() -> None:
    original = "Zylinder-\nkopf ３０ Nm"
    plain = clean(original)
    start = plain.text.index("30")
    low, high = plain.span(start, start + 2)
    assert original[low:high] == "３０"


# --- numbers -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "marks", "value", "other", "oddity"),
    [
        ("1,200", Marks(".", ","), 1200, None, ""),
        ("1.200", Marks(".", ","), Fraction(6, 5), None, "thousands"),
        ("1.200", Marks(",", "."), 1200, None, "thousands"),
        ("1,200", Marks(), 1200, Fraction(6, 5), "thousands"),
        ("9,5", Marks(".", ","), Fraction(19, 2), None, "foreign_mark"),
        ("9,5", Marks(",", "."), Fraction(19, 2), None, ""),
        ("0.125", Marks(), Fraction(1, 8), None, ""),
        ("1.234,5", Marks(",", "."), Fraction(2469, 2), None, ""),
        ("1’200".replace("’", "'"), Marks(".", "'"), 1200, None, ""),
        ("1 1/2", Marks(), Fraction(3, 2), None, ""),
        ("1½", Marks(), Fraction(3, 2), None, ""),
        ("⅔", Marks(), Fraction(2, 3), None, ""),
    ],
)
def test_numbers_by_locale(
    text: str, marks: Marks, value: Fraction | int, other: Fraction | None, oddity: str
) -> None:
    number = read_number(text, marks)
    assert number is not None
    assert (number.value, number.other, number.oddity) == (value, other, oddity)


@pytest.mark.parametrize("text", ["3.2.1", "1,2,3", "1" * 13, "1/0"])
def test_what_is_no_single_number(text: str) -> None:
    assert read_number(text, Marks(".", ",")) is None


@pytest.mark.parametrize(
    ("tag", "decimal"),
    [("de-DE", ","), ("de-CH", "."), ("es-MX", "."), ("es-ES", ","), ("und", ""), ("xx", "")],
)
def test_decimal_mark_of_a_locale(tag: str, decimal: str) -> None:
    assert marks_of(tag).decimal == decimal


def table_rows(language: str) -> list[list[str]]:
    path = FOLDER / "words" / f"{language}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == ["class", "value", "phrases"]
    assert all(len(row) == 3 for row in rows)
    return rows[1:]


# --- units and words --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "name", "letter"),
    [
        ("ft. lbs. dry", "ft·lbf", "Q"),
        ("N-m", "N·m", "Q"),
        ("in. lbs", "in·lbf", "Q"),
        ("lb.-ft.", "ft·lbf", "Q"),
        ("Nrn", "N·m", "Q"),
        ("ft-Ibs", "ft·lbf", "Q"),
        ("lbs", "lbs", "F"),
        ("N/m", "N/m", "F"),
        ("Nm/rad", "Nm/rad", "F"),
        ("° then", "deg", "A"),
        ("km", "km", "K"),
    ],
)
def test_units_at_a_place(text: str, name: str, letter: str) -> None:
    found = unit_at(text, 0, after_number=True)
    assert found is not None
    assert (found.name, found.letter) == (name, letter)


def test_the_little_word_in_is_no_inch() -> None:
    assert letters("Torque in lb-ft: 25") == "wQ:N"
    assert letters("bolts 1-10 in sequence") == "BN-Nw"
    assert letters("stretch 0.006 in") == "wNL"


@pytest.mark.parametrize("language", sorted(languages()))
def test_every_language_has_the_words_that_matter(language: str) -> None:
    found = {name for means in vocabulary(language).phrases.values() for name, _ in means}
    found |= {name for means in vocabulary(language).endings.values() for name, _ in means}
    needed = "TIGHTEN LOOSEN TURN TORQUE STEP THEN SNUG MAX MIN RECHECK WAIT OIL NEW REUSE NOT"
    assert set(needed.split()) <= found
    assert {"ROTATING", "RUNNING", "STRETCH", "LEFT_HAND", "LUBE", "ORDER", "UNIT"} <= found


@pytest.mark.parametrize("language", [*sorted(languages()), "any"])
def test_tables_of_words_are_well_formed(language: str) -> None:
    known = {row[0] for row in table_rows("en")} | {"NOTFINITE", "SIZE_SERIES", "OTHER_UNIT"}
    rows = [(row[0], phrase) for row in table_rows(language) for phrase in row[2].split(" | ")]
    assert rows
    for name, phrase in rows:
        assert name in known, f"{name} is a class English does not have"
        assert phrase == phrase.strip()
        assert phrase


def test_the_language_of_the_text_wins_over_a_default_but_not_over_a_stated_one() -> None:
    german = "Schrauben mit 30 Nm anziehen und dann um 90° weiterdrehen"
    assert language_of(german, "en") == "de"
    assert language_of("Bolt 30 Nm", "de-DE") == "de"
    assert language_of("ボルト 30 N·m", "en") == "ja"


# --- grammar ----------------------------------------------------------------------------------


def test_prepared_tables_are_those_of_the_grammar() -> None:
    kept, fresh = json.loads(TABLES.read_text(encoding="utf-8")), tables()
    assert kept["grammar"] == fresh["grammar"], "run: python -m clampwright.procedure.syntax"
    for row in ("SN:NQ(NQ;NQ)", "BN-NtNQ,hBN-NtNQ.", "N,NahpNQ", "N+N/-NQ", "w(N)w"):
        assert parser().parse(row) == build().parse(row)


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("75-85 lb ft", "range"),
        ("35 ± 5 N·m", "symmetric"),
        ("45 +5/-0 N·m", "lopsided"),
        ("2 x 90°", "repeat"),
        ("20, 40 and 60 N·m", "list"),
        ("bolts 1-10", "subset"),
        ("in two or three passes", "pass_count"),
        ("order 4-2-1-3-5", "order_list"),
        ("from 12 o'clock to 4 o'clock", "clock"),
        ("50%, 75% and 100% of 120 lb-ft", "portions"),
        ("page 12", "reference"),
        ("M8 x 1.25 x 35", "size"),
        ("step 2:", "step_head"),
    ],
)
def test_phrases_of_the_grammar(text: str, rule: str) -> None:
    tokens = tokenise(text, vocabulary("en"), marks_of("en"))
    assert rule in [item.kind for item in walk(phrases(tokens))]


def test_the_grammar_takes_any_row_of_letters() -> None:
    alphabet = "NWQAL%FSPOBCRMZktbarhTx+-~±/=,;:.()|#ew>gpnE"
    for row in itertools.product(alphabet, repeat=2):
        middle = "".join(row)
        for frame in ("N{}Q", "NQ{}NA", "BN{}N", "(N{})", "{}"):
            parser().parse(balanced(frame.format(middle)))


@given(st.text("NNNQQAWBSt-,/()+x±r%", max_size=30))
@settings(max_examples=300, deadline=None)
def test_the_grammar_takes_long_rows_of_letters(row: str) -> None:
    parser().parse(balanced(row))


# --- two figures -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "unit", "second", "other", "verdict"),
    [
        (22, "ft·lbf", 30, "N·m", "agree"),
        (50, "ft·lbf", 70, "N·m", "warn"),  # 3.2 % apart
        (110, "N·m", 61, "ft·lbf", "ask"),
        (100, "N·m", 75, "ft·lbf", "agree"),  # 101.7: within 2 %
    ],
)
def test_two_figures_for_one_torque(
    first: int, unit: str, second: int, other: str, verdict: str
) -> None:
    one = Amount("Q", unit, Fraction(first), step=Fraction(1))
    two = Amount("Q", other, Fraction(second), step=Fraction(1))
    assert agreement(one, two) == verdict


# --- the public side -----------------------------------------------------------------------------


def test_the_answer_has_the_agreed_keys() -> None:
    assert list(public_read("30 Nm").as_json()) == [
        "status",
        "ambiguous",
        "stages",
        "candidates",
        "why",
        "lubrication",
        "reuse",
        "reuse_limit",
        "warnings",
        "error",
        "spans",
    ]


def test_questions_are_helpful_sentences() -> None:
    reading = read("Torque spark plugs to 25 lbs.")
    assert "25 lbs" in str(reading.why[0])
    assert "feet or inches" in str(reading.why[0])
    assert len(reading.candidates) == 2


def test_spans_show_what_each_number_became() -> None:
    text = "Step 1: 30 Nm (22 lb ft), see page 4"
    found = {text[s.start : s.end]: (str(s.what), s.role) for s in read(text).spans}
    assert found["Step 1:"] == ("step number", "other")
    assert found["30 Nm"][1] == "used"
    assert found["page 4"][1] == "other"


def test_reading_needs_no_heavy_library() -> None:
    code = (
        "import sys\nfrom clampwright.procedure import read\nread('30 Nm + 90°')\n"
        "print(*sorted({name.partition('.')[0] for name in sys.modules}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, encoding="utf-8"
    )
    assert not set(done.stdout.split()) & {"numpy", "scipy", "pydantic", "sqlalchemy", "sqlite3"}


def test_the_room_itself_loads_nothing() -> None:
    code = "import sys, clampwright.procedure\nprint('lark' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
