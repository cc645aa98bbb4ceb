from __future__ import annotations

import io
from collections.abc import Mapping

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pyarrow import parquet

from clampwright.errors import BadFile
from clampwright.trace import parquet as ours
from clampwright.trace.model import Trace
from clampwright.trace.parquet import read_parquet
from clampwright.trace.parquet_archive import traces_in

TIME = np.arange(400) / 200.0
PULL = {"time_s": TIME, "torque [ft·lbf]": 10.0 * TIME, "angle_deg": 30.0 * TIME}


def written(columns: Mapping[str, object], **options: object) -> bytes:
    sink = io.BytesIO()
    parquet.write_table(pa.table(dict(columns)), sink, **options)
    return sink.getvalue()


def test_units_and_order_of_columns_are_those_of_a_text_table() -> None:
    mixed = {"battery": np.ones(400), **dict(reversed(PULL.items()))}
    trace = read_parquet(written(mixed), "pull.parquet", angle_mode="output")
    np.testing.assert_allclose(trace.torque, 13.558179483314004 * TIME)
    np.testing.assert_array_equal(trace.angle, PULL["angle_deg"])
    assert trace.angle_mode == "output"


@pytest.mark.parametrize("kind", ["float32", "int32", "float16"])
def test_other_kinds_of_numbers_are_taken(kind: str) -> None:
    columns = {**PULL, "angle_deg": np.arange(400).astype(kind)}
    assert read_parquet(written(columns), "pull.parquet").angle[-1] == 399.0


def test_missing_values_are_left_out_and_said() -> None:
    torque = pa.array([None if i == 7 else float(i) for i in range(400)])
    trace = read_parquet(written({**PULL, "torque [ft·lbf]": torque}), "pull.parquet")
    assert len(trace) == 399
    assert trace.steps[0].arguments == {"count": 1, "first_line": 8}


@pytest.mark.parametrize(
    ("columns", "says"),
    [
        ({"a": [1.0]}, "no column for time, torque"),
        ({**PULL, "angle_deg": ["x"] * 400}, "row 1, column angle_deg: numbers are expected"),
        ({**PULL, "time_s": TIME[::-1].copy()}, "row 2, column time_s: the time runs backward"),
        ({**PULL, "time_s": np.arange(400) * 5.0}, "milliseconds"),
        ({**PULL, "angle_deg": np.full(400, np.nan)}, "angle must be a number"),
        ({key: value[:1] for key, value in PULL.items()}, "at least 2 rows"),
        ({key: value[:0] for key, value in PULL.items()}, "at least 2 rows"),
    ],
)
def test_what_cannot_be_trusted_is_refused(columns: Mapping[str, object], says: str) -> None:
    with pytest.raises(BadFile, match=r"pull\.parquet") as caught:
        read_parquet(written(columns), "pull.parquet")
    assert says in str(caught.value)


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.9, 0.999])
def test_a_cut_file_is_said_to_be_cut(share: float) -> None:
    data = written(PULL)
    with pytest.raises(BadFile, match="cut off"):
        read_parquet(b"PAR1" + data[4 : int(len(data) * share)], "pull.parquet")


@settings(max_examples=60, deadline=None)
@given(st.integers(4, 3000), st.integers(0, 255))
def test_a_damaged_byte_gives_a_trace_or_a_message(place: int, value: int) -> None:
    data = bytearray(written(PULL))
    data[place % len(data)] = value
    outcome = attempted(bytes(data))
    assert "pull.parquet" in outcome or int(outcome) >= 2


def attempted(data: bytes) -> str:
    """Return the number of samples, or the message."""
    try:
        return str(len(read_parquet(data, "pull.parquet")))
    except BadFile as error:
        return str(error)


def test_too_many_rows_are_refused_before_they_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ours, "MAX_ROWS", 399)
    with pytest.raises(BadFile, match="400 rows are too many for one pull"):
        read_parquet(written(PULL), "pull.parquet")


def archive(count: int, **options: object) -> bytes:
    columns = {key: np.tile(value, count) for key, value in PULL.items()}
    return written({"trace": np.repeat(np.arange(count), 400), **columns}, **options)


def test_pulls_of_an_archive_come_whole_wherever_batches_end() -> None:
    data = archive(400, row_group_size=70_001)  # 160,000 rows: several batches
    pulls = list(traces_in(io.BytesIO(data), "archive.parquet"))
    assert [name for name, _ in pulls] == [str(i) for i in range(400)]
    for _, trace in pulls:
        assert isinstance(trace, Trace)
        np.testing.assert_array_equal(trace.time, TIME)


def test_one_bad_pull_of_an_archive_does_not_stop_the_rest() -> None:
    columns = {key: np.tile(value, 3) for key, value in PULL.items()}
    columns["time_s"][500] = -1.0
    data = written({"id": ["a"] * 400 + ["b"] * 400 + ["c"] * 400, **columns})
    found = dict(traces_in(data, "archive.parquet"))
    assert isinstance(found["a"], Trace)
    assert isinstance(found["c"], Trace)
    assert "row 501, column time_s" in str(found["b"])


def test_an_archive_needs_names() -> None:
    with pytest.raises(BadFile, match="names the pull"):
        list(traces_in(written(PULL), "archive.parquet"))


def test_an_archive_with_names_missing_is_still_read() -> None:
    names = pa.array([None] * 400 + ["b"] * 400)
    columns = {key: np.tile(value, 2) for key, value in PULL.items()}
    assert [n for n, _ in traces_in(written({"trace": names, **columns}))] == ["None", "b"]


NAMES = [f"{'x' * 4000}{i}" for i in range(400)]
"""Each is another one, and as long as nobody names a pull: a hundredth of it when packed."""


def test_what_would_unpack_to_more_than_its_rows_is_refused_before_it_is_read() -> None:
    columns = {
        "trace": NAMES * 10,
        **{key: np.resize(values, 4000) for key, values in PULL.items()},
    }
    packed = written(columns, compression="zstd", use_dictionary=False)
    assert len(packed) * 100 < 4000 * 4000
    with pytest.raises(BadFile, match=r"would unpack to 16\d{6} bytes for 4000 rows"):
        next(traces_in(packed))


def test_names_that_are_unpacked_row_by_row_are_refused() -> None:
    columns = {"trace": pa.array([b"x" * 4000] * 400), **PULL}
    with pytest.raises(BadFile, match="must hold text or whole numbers, and holds binary"):
        next(traces_in(written(columns)))


def test_more_columns_than_any_recording_are_refused() -> None:
    columns = {**PULL, **{f"c{i}": np.zeros(400) for i in range(200)}}
    with pytest.raises(BadFile, match="203 columns are too many"):
        read_parquet(written(columns), "pull.parquet")
