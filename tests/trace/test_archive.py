"""The compiled analysis of an archive against the careful one, pull by pull."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pyarrow as pa
import pytest
from pyarrow import parquet

from clampwright.errors import BadFile
from clampwright.trace import archive
from clampwright.trace.archive import judge_archive
from clampwright.trace.batch import judged_archive
from clampwright.trace.compiled import keep
from clampwright.trace.drawn import Drawn, drawn
from clampwright.trace.given import Given
from clampwright.trace.model import ANGLE_MODES, Trace
from clampwright.trace.patterns import PATTERNS
from clampwright.trace.verdict import judge


@pytest.fixture
def compiled(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have small archives take the compiled way, too."""
    monkeypatch.setattr(archive, "COMPILED_FROM", 0)


def written(traces: list[Trace], names: list[str]) -> bytes:
    columns = {
        "trace": np.repeat(names, [len(trace) for trace in traces]),
        "time_s": np.concatenate([trace.time for trace in traces]),
        "torque_Nm": np.concatenate([trace.torque for trace in traces]),
        "angle_deg": np.concatenate([trace.angle for trace in traces]),
    }
    sink = io.BytesIO()
    parquet.write_table(pa.table(columns), sink, row_group_size=50_000)
    return sink.getvalue()


def same(one: object, other: object) -> bool:
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[k], other[k]) for k in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-7, abs_tol=1e-7)
    return one == other


def cases(mode: str, count: int) -> Iterator[Drawn]:
    for seed in range(100, 100 + count):
        for pattern in PATTERNS:
            case = drawn(seed, pattern)
            if case.column == mode:
                yield case


@pytest.mark.usefixtures("compiled")
@pytest.mark.parametrize("mode", ANGLE_MODES)
@pytest.mark.no_cover
def test_verdicts_are_those_of_the_careful_analysis(mode: str) -> None:
    """Each pull with its own given, alone, and with all of its sentences."""
    found = list(cases(mode, 3))
    assert len(found) > 5
    for case in found:
        trace = replace(case.trace, steps=())
        [quick] = judge_archive(written([trace], ["one"]), case.given)
        careful = judge(trace, case.given)
        assert (quick.verdict, quick.pattern, quick.fault) == (
            careful.verdict,
            careful.pattern,
            careful.fault,
        )
        assert same(quick.whole().as_json(), careful.as_json()), (case.pattern, case.column)
        assert same(dict(quick.likelihoods), dict(careful.likelihoods))


@pytest.mark.usefixtures("compiled")
@pytest.mark.no_cover
def test_pulls_of_one_archive_are_kept_apart() -> None:
    found = list(cases("handle", 4))
    given = found[0].given
    traces = [replace(case.trace, steps=()) for case in found]
    names = [f"pull {i}" for i in range(len(traces))]
    answers = list(judge_archive(written(traces, names), given))
    assert [answer.pull for answer in answers] == names
    for answer, trace in zip(answers, traces, strict=True):
        assert same(answer.whole().as_json(), judge(trace, given).as_json())


@pytest.mark.usefixtures("compiled")
def test_what_is_out_of_the_ordinary_goes_the_careful_way() -> None:
    case = next(cases("handle", 1))
    whole = replace(case.trace, steps=())
    torque = whole.torque.copy()
    torque[10] = np.nan
    holed = {"time": whole.time, "torque": torque, "angle": whole.angle}
    flat = Trace(whole.time, np.full(len(whole), 3.0), whole.angle)
    data = written([whole, flat, whole], ["good", "flat", "also good"])
    table = parquet.read_table(io.BytesIO(data)).to_pydict()
    first = len(whole) * 2
    table["torque_Nm"][first : first + len(whole)] = holed["torque"].tolist()
    sink = io.BytesIO()
    parquet.write_table(pa.table(table), sink)
    answers = {a.pull: a for a in judge_archive(sink.getvalue(), case.given)}
    assert "stays at 3.0" in str(answers["flat"].whole().reasons[0])
    assert answers["also good"].whole().steps[0].name == "rows without a number dropped"
    assert answers["good"].whole().steps == ()


@pytest.mark.usefixtures("compiled")
def test_a_pull_that_cannot_be_taken_says_why_and_stops_no_other() -> None:
    case = next(cases("handle", 1))
    table = parquet.read_table(io.BytesIO(written([case.trace] * 3, ["a", "b", "c"]))).to_pydict()
    table["time_s"][len(case.trace) + 5] = -1.0
    sink = io.BytesIO()
    parquet.write_table(pa.table(table), sink)
    bad = list(judge_archive(sink.getvalue(), case.given))[1]
    assert (bad.pull, bad.verdict, bad.fault, dict(bad.likelihoods)) == (
        "b",
        "not known",
        False,
        {},
    )
    with pytest.raises(BadFile, match="the time runs backward"):
        bad.whole()
    lines = list(judged_archive(io.BytesIO(sink.getvalue()), case.given))
    assert [("error" in line) for line in lines] == [False, True, False]


@pytest.mark.usefixtures("compiled")
def test_units_of_the_archive_are_taken() -> None:
    case = next(cases("handle", 1))
    table = parquet.read_table(io.BytesIO(written([case.trace], ["a"]))).to_pydict()
    table["torque [cN·m]"] = [100.0 * x for x in table.pop("torque_Nm")]
    sink = io.BytesIO()
    parquet.write_table(pa.table(table), sink)
    [one] = judge_archive(sink.getvalue(), case.given)
    assert one.whole().final_torque == pytest.approx(judge(case.trace, case.given).final_torque)


def test_a_small_archive_does_not_wait_for_the_compiler() -> None:
    case = next(cases("handle", 1))
    [one] = judge_archive(written([case.trace], ["a"]), Given(target_torque_Nm=50.0))
    assert one.whole().likelihoods == one.likelihoods
    assert len(case.trace) < archive.COMPILED_FROM


def test_what_was_compiled_is_kept_by_its_sources(
    monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("kept")
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder))
    assert keep.kept_in().parent == folder / "clampwright"
    monkeypatch.delenv("XDG_CACHE_HOME")
    assert keep.kept_in().parent.name == "clampwright"


def test_compiled_again_where_nothing_can_be_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that cannot be made is no reason to fail."""
    monkeypatch.setenv("XDG_CACHE_HOME", "/dev/null/nowhere")

    def twice(x: float) -> float:
        return 2.0 * x

    assert keep.compiled(twice)(2.0) == 4.0
