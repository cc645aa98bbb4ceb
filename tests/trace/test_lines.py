from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.errors import BadFile, ClampwrightError
from clampwright.trace.line_form import LineForm, form_from_data, form_from_text, form_from_toml
from clampwright.trace.lines import read_lines, tried

FORM = form_from_text("time 1 ms; torque 2 N·m; angle 3 deg; separator ,")


@pytest.mark.parametrize(
    ("form", "line", "values"),
    [
        ("rate_hz 10; torque 1 N·m; angle 2 deg", "4.5 7", (4.5, 7.0)),
        ("rate_hz 10; torque 2 N·m -; angle 1 turn", "0.5 -3", (3.0, 0.5)),
        ("rate_hz 10; torque T= N·m; angle A= deg", "A=7.5deg T=12,25Nm", (12.25, 7.5)),
        ("rate_hz 10; torque 1 N·m; rate 2 dps; begins >", ">3 90", (3.0, 90.0)),
        ("rate_hz 10; torque 1 N·m; angle 2 deg; separator |", " 1.5Nm | 1e2 ", (1.5, 100.0)),
    ],
)
def test_fields_are_counted_or_named(form: str, line: str, values: tuple[float, ...]) -> None:
    assert form_from_text(form).read(line) == values


@pytest.mark.parametrize("line", ["", "5", "1,2", "a,b,c", "1,-,3"])
def test_a_line_without_all_fields_is_no_sample(line: str) -> None:
    assert FORM.read(line) is None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "must say torque"),
        ("torque 1 N·m; rate_hz 9", "either angle or rate"),
        ("torque 1 N·m; angle 2; rate 3; rate_hz 9", "either angle or rate"),
        ("torque 1 N·m; angle 2 deg", "either time or rate_hz"),
        ("torque 1 N·m; angle 2 deg; time 3; rate_hz 9", "either time or rate_hz"),
        ("torque 1 lb; angle 2 deg; rate_hz 9", "lb"),
        ("torque 1; angle 2 deg; rate_hz 9", "unit"),
        ("torque 0 N·m; angle 2 deg; rate_hz 9", "counted from 1"),
        ("torque 1 N·m; angle 2 deg; rate_hz x", "rate_hz must be a number"),
        ("torque 1 N·m; angle 2 deg; rate_hz -5", "above 0"),
        ("torque 1 N·m; angle 2 deg; rate_hz nan", "above 0"),
        ("moment 1 N·m", "'moment 1 N·m' is not known"),
    ],
)
def test_a_form_that_cannot_be_says_what_would_be_right(text: str, says: str) -> None:
    with pytest.raises(ClampwrightError) as caught:
        form_from_text(text)
    assert says in str(caught.value)


def test_toml_and_one_line_say_the_same() -> None:
    toml = """
        separator = ","
        [time]
        field = 1
        unit = "ms"
        [torque]
        field = 2
        unit = "N·m"
        [angle]
        field = 3
        unit = "deg"
    """
    assert form_from_toml(toml.encode()) == FORM


@pytest.mark.parametrize(
    ("toml", "says"),
    [
        ("[", "not TOML"),
        ("colour = 1", "'colour' is not known"),
        ("torque = 1", "expected field or after"),
        ('[torque]\nfield = "1"\nunit = "N·m"', "whole numbers"),
        ('[torque]\nfield = 1\nunit = "N·m"\nsign = 2', "sign is 1 or -1"),
        ('[torque]\nfield = 1\nafter = "T="\nunit = "N·m"', "which field it is"),
    ],
)
def test_toml_that_cannot_be_says_what_would_be_right(toml: str, says: str) -> None:
    with pytest.raises(ClampwrightError) as caught:
        form_from_toml(toml.encode())
    assert says in str(caught.value)


def test_lines_become_a_trace_with_its_history() -> None:
    data = b"wrench 7\n0,1,2\n5,2,3\n\xff\xfe garbled\n10,3,4\n"
    trace = read_lines(data, FORM, "log")
    assert trace.time.tolist() == [0.0, 0.005, 0.010]
    assert trace.torque.tolist() == [1.0, 2.0, 3.0]
    assert trace.steps[0].arguments == {"count": 2}


def test_trying_shows_what_was_passed_over_and_a_sign_the_wrong_way() -> None:
    found = tried(b"hello\n0,-1,2\n5,-20,3\n10,-3,4\n", FORM)
    says = " / ".join(str(sentence) for sentence in found.told())
    assert "3 of 4 lines read" in says
    assert "'hello'" in says
    assert "turn its sign" in says
    assert found.as_json()["torque_nm"] == [-20.0, -1.0]


def test_nothing_read_is_said_with_the_first_line() -> None:
    with pytest.raises(BadFile, match=r"0 of 2 lines could be read.*'hello'"):
        read_lines(b"hello\nthere\n", FORM, "log")


def test_time_that_runs_backward_names_the_line_of_the_log() -> None:
    with pytest.raises(BadFile, match="log, line 4, column 1") as caught:
        read_lines(b"#\n0,1,2\n10,2,3\n5,3,4\n", FORM, "log")
    assert caught.value.line == 4


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_are_a_trace_or_a_message(data: bytes) -> None:
    form: LineForm = form_from_data(
        {"torque": {"field": 1, "unit": "N·m"}, "angle": {"field": 1}, "rate_hz": 100}
    )
    outcome = attempted(data, form)
    assert "log" in outcome or int(outcome) >= 2


def attempted(data: bytes, form: LineForm) -> str:
    """Return the number of samples, or the message."""
    try:
        return str(len(read_lines(data, form, "log")))
    except BadFile as error:
        return str(error)
