"""Bad input of every kind: one clear sentence or a stated repair, never a broken answer."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given as drawn_from
from hypothesis import settings
from hypothesis import strategies as st
from pyarrow import parquet

from clampwright.errors import BadFile, ClampwrightError
from clampwright.trace.batch import judged_list
from clampwright.trace.drawn import drawn
from clampwright.trace.files import read_trace
from clampwright.trace.given import Given, given_from_json
from clampwright.trace.model import ANGLE_MODES, Trace
from clampwright.trace.parquet_archive import Archive, traces_in
from clampwright.trace.patterns import PATTERNS
from clampwright.trace.verdict import VERDICTS, judge
from clampwright.words import words

FULL: dict[str, Any] = {
    "d_mm": 10,
    "P_mm": 1.5,
    "grip_mm": 45.0,
    "Rp_MPa": 940,
    "target_torque_Nm": 50.0,
    "snug_torque_Nm": 12.5,
    "procedure": "torque",
    "angle_steps_deg": [],
    "nominal": {
        "K": 0.16,
        "clamp_rate_N_per_deg": 830.0,
        "torque_rate_Nm_per_deg": 1.33,
        "clamp_at_target_N": 31000,
        "angle_snug_to_target_deg": 28.0,
        "combined_yield_clamp_N": 48000,
    },
    "tool_stiffness_Nm_per_deg": 20.0,
    "sample_rate_hz": 200,
    "angle_mode": "handle",
}
FIELDS = {
    "verdict",
    "pattern",
    "fault",
    "likelihoods",
    "reasons",
    "snug_angle_deg",
    "turned_after_snug_deg",
    "turned_total_deg",
    "final_torque_nm",
    "slope_nm_per_deg",
    "yield",
    "strokes",
    "uncertainty",
}
ANGLE: dict[str, Any] = {**FULL, "procedure": "torque_angle", "angle_steps_deg": [90, 90]}


@pytest.fixture(scope="module")
def pull() -> Trace:
    return drawn(3, "normal").trace


def without(whole: dict[str, Any], key: str, value: object = ...) -> dict[str, Any]:
    """Leave a key out, or give it another value; ``nominal.K`` names one within nominal."""
    outer, _, inner = key.partition(".")
    part = dict(whole)
    if inner:
        part[outer] = without(part[outer], inner, value)
    elif value is ...:
        part.pop(outer)
    else:
        part[outer] = value
    return part


def sound(answer: dict[str, Any]) -> None:
    """Every field is there and plain JSON, without NaN."""
    assert answer.keys() >= FIELDS
    assert json.loads(json.dumps(answer, allow_nan=False)) == answer
    assert answer["verdict"] in VERDICTS
    assert answer["pattern"] in PATTERNS
    assert isinstance(answer["fault"], bool)
    assert answer["yield"].keys() == {"reached", "angle_deg", "clamp_n"}
    for stroke in answer["strokes"]:
        assert stroke.keys() == {"t0_s", "t1_s", "turned_deg", "end"}


KEYS = [*FULL, *(f"nominal.{key}" for key in FULL["nominal"])]
UNKNOWN = [(key, ...) for key in KEYS] + [(key, None) for key in KEYS if key != "procedure"]


@pytest.mark.parametrize("whole", [FULL, ANGLE], ids=["torque", "angle"])
@pytest.mark.parametrize(("key", "value"), UNKNOWN)
def test_any_one_thing_may_be_unknown(
    pull: Trace, whole: dict[str, Any], key: str, value: object
) -> None:
    sound(judge(pull, given_from_json(without(whole, key, value))).as_json())


@pytest.mark.parametrize("pattern", PATTERNS)
def test_nothing_need_be_known(pattern: str) -> None:
    sound(judge(drawn(5, pattern).trace, Given()).as_json())
    only = given_from_json({"procedure": "torque_angle", "nominal": None, "angle_steps_deg": None})
    sound(judge(drawn(5, pattern).trace, only).as_json())


def test_a_stage_that_counts_from_its_target_has_no_rotation_to_it(pull: Trace) -> None:
    stage = without(ANGLE, "target_torque_Nm", 12.5)
    stage = without(stage, "nominal.angle_snug_to_target_deg", 0)
    sound(judge(pull, given_from_json(stage)).as_json())


def test_an_angle_that_goes_backward_is_said(pull: Trace) -> None:
    backward = replace(pull, angle=-pull.angle)
    answer = judge(backward, given_from_json(FULL)).as_json()
    sound(answer)
    assert answer["verdict"] == "not known"
    assert "the angle runs backward" in str(answer["reasons"])


def test_a_factor_of_units_is_suspected() -> None:
    case = next(c for c in (drawn(s, "normal") for s in range(9)) if c.given.procedure == "torque")
    over = replace(case.trace, torque=case.trace.torque * 1.3558179483314004)
    assert "wrong unit" in " ".join(map(str, judge(over, case.given).reasons))


PIECES = st.lists(
    st.tuples(
        st.integers(2, 40),
        st.floats(-60.0, 400.0),
        st.floats(-300.0, 300.0),
        st.sampled_from([0.0, 0.0, 0.1, 3.0]),
    ),
    min_size=1,
    max_size=8,
)


@settings(max_examples=120)
@drawn_from(
    pieces=PIECES,
    mode=st.sampled_from(ANGLE_MODES),
    rate=st.sampled_from([20.0, 50.0, 200.0, 1000.0]),
    whole=st.sampled_from([FULL, ANGLE]),
)
def test_whatever_is_recorded_gets_an_answer(
    pieces: list[tuple[int, float, float, float]], mode: Any, rate: float, whole: dict[str, Any]
) -> None:
    """Ramps and jumps of torque and angle without any sense, with and without noise."""
    rng = np.random.default_rng(len(pieces))
    torque, turning = [np.zeros(1)], [np.zeros(1)]
    for count, to_torque, to_angle, noise in pieces:
        torque.append(
            np.linspace(torque[-1][-1], to_torque, count) + noise * rng.normal(size=count)
        )
        turning.append(np.linspace(turning[-1][-1], to_angle, count))
    level, way = np.concatenate(torque), np.concatenate(turning)
    trace = Trace(np.arange(len(level)) / rate, level, way, mode)
    given = given_from_json(whole)
    sound(judge(trace, replace(given, angle_mode=mode)).as_json())


TEXT = "time_s,torque_Nm,angle_deg\n" + "".join(
    f"{i / 100:.2f},{i * 0.5:.2f},{i * 0.4:.2f}\n" for i in range(60)
)


def as_parquet(count: int = 60) -> bytes:
    i = np.arange(count)
    columns = {
        "trace": i // 30,
        "time_s": i % 30 / 100.0,
        "torque_Nm": i * 0.5,
        "angle_deg": i * 0.4,
    }
    sink = io.BytesIO()
    parquet.write_table(pa.table(columns), sink)
    return sink.getvalue()


@settings(max_examples=150)
@drawn_from(
    whole=st.sampled_from([TEXT.encode(), as_parquet()]),
    places=st.lists(st.tuples(st.integers(0, 3000), st.integers(0, 255)), max_size=6),
    end=st.integers(0, 3000),
)
def test_a_damaged_file_is_read_or_refused(
    whole: bytes, places: list[tuple[int, int]], end: int
) -> None:
    data = bytearray(whole[: max(end, 0)] if end < len(whole) else whole)
    for place, value in places:
        if place < len(data):
            data[place] = value
    for reader in (read_trace, lambda d, name: list(traces_in(d, name))):
        try:
            reader(bytes(data), "pull")
        except ClampwrightError as error:
            assert str(error)  # noqa: PT017 - either way is right; what matters is that it is ours


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (b"{", "JSON object"),
        (b"[]", "JSON object"),
        (b'{"id": 1}', "JSON object"),
        (b'{"id": 1, "trace": "x", "given": 5}', "JSON object"),
        (b'{"id": 1, "trace": "x", "given": {"target": 5}}', "did you mean"),
        (b'{"id": 1, "trace": "x", "given": {"target_torque_Nm": -5}}', "above 0"),
    ],
)
def test_a_line_of_a_list_that_is_no_case_says_so(line: bytes, says: str) -> None:
    [answer] = judged_list([line], lambda _: drawn(3, "normal").trace)
    assert says in answer["error"]
    assert answer["verdict"] == "not known"


def test_a_small_file_that_unpacks_to_much_is_read_in_blocks() -> None:
    """Two million rows that pack into some kilobytes; only one block of them is held at a time."""
    count = 2_000_000
    columns = {
        "trace": np.repeat(np.arange(count // 2_000), 2_000),
        "time_s": np.tile(np.arange(2_000) / 200.0, count // 2_000),
        "torque_Nm": np.zeros(count),
        "angle_deg": np.zeros(count),
    }
    sink = io.BytesIO()
    parquet.write_table(pa.table(columns), sink, compression="zstd")
    archive = Archive(sink.getvalue(), "small.parquet")
    sizes = [(len(block.names), int(block.edges[-1])) for block in archive.blocks()]
    assert sum(names for names, _ in sizes) == count // 2_000
    assert max(rows for _, rows in sizes) <= 250_000


def test_one_pull_without_end_is_refused() -> None:
    count = 4_200_000
    columns = {"trace": np.zeros(count, np.int8)}
    columns |= {name: np.zeros(count, np.float32) for name in ("time_s", "torque_Nm", "angle_deg")}
    sink = io.BytesIO()
    parquet.write_table(pa.table(columns), sink, compression="zstd")
    with pytest.raises(BadFile, match="more than 4000000 rows"):
        list(Archive(sink.getvalue(), "endless.parquet").blocks())
    with pytest.raises(BadFile, match="too many for one pull"):
        read_trace(sink.getvalue(), "endless.parquet")


def test_a_list_answers_in_one_form_whatever_comes(pull: Trace) -> None:
    lines = [
        json.dumps({"id": "good", "trace": "pull", "given": FULL}),
        json.dumps({"id": "no file", "trace": "gone", "given": FULL}),
        "not a case",
    ]

    def read(name: str) -> Trace:
        if name == "gone":
            raise BadFile(words("{file} is gone", file=name), file=name)
        return pull

    good, *failed = judged_list((line.encode() for line in lines), read)
    for answer in failed:
        assert set(answer) == {*good, "error"}
        assert answer["yield"] == {"reached": False, "angle_deg": None, "clamp_n": None}
        assert answer["strokes"] == []
        assert answer["uncertainty"] == {}
        assert answer["verdict"] == "not known"
