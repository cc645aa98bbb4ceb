from __future__ import annotations

import io
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.errors import BadFile, ClampwrightError
from clampwright.trace import reading
from clampwright.trace.files import read_trace
from clampwright.trace.history import told
from clampwright.trace.model import Step
from clampwright.trace.quick_text import quick_values
from clampwright.trace.reading import read_csv

ROWS = [(0.0, 0.0, 0.0), (0.1, 7.5, 3.5), (0.2, 14.5, 7.0), (0.3, 20.25, 10.0)]


def table(separator: str, header: str, *, comma: bool = False, end: str = "\n") -> bytes:
    lines = [header] + [separator.join(f"{x:g}" for x in row) for row in ROWS]
    text = end.join(lines) + end
    if comma:
        head, _, rest = text.partition(end)
        text = head + end + rest.replace(".", ",")
    return text.encode()


@pytest.mark.parametrize(
    "data",
    [
        table(",", "time_s,torque_Nm,angle_deg"),
        table(";", "time_s;torque_Nm;angle_deg", comma=True),
        table("\t", "time_s\ttorque [N·m]\tangle_deg", comma=True),
        table(";", "Time [s]; Torque (N m); Angle [°]"),
        table(",", "time_s,torque_Nm,angle_deg", end="\r\n"),
        table(",", "time_s,torque_Nm,angle_deg", end="\r"),
        b"\xef\xbb\xbf" + table(",", "time_s,torque_Nm,angle_deg"),
        table(",", "time_s,torque_Nm,angle_deg").decode().encode("utf-16"),
        b"# logger 7\n\n" + table(",", "time_s,torque_Nm,angle_deg"),
        table(",", "time,torque,angle").replace(b"angle\n", b"angle\ns,N m,deg\n"),
        table(",", '"time_s","torque_Nm","angle_deg"'),
    ],
)
def test_the_same_trace_in_many_coats(data: bytes) -> None:
    trace = read_csv(data, "pull.csv")
    np.testing.assert_allclose(np.c_[trace.time, trace.torque, trace.angle], ROWS)
    assert trace.steps == ()


def test_units_in_the_header_are_converted() -> None:
    data = b"time [ms],torque [ft\xc2\xb7lbf],angle_turn\n0,0,0\n100,10,0.25\n"
    trace = read_csv(io.BytesIO(data), "pull.csv")
    assert trace.time[1] == pytest.approx(0.1)
    assert trace.torque[1] == pytest.approx(13.558179483314004)  # exact pound-force and foot
    assert trace.angle[1] == pytest.approx(90.0)


def test_other_columns_are_passed_over_and_their_place_does_not_matter() -> None:
    data = b"battery,angle_deg,note,torque_Nm,time_s\n99,1,a,5,0\n99,2,b,6,0.1\n"
    trace = read_csv(data, "pull.csv", angle_mode="output")
    assert trace.torque.tolist() == [5.0, 6.0]
    assert trace.angle.tolist() == [1.0, 2.0]
    assert trace.angle_mode == "output"


def test_a_rate_becomes_an_angle_less_its_bias_at_rest() -> None:
    time = np.arange(0.0, 4.0, 0.01)
    rng = np.random.default_rng(5)
    rate = np.where((time > 1.0) & (time < 3.0), 30.0, 0.0) + 0.4 + rng.normal(0, 0.15, len(time))
    torque = np.where((time > 1.0) & (time < 3.0), 20.0, 0.0)
    lines = "\n".join(f"{a:.2f},{b:g},{c:.4f}" for a, b, c in zip(time, torque, rate, strict=True))
    trace = read_csv(f"time_s,torque_Nm,rate_dps\n{lines}\n".encode(), "pull.csv")
    assert trace.angle[-1] == pytest.approx(60.0, abs=0.7)
    step = trace.steps[-1]
    assert step.name == "angle from rate"
    assert step.arguments["bias_dps"] == pytest.approx(0.4, abs=0.05)
    assert int(step.arguments["rests"]) >= 2


