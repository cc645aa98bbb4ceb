"""An invented job with everything that can happen to a pull, as a signed record."""

from __future__ import annotations

import hashlib
import json
import socket
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pytest

from clampwright.procedure.stage import Stage
from clampwright.proof import record
from clampwright.proof.checkpoint import Head, origin_for
from clampwright.proof.entry import LOG_OPENED, RECORD_MADE, Entry, compose, read_entry
from clampwright.proof.ids import IdMaker
from clampwright.proof.keys import SigningKey
from clampwright.proof.merkle import Tree
from clampwright.report import child
from clampwright.trace.given import Given
from clampwright.trace.model import Trace
from clampwright.trace.verdict import judge
from clampwright.trace.writing import write_csv
from clampwright.words import Words, as_data, words

KEY = SigningKey.from_seed(bytes(range(32)))

DRAWER = """
invented = true

[[tool]]
id = "click-60"
title = "Click wrench 10 to 60 N·m"
kind = "click"
drive = "3/8 in"
length_mm = 320

[[tool.scale]]
unit = "N·m"
low = 10
high = 60
main_step = 5
fine_step = 0.5

[tool.calibration]
date = 2025-01-10
every_months = 12
uncertainty_percent = 1.2
k = 2
point = [
  { set = 10, reference = 10.12 },
  { set = 60, reference = 60.6 },
]

[[tool]]
id = "electronic-100"
title = "Electronic wrench 10 to 100 N·m"
kind = "electronic"
drive = "1/2 in"
trace = true
length_mm = 400
stiffness_Nm_per_deg = 20

[[tool.scale]]
unit = "N·m"
low = 10
high = 100
main_step = 0.1

[tool.calibration]
date = 2026-01-10
every_months = 12

[tool.angle]
step_deg = 0.1
mode = "handle"
"""

JOB = """
invented = true

[job]
id = "{job}"
title = {title}
machine = "Raft with a wheel (invented)"

[rules]
torque_percent = 6
angle_deg = 5

[[joint]]
id = "wheel"
title = "Paddle wheel"
harm_level = 1
thread = "M10"
strength = "8.8"
bearing = {{ outer_mm = 15.0, inner_mm = 11.0 }}
friction = "dry"
left_hand = true
space = "from behind, with a mirror"
layout = {{ pattern = "circle", count = 4, diameter_mm = 100 }}

[joint.procedure]
text = '''
{text}
'''

[joint.procedure.source]
title = "Raft handbook (invented)"
page = "7"
"""

TEXT = "Step 1: 30 N·m\nStep 2: turn 45°\nRe-check after 50 km."


def figure(value: float, unit: str) -> dict[str, str]:
    return {"value": f"{value:.6g}", "unit": unit}


