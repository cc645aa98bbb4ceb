"""How quickly a trace is read and judged, and how that grows with its length."""

from __future__ import annotations

import io
import json
import time

import numpy as np
import pyarrow as pa
from pyarrow import parquet
from scipy import signal, stats

from clampwright.joint.model import Fastening
from clampwright.trace.archive import judge_archive
from clampwright.trace.batch import judged_archive
from clampwright.trace.expectation import expected
from clampwright.trace.given import Given
from clampwright.trace.live import LivePull
from clampwright.trace.model import Trace
from clampwright.trace.parquet_archive import traces_in
from clampwright.trace.reading import read_csv
from clampwright.trace.simulate import Condition, SimulatedFastener, SimulatedWrench
from clampwright.trace.verdict import judge
from conftest import Compare

M10 = Fastening(
    d=10.0,
    P=1.5,
    d2=9.0257,
    d3=8.1597,
    stress_area=57.99,
    bearing_outer=14.63,
    bearing_inner=11.0,
    yield_stress=940.0,
    clamp_rate=829.66,
    plastic_length=22.0,
)
GIVEN = Given(
    target_torque_Nm=50.0,
    snug_torque_Nm=12.5,
    d_mm=10.0,
    nominal=expected(M10, mu_thread=0.12, mu_bearing=0.12, target=50.0, snug=12.5),
    tool_stiffness_Nm_per_deg=20.0,
)


def pull(samples: int) -> Trace:
    """One pull of four strokes, sampled so that it has this many samples."""
    bolt = SimulatedFastener(M10, Condition(run_down=80.0))
    rng = np.random.default_rng(1)
    trace = SimulatedWrench(stroke=40.0, sample_rate=4000.0).pull(bolt, torque=50.0, rng=rng).trace
    at = np.linspace(trace.time[0], trace.time[-1], samples)
    return Trace(
        at,
        np.interp(at, trace.time, trace.torque),
        np.interp(at, trace.time, trace.angle),
        "handle",
    )


def as_csv(trace: Trace) -> bytes:
    rows = zip(trace.time, trace.torque, trace.angle, strict=True)
    lines = [f"{t:.4f},{torque:.2f},{angle:.2f}" for t, torque, angle in rows]
    return "\n".join(["time_s,torque_Nm,angle_deg", *lines, ""]).encode()


def test_time_grows_with_the_number_of_samples(compare: Compare) -> None:
    short, long = pull(10_000), pull(40_000)
    name = "judge 40 000 samples / 10 000 samples"
    ratio = compare(name, lambda: judge(long, GIVEN), lambda: judge(short, GIVEN), figure=6.0)
    assert ratio > 0


def test_reading_and_judging_a_text_table(compare: Compare) -> None:
    """Against numpy's own reader of text, which does nothing but parse."""
    data = as_csv(pull(2_000))

    def ours() -> object:
        return judge(read_csv(data, "pull.csv"), GIVEN)

    def reference() -> object:
        return np.loadtxt(io.BytesIO(data), delimiter=",", skiprows=1)

    ratio = compare("read and judge 2 000 samples / numpy.loadtxt", ours, reference, rounds=25)
    assert ratio > 0


def test_one_live_sample_against_decoding_its_message(compare: Compare) -> None:
    """A thousand samples of a pull; a message of a live channel has at least to be decoded."""
    trace = pull(1_000)
    rows = list(zip(trace.time.tolist(), trace.torque.tolist(), trace.angle.tolist(), strict=True))
    messages = [json.dumps({"time": t, "torque": m, "angle": a}) for t, m, a in rows]

    def ours() -> object:
        live = LivePull(GIVEN, "handle", trace.sample_rate)
        return [live.add(*row) for row in rows]

    def reference() -> object:
        return [json.loads(message) for message in messages]

    assert compare("1 000 live samples / json.loads of as many", ours, reference) > 0


def test_separate_text_tables_a_second(compare: Compare) -> None:
    """As a batch does it: read, judge and write the answer; 300 a second are wanted."""
    data = as_csv(pull(2_000))

    def ours() -> object:
        return [json.dumps(judge(read_csv(data, "pull.csv"), GIVEN).as_json()) for _ in range(30)]

    def a_tenth_of_a_second() -> None:
        time.sleep(0.1)

    name = "30 text tables of 2 000 samples / 0.1 s (300 a second)"
    assert compare(name, ours, a_tenth_of_a_second, figure=1.0) > 0


def archive(pulls: int, samples: int) -> bytes:
    """Many pulls in one file, each with noise of its own so that no two rows are alike."""
    trace, rng = pull(samples), np.random.default_rng(3)
    count = pulls * samples
    torque = np.tile(trace.torque, pulls) + rng.normal(0.0, 0.05, count)
    angle = np.tile(trace.angle, pulls) + rng.normal(0.0, 0.03, count)
    table = {
        "trace": np.repeat(np.arange(pulls), samples),
        "time_s": np.tile(trace.time, pulls),
        "torque_Nm": np.round(torque, 2),
        "angle_deg": np.round(angle, 2),
    }
    sink = io.BytesIO()
    parquet.write_table(pa.table(table), sink)
    return sink.getvalue()


def verdicts(data: bytes) -> list[str]:
    """Judge a whole archive."""
    return [one.verdict for one in judge_archive(io.BytesIO(data), GIVEN)]


def test_an_archive_judged_against_only_reading_it(compare: Compare) -> None:
    """A tenth of the archive of the figure, verdict included; what was compiled is kept."""
    data = archive(1_000, 2_000)
    assert set(verdicts(data)) == {"within"}  # and compiles, if this machine has not done so yet

    def ours() -> object:
        return verdicts(data)

    def reference() -> object:
        return parquet.read_table(io.BytesIO(data), use_threads=False)

    name = "judge an archive of 1 000 x 2 000 / bare read of it"
    assert compare(name, ours, reference, figure=3.0, rounds=5) > 0


def test_sentences_for_every_pull_of_an_archive(compare: Compare) -> None:
    """With reasons, strokes and history as lines of JSON, against the verdict alone."""
    data = archive(300, 2_000)

    def ours() -> object:
        return [json.dumps(answer) for answer in judged_archive(io.BytesIO(data), GIVEN)]

    name = "an archive of 300 x 2 000 as lines of JSON / its verdicts"
    assert compare(name, ours, lambda: verdicts(data), rounds=3) > 0


def test_an_archive_judged_against_a_twin_of_general_tools(compare: Compare) -> None:
    """The twin smooths, takes slopes and finds the snug point only; it judges nothing."""
    data = archive(300, 2_000)

    def ours() -> object:
        return verdicts(data)

    def reference() -> object:
        return [twin(one) for _, one in traces_in(io.BytesIO(data)) if isinstance(one, Trace)]

    name = "judge an archive of 300 x 2 000 / scipy features of it"
    assert compare(name, ours, reference, figure=0.1, rounds=3) > 0


def twin(trace: Trace) -> tuple[float, float, float]:
    """Smooth with a filter, fit slopes over a window, look for the snug torque and the peak."""
    torque = signal.savgol_filter(trace.torque, 21, 2)
    slope = signal.savgol_filter(trace.torque, 21, 2, deriv=1) / np.maximum(
        signal.savgol_filter(trace.angle, 21, 2, deriv=1), 1e-3
    )
    peaks, _ = signal.find_peaks(torque, prominence=0.06 * torque.max())
    snug = float(trace.angle[np.argmax(torque >= 12.5)])
    return float(torque.max()), snug + len(peaks), float(stats.trim_mean(slope, 0.1))