def test_a_rate_without_rest_says_so() -> None:
    lines = "\n".join(f"{i / 100},{5 + i / 10},{30}" for i in range(200))
    trace = read_csv(f"time_s,torque_Nm,rate_dps\n{lines}\n".encode(), "pull.csv")
    assert trace.steps[-1].arguments["rests"] == 0
    assert float(trace.steps[-1].arguments["u_angle_deg"]) > 1.0


def rows(count: int) -> list[str]:
    return [f"{i / 100:.2f},{i},{i}" for i in range(count)]


def csv(lines: list[str], *, end: str = "\n") -> bytes:
    return ("time_s,torque_Nm,angle_deg\n" + "\n".join(lines) + end).encode()


def test_a_few_rows_without_a_number_are_dropped_and_stated() -> None:
    lines = rows(200)
    lines[50] = "0.50,,50"
    lines[60] = "0.60,nan,60"
    trace = read_csv(csv(lines), "pull.csv")
    assert len(trace) == 198
    assert trace.steps[0].name == "rows without a number dropped"
    assert dict(trace.steps[0].arguments) == {"count": 2, "first_line": 52}


def test_repeated_time_stamps_are_dropped_and_stated() -> None:
    lines = rows(200)
    lines[51] = lines[50]
    trace = read_csv(csv(lines), "pull.csv")
    assert len(trace) == 199
    assert trace.steps[0].arguments["count"] == 1


def test_a_cut_last_line_is_dropped_and_stated() -> None:
    trace = read_csv(csv([*rows(30), "0.30,3"], end=""), "pull.csv")
    assert len(trace) == 30
    assert trace.steps[0].arguments["line"] == 32


def test_gaps_are_stated() -> None:
    lines = rows(100)
    del lines[40:70]
    trace = read_csv(csv(lines), "pull.csv")
    assert trace.steps[0].name == "gaps seen"
    assert trace.steps[0].arguments["longest_s"] == pytest.approx(0.31)


@pytest.mark.parametrize(
    ("data", "line", "column", "says"),
    [
        (b"", 1, 1, "not a trace"),
        (b"time_s,torque_Nm,angle_deg\n", 1, 1, "rows of numbers"),
        (b"a,b,c\n1,2,3\n", 1, 1, "no column for time, torque, angle or rate among a, b, c"),
        (b"time_s,torque_Nm\n0,1\n1,2\n", 1, 1, "no column for angle or rate"),
        (b"time_s,torque,angle_deg\n0,1,2\n0.1,2,3\n", 1, 2, "no unit"),
        (b"time_s,torque [lb],angle_deg\n0,1,2\n0.1,2,3\n", 1, 2, "lb"),
        (b"time_s,torque_kg,angle_deg\n0,1,2\n0.1,2,3\n", 1, 2, "kg"),
        (b"time_s,torque_Nm,torque_ftlbf,angle_deg\n0,1,2,3\n", 1, 3, "two columns for torque"),
        (b"\x89PNG\r\n\x1a\n\x00", 1, 1, "not UTF-8"),
        (csv([*rows(3), "0.03,oops,3", *rows(0)]), 5, 2, "'oops'"),
        (csv(["0,1,2", "0.1,,3", "0.2,2,4"]), 3, 2, "must be a number"),
        (csv(["0,1,2", ",2,3", "0.2,2,4"]), 3, 1, "time must be a number"),
        (csv(["0,inf,2", "0.1,2,3"]), 2, 2, "inf"),
        (csv(["0,nan,2", "0.1,nan,3", "0.2,nan,3"]), 2, 2, "must be a number"),
        (csv(["0,1,2", "0.2,2,3", "0.1,3,4", "0.3,4,5"]), 4, 1, "from 0.2 to 0.1"),
        (csv([f"{i},{i},{i}" for i in range(0, 5000, 10)]), 2, 1, "milliseconds"),
        (csv(["0,1,2"]), 2, 1, "at least 2 rows"),
    ],
)
def test_what_cannot_be_trusted_is_refused_with_its_place(
    data: bytes, line: int, column: int, says: str
) -> None:
    with pytest.raises(BadFile) as caught:
        read_csv(data, "pull.csv")
    assert says in str(caught.value)
    assert "pull.csv" in str(caught.value)
    assert (caught.value.line, caught.value.column) == (line, column)