@dataclass
class Invented:
    """A log in memory with one job."""

    job: str = "raft-wheel"
    title: str = "Paddle wheel after new bushes"
    text: str = TEXT
    findings: Sequence[dict[str, Any]] = ()
    lines: list[bytes] = field(default_factory=list)
    traces: dict[str, bytes] = field(default_factory=dict)
    count: int = 0

    def __post_init__(self) -> None:
        self.ids = IdMaker(iter(range(1_770_000_000_000, 1_800_000_000_000, 1000)).__next__)
        self.origin = origin_for("Invented yard", KEY.public)
        self._add(LOG_OPENED, {"public_key": KEY.public.text, "origin": self.origin}, None, None)
        self.add(
            "job_opened",
            {
                "job_file": JOB.format(
                    job=self.job, title=json.dumps(self.title, ensure_ascii=False), text=self.text
                ),
                "drawer_file": DRAWER,
                "today": "2026-03-04",
                "plan": self.plan(),
                "findings": list(self.findings),
            },
        )

    def plan(self) -> dict[str, Any]:
        stages = [
            (Stage("torque", 30.0, "N·m"), "torque", 28.2, 31.8, "N·m", "click-60"),
            (Stage("angle", 45.0, "deg"), "angle", 40.0, 50.0, "deg", "electronic-100"),
            (Stage("wait", 50.0, "km"), "none", None, None, "", None),
            (
                Stage("torque_check", 30.0, "N·m", check="re_check"),
                "torque",
                30.0,
                None,
                "N·m",
                None,
            ),
        ]
        return {
            "job": self.job,
            "title": self.title,
            "machine": "Raft with a wheel (invented)",
            "invented": True,
            "planned_for": "2026-03-04",
            "pulls": 13,
            "joints": [
                {
                    "id": "wheel",
                    "title": "Paddle wheel",
                    "harm_level": 1,
                    "fasteners": 4,
                    "thread": "M10",
                    "strength": "8.8",
                    "friction": "dry",
                    "source": "Raft handbook (invented), 7",
                    "stages": [_stage(n, Planned(*stage)) for n, stage in enumerate(stages, 1)],
                }
            ],
        }

    def _add(self, kind: str, body: dict[str, Any], job: str | None, job_seq: int | None) -> Entry:
        minute, second = divmod(len(self.lines), 60)
        line = compose(
            id=self.ids(),
            kind=kind,
            body=body,
            job=job,
            job_seq=job_seq,
            device_id="bench",
            device_time="2026-03-04T15:00:00+01:00",
            recorded=f"2026-03-04T14:{minute:02d}:{second:02d}Z",
        )
        self.lines.append(line)
        return read_entry(line, len(self.lines) - 1)

    def add(self, kind: str, body: dict[str, Any]) -> Entry:
        self.count += 1
        return self._add(kind, body, self.job, self.count - 1)

    def pull(
        self, stage: int, fastener: int, verdict: str, reading: dict[str, Any], **more: Any
    ) -> Entry:
        reasons = more.pop("reasons", (words("as the limits are"),))
        return self.add(
            "pull",
            {
                "joint": "wheel",
                "stage": stage,
                "fastener": fastener,
                "verdict": verdict,
                "reading": reading,
                "reasons": [as_data(reason) for reason in reasons],
                **more,
            },
        )

    def click(self, fastener: int, verdict: str = "within", *, moved: bool = True) -> Entry:
        own = words("the fastener received {torque} N·m", torque=29.7 + fastener / 10)
        more: dict[str, Any] = {}
        if verdict != "within":
            more["next"] = as_data(words("Loosen it and start again.")) | {"source": "invented"}
        return self.pull(
            1,
            fastener,
            verdict,
            {
                "kind": "click",
                "clicked": True,
                "moved": moved,
                "setting": figure(30.0, "N·m"),
            },
            tool="click-60",
            received={"torque": figure(29.876, "N·m"), "standard_uncertainty": figure(0.3, "N·m")},
            reasons=(own, words("limits by the workshop's rule")),
            **more,
        )

    def recorded(self, fastener: int, angle: float = 45.0) -> Entry:
        """Pull from 30 N·m along a straight line, and judge it as it is."""
        turned = np.linspace(0.0, angle, 400)
        trace = Trace(np.arange(400) / 200, 30.0 + turned * 0.5, turned, "output")
        found = judge(
            trace,
            Given(
                "torque_angle",
                snug_torque_Nm=30.0,
                previous_torque_Nm=30.0,
                angle_steps_deg=(45.0,),
                angle_low=40.0,
                angle_high=50.0,
            ),
        )
        data = write_csv(trace)
        paper = hashlib.sha256(data).hexdigest()
        self.traces[paper] = data
        return self.pull(
            2,
            fastener,
            found.verdict,
            {"kind": "trace", "paper": paper},
            tool="electronic-100",
            limits={"quantity": "angle", "low": figure(40, "deg"), "high": figure(50, "deg")},
            found=_exact(found.as_json()),
            reasons=found.reasons,
        )

    def record(self) -> bytes:
        self.add(RECORD_MADE, {"also": [], "entries": self.count})
        entries = [read_entry(line, index) for index, line in enumerate(self.lines)]
        tree = Tree(one.leaf_hash for one in entries)
        return record.build(
            job=self.job,
            origin=self.origin,
            entries=entries,
            proofs=[tree.inclusion(one.index) for one in entries],
            checkpoint=Head(self.origin, tree.size, tree.root()).sign(KEY),
            key=KEY.public,
        )


