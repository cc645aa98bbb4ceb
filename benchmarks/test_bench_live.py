"""How soon a live sample is answered: against a bare echo over the same kind of socket.

200 samples a second go to the real server in a process of its own, with a page of the job
listening, and as many of the same size to a server that only echoes; the two take turns, sample by
sample.
"""

from __future__ import annotations

import json
import statistics
import threading
import time
from contextlib import ExitStack
from pathlib import Path

import numpy as np
from processes import ECHO, SERVER, free_port, process
from websockets.sync.client import ClientConnection, connect

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, open_session
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.demo.run import build_workshop
from clampwright.proof.ids import uuid7
from clampwright.trace.reading import read_csv
from conftest import Compare

RATE = 200
ROUNDS = 8
JOB = "trailer-wheel"


def prepared(folder: Path) -> tuple[Workshop, list[list[float]]]:
    """A workshop at the stage that is recorded, and the samples of one pull."""
    place = build_workshop(folder, replace=False)
    with open_session(place, place.jobs / f"{JOB}.toml", today=today()) as session:
        mechanic = SimulatedMechanic(session.plan, seed=3)
        while (due := session.next()) is not None and due.key.stage == 1:
            answer = mechanic.pull(due)
            assert answer.reading is not None
            session.take(due.key, answer.reading)
        assert due is not None
        data = mechanic.pull(due).trace
    assert data is not None
    trace = read_csv(data, "pull")
    time_s = np.arange(RATE * ROUNDS) / RATE
    whole = np.linspace(trace.time[0], trace.time[-1], len(time_s))
    torque = np.interp(whole, trace.time, trace.torque)
    angle = np.interp(whole, trace.time, trace.angle)
    return place, np.column_stack((time_s, torque, angle)).tolist()


def answered(socket: ClientConnection, message: str, sign: str) -> float:
    """Send a message and wait for its answer; return how long that took, s."""
    sent = time.perf_counter()
    socket.send(message)
    while sign not in str(socket.recv(timeout=10)):
        pass  # what the pages are told
    return time.perf_counter() - sent


def listen(page: ClientConnection) -> None:
    for _message in page:
        pass


def test_a_live_sample_is_answered_as_soon_as_an_echo(tmp_path: Path, compare: Compare) -> None:
    place, rows = prepared(tmp_path / "workshop")
    messages = [json.dumps({"t": t, "torque": torque, "angle": a}) for t, torque, a in rows]
    port, echo_port = free_port(), free_port()
    serve = ("serve", "--workshop", str(place.folder), "--port", str(port))
    with ExitStack() as stack:
        stack.enter_context(process(SERVER, *serve, port=port))
        stack.enter_context(process(ECHO, str(echo_port), port=echo_port))
        address = f"ws://127.0.0.1:{port}/live/{JOB}"
        origin = {"origin": f"http://127.0.0.1:{port}"}
        page = stack.enter_context(connect(address, additional_headers=origin))
        threading.Thread(target=listen, args=(page,), daemon=True).start()
        wrench = stack.enter_context(connect(address, additional_headers=origin))
        echo = stack.enter_context(connect(f"ws://127.0.0.1:{echo_port}/"))
        where = {"joint": "wheel", "stage": 2, "fastener": 1}
        start = {"pull": where, "tool": "electronic-200", "entry": str(uuid7()), "answers": True}
        answered(echo, messages[0], "torque")
        wrench.send(json.dumps(start))
        wrench.recv(timeout=10)  # the pull has begun: this socket hears what the pages hear
        ours, bare = answers(wrench, echo, messages)
    p50, p99 = statistics.median(ours), float(np.quantile(ours, 0.99))
    bare_p99 = float(np.quantile(bare, 0.99))
    compare.figures("live sample answered, p50 / 2 ms", p50, 0.002, figure=1.0)
    compare.figures("live sample answered, p99 / p99 of a bare echo", p99, bare_p99, figure=2.0)
    assert len(ours) == len(bare) == len(messages)


def answers(
    wrench: ClientConnection, echo: ClientConnection, messages: list[str]
) -> tuple[list[float], list[float]]:
    """Send one sample every five milliseconds to both, in turn, so that both meet the same load."""
    ours: list[float] = []
    bare: list[float] = []
    began = time.perf_counter()
    for number, message in enumerate(messages):
        time.sleep(max(0.0, began + number / RATE - time.perf_counter()))
        if number % 2:
            bare.append(answered(echo, message, "torque"))
        ours.append(answered(wrench, message, '"now"'))
        if not number % 2:
            bare.append(answered(echo, message, "torque"))
    return ours, bare


def test_the_verdict_comes_soon_after_the_end(tmp_path: Path, compare: Compare) -> None:
    """From the wrench's last word to the verdict, durable on the log, at page and wrench."""
    place, rows = prepared(tmp_path / "workshop")
    samples = [json.dumps({"samples": rows[at : at + RATE]}) for at in range(0, len(rows), RATE)]
    port, echo_port = free_port(), free_port()
    serve = ("serve", "--workshop", str(place.folder), "--port", str(port))
    took: list[float] = []
    with ExitStack() as stack:
        stack.enter_context(process(SERVER, *serve, port=port))
        stack.enter_context(process(ECHO, str(echo_port), port=echo_port))
        address = f"ws://127.0.0.1:{port}/live/{JOB}"
        origin = {"origin": f"http://127.0.0.1:{port}"}
        echo = stack.enter_context(connect(f"ws://127.0.0.1:{echo_port}/"))
        wrench = stack.enter_context(connect(address, additional_headers=origin))
        for fastener in (1, 3, 5, 2, 4):
            where = {"joint": "wheel", "stage": 2, "fastener": fastener}
            start = {"pull": where, "tool": "electronic-200", "entry": str(uuid7())}
            answered(wrench, json.dumps(start), '"live"')
            for message in samples:
                wrench.send(message)
            took.append(answered(wrench, json.dumps({"end": True}), '"taken"'))
        bare = [answered(echo, '{"end": true}', "end") for _ in range(9)]
    first, *later = took
    compare.figures("verdict after the end, first of a server / 150 ms", first, 0.150, figure=1.0)
    later_one = statistics.median(later)
    compare.figures("verdict after the end, median / 150 ms", later_one, 0.150, figure=1.0)
    compare.figures("verdict after the end / a bare echo", later_one, statistics.median(bare))
    assert len(took) == 5