def test_a_huge_file_is_refused_before_it_is_read_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "MAX_BYTES", 100)
    file = io.BytesIO(csv(rows(1000)))
    with pytest.raises(BadFile, match="too large"):
        read_csv(file, "pull.csv")
    assert file.tell() == 0


class Pipe(io.BytesIO):
    def seekable(self) -> bool:
        return False


def test_of_a_pipe_no_more_is_read_than_shows_that_it_is_too_much(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(reading, "MAX_BYTES", 100)
    file = Pipe(csv(rows(1000)))
    with pytest.raises(BadFile, match="too large"):
        read_csv(file, "pull.csv")
    assert file.tell() == 101


def test_ten_gigabytes_are_refused_at_once_and_in_constant_memory(tmp_path: Path) -> None:
    path = tmp_path / "endless.csv"
    with path.open("wb") as file:
        file.truncate(10_000_000_000)  # sparse: takes no room on the disk
    tracemalloc.start()
    with path.open("rb") as file, pytest.raises(BadFile, match="too large for one pull"):
        read_trace(file, "endless.csv")
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 2_000_000


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text,
        lambda text: text.replace(",", ";"),
        lambda text: text.replace(",", ";").replace(".", ","),
        lambda text: text.replace(",", "\t"),
        lambda text: "\ufeff" + text,
        lambda text: text.replace("time_s,torque_Nm", "time_s,torque_Nm", 1) + "\n",
    ],
)
def test_a_long_clean_table_is_read_quickly_to_the_same_bits(change: Callable[[str], str]) -> None:
    rng = np.random.default_rng(8)
    walk = np.cumsum(rng.normal(size=(2000, 3)), axis=0)
    walk[:, 0] = np.arange(2000) / 333
    lines = [",".join(repr(float(x)) for x in row) for row in walk]
    text = change("\n".join(["time_s,torque_Nm,angle_deg", *lines, ""]))
    assert quick_values(text.encode(), "long.csv") is not None
    quick = read_csv(text.encode(), "long.csv")
    slow = read_csv(text.encode() + b"# nothing more\n", "long.csv")
    np.testing.assert_array_equal(quick.torque, slow.torque)
    np.testing.assert_array_equal(quick.torque, walk[:, 1])
    np.testing.assert_array_equal(quick.time, slow.time)
    np.testing.assert_array_equal(quick.angle, slow.angle)


def test_a_long_table_that_is_not_clean_still_names_its_line() -> None:
    lines = rows(3000)
    lines[2500] = "24.00,1,1"
    with pytest.raises(BadFile, match="line 2502") as caught:
        read_csv(csv(lines), "pull.csv")
    assert caught.value.line == 2502
    lines[2500] = "25.00,oops,1"
    with pytest.raises(BadFile, match="'oops'"):
        read_csv(csv(lines), "pull.csv")


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200).map(str.encode)))
def test_anything_else_is_a_message_never_a_traceback(data: bytes) -> None:
    for start in (b"", b"time_s,torque_Nm,angle_deg\n0,1,2\n"):
        outcome = attempted(start + data)
        assert "fuzz.csv" in outcome or int(outcome) >= 2


def test_the_history_can_be_told() -> None:
    lines = rows(200)
    lines[50] = "0.50,,50"
    lines[81] = lines[80]
    del lines[120:150]
    trace = read_csv(csv([*lines, "2.0"], end=""), "pull.csv")
    assert [str(told(step)) for step in trace.steps] == [
        "the last line (172) was cut off and was left out",
        "rows without a number left out: 1, the first in line 52",
        "rows with a repeated time left out: 1",
        "gaps: 1, the longest 0.31 s",
    ]
    assert str(told(Step("left-hand thread"))) == "left-hand thread"


def attempted(data: bytes) -> str:
    """Return the number of samples, or the message."""
    try:
        return str(len(read_csv(data, "fuzz.csv")))
    except ClampwrightError as error:
        return str(error)