@dataclass(frozen=True)
class Planned:
    """One stage of the plan."""

    stage: Stage
    quantity: str
    low: float | None
    high: float | None
    unit: str
    tool: str | None


def _stage(number: int, planned: Planned) -> dict[str, Any]:
    stage, tool = planned.stage, planned.tool
    return {
        "number": number,
        "stage": _exact(stage.as_json()),
        "text": f"{stage.kind} {stage.value:g} {stage.unit}",
        "limits": {
            "quantity": planned.quantity,
            "target": None,
            "low": None if planned.low is None else f"{planned.low:g}",
            "high": None if planned.high is None else f"{planned.high:g}",
            "unit": planned.unit,
            "origin": "workshop",
        },
        "order": [] if stage.kind == "wait" else [1, 3, 2, 4],
        "order_from": "general",
        "pulls": 1 if stage.kind == "wait" else 4,
        "tool": tool,
        "setting": {"value": "30", "unit": "N·m", "text": "main mark 30, the sleeve on its zero"}
        if tool == "click-60"
        else None,
        "tools": [{"tool": tool, "name": f"the {tool}", "usable": True, "reasons": []}]
        if tool
        else [],
        "clamp": None,
    }


def _exact(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _exact(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_exact(value) for value in data]
    return f"{data:.6g}" if isinstance(data, float) else data


@contextmanager
def listener() -> Iterator[tuple[str, list[bytes]]]:
    """Listen on a port of this machine and keep what anybody sends to it."""
    heard: list[bytes] = []
    server = socket.create_server(("127.0.0.1", 0))
    server.settimeout(0.05)
    stop = threading.Event()

    def listen() -> None:
        while not stop.is_set():
            try:
                connection, _ = server.accept()
            except TimeoutError:
                continue
            with connection:
                connection.settimeout(0.5)
                heard.append(connection.recv(200))

    thread = threading.Thread(target=listen)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.getsockname()[1]}", heard
    finally:
        stop.set()
        thread.join()
        server.close()


@pytest.fixture(name="listening")
def _listening() -> Callable[[], AbstractContextManager[tuple[str, list[bytes]]]]:
    return listener


def finding(severity: str, message: Words, question: Words) -> dict[str, Any]:
    return {
        "severity": severity,
        "message": as_data(message),
        "question": as_data(question),
        "details": [],
    }


def eventful() -> Invented:
    """Return a job with every verdict, an acceptance, a restart, and a re-check to come."""
    log = Invented(findings=[finding("ask", words("no surface is stated"), words("Dry or oiled?"))])
    log.click(1)
    doubtful = log.click(3, "doubtful", moved=False)
    log.add("pull_accepted", {"entry": doubtful.id, "reason": "seen to turn by the apprentice"})
    log.click(2)
    log.click(4, "over")
    log.add(
        "fastener_restarted",
        {"joint": "wheel", "fastener": 4, "reason": "over", "renewed": True},
    )
    log.click(4)
    log.recorded(1)
    log.recorded(3, 44.0)
    log.recorded(2, 20.0)
    log.pull(2, 4, "not known", {"kind": "done", "done": False})
    return log


def clean() -> Invented:
    """Return a job with every pull within, the re-check to come."""
    log = Invented(job="raft-wheel-clean")
    for fastener in (1, 3, 2, 4):
        log.click(fastener)
    for fastener in (1, 3, 2, 4):
        log.recorded(fastener, 44.0 + fastener / 2)
    return log


@pytest.fixture(name="invented")
def _invented() -> type[Invented]:
    return Invented


@pytest.fixture(name="eventful")
def _eventful() -> Invented:
    return eventful()


@pytest.fixture(name="clean")
def _clean() -> Invented:
    return clean()


@pytest.fixture(scope="module")
def drawn_once() -> Iterator[None]:
    """Charts of the same content are drawn by one other process, not by one for every test."""
    run, kept = child.run, dict[str, bytes]()

    def once(task: child.Task, payload: Any, **limits: int) -> bytes:
        if task != "charts" or limits:
            return run(task, payload, **limits)
        content = json.dumps(payload)
        if content not in kept:
            kept[content] = run(task, payload)
        return kept[content]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(child, "run", once)
        yield
