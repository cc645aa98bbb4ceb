"""How quickly a trace is read and judged, and how that grows with its length."""

from __future__ import annotations

import io
import json

import numpy as np

from clampwright.joint.model import Fastening
from clampwright.trace.expectation import expected
from clampwright.trace.given import Given
from clampwright.trace.live import LivePull
from clampwright.trace.model import Trace
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
    time = np.linspace(trace.time[0], trace.time[-1], samples)
    return Trace(
        time,
        np.interp(time, trace.time, trace.torque),
        np.interp(time, trace.time, trace.angle),
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
