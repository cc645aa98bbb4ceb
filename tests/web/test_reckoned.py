"""What follows from something that happened: the device works out what the fold works out."""

from __future__ import annotations

import datetime as dt
import json
import random
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from tests.web.test_modules import STATIC, node

import clampwright
from clampwright.bench.folder import load_plan
from clampwright.report.view import View
from clampwright.web.after_view import effects_view
from clampwright.web.bench_view import bench_view
from clampwright.web.happened_sentences import HAPPENED_SCRIPT
from clampwright.web.happened_view import tables_view
from clampwright.work import aftermath
from clampwright.work.fold import JobState, PullKey, fold
from clampwright.work.happening import READ_BACK, Told, ask_next, body_of, settled_body
from clampwright.work.happening_tables import Question, due_kinds, happenings
from clampwright.work.plan import Plan

DEMO = Path(clampwright.__file__).parent / "demo" / "workshop" / "jobs"
JOBS = tuple(sorted(path.name for path in DEMO.glob("*.toml")))
TOOLS = ("click-60", "beam-200")


@cache
def plan_of(name: str) -> Plan:
    return load_plan(DEMO / name, None, today=dt.date(2026, 3, 2))


@dataclass
class History:
    """Entries as they come, on the server and as the device queues them."""

    plan: Plan
    chance: random.Random
    state: JobState = field(default_factory=JobState)
    bench: dict[str, Any] | None = None
    items: list[dict[str, Any]] = field(default_factory=list)
    effects: dict[str, Any] = field(default_factory=dict)
    count: int = 0

    def put(self, kind: str, body: dict[str, Any], way: str = "", /, **item: Any) -> str:
        self.count += 1
        entry = f"e{self.count}"
        self.state = fold([{"kind": kind, "id": entry, "body": body}], self.state)
        if self.bench is not None:
            made = {"id": entry, "job": self.plan.job.id, "state": "waiting", "way": way}
            self.items.append({**made, "key": None, "inside": None, **item})
            if "effects" in body:
                self.effects[entry] = effects_view(self.state, body["effects"])
        return entry

    def leave(self) -> None:
        """From here on the device is alone."""
        self.bench = bench_view(self.plan, self.state, size=1, view=View(0, mirror=False))

    def go(self) -> None:
        ahead = [key for key in self.plan.sequence() if not self.state.settled(key)]
        happen = self.chance.random() < (0.3 if self.bench else 0.1)
        if self.state.dues and self.chance.random() < 0.6:
            self.settle()
        elif happen or not ahead:
            self.happen(self.chance.choice(list(self.plan.sequence())[: len(self.state.pulls) + 2]))
        elif self.state.pulls and self.chance.random() < 0.08:
            self.restart()
        else:
            self.pull(ahead[0] if self.chance.random() < 0.8 else self.chance.choice(ahead[:6]))

    def pull(self, key: PullKey) -> None:
        tool, within = self.chance.choice(TOOLS), self.chance.random() < 0.85
        sent = {"joint": key.joint, "stage": key.stage, "fastener": key.fastener, "tool": tool}
        body = {
            **sent, "verdict": "within" if within else "over", "reasons": [],
            "reading": {"kind": "done", "done": True},
        }  # fmt: skip
        at = [key.joint, key.stage, key.fastener]
        self.put("pull", body, "pulls", key=at, inside=within, body=sent)

    def restart(self) -> None:
        pull = self.chance.choice(self.state.pulls)
        if pull.key.fastener == 0:
            return
        renewed = self.chance.random() < 0.5
        body = {
            "joint": pull.key.joint, "fastener": pull.key.fastener, "reason": "x",
            "renewed": renewed,
        }  # fmt: skip
        at = [pull.key.joint, pull.key.stage, pull.key.fastener]
        self.put("fastener_restarted", body, "restarts", key=at, body=body)

    def happen(self, key: PullKey) -> None:
        told = Told(self.chance.choice(list(happenings())), key, {}, self.chance.choice(TOOLS))
        while (question := ask_next(self.plan, told)) is not None:
            answers = {**told.answers, question.name: self.answer(question, key)}
            told = Told(told.what, key, answers, told.tool)
        sent = {
            "joint": key.joint, "stage": key.stage, "fastener": key.fastener, "what": told.what,
            "answers": dict(told.answers), "tool": told.tool, "note": "",
        }  # fmt: skip
        body = body_of(self.plan, self.state, told)
        at = [key.joint, key.stage, key.fastener]
        self.put(aftermath.HAPPENED, body, "happenings", key=at, body=sent, stands=True)

    def answer(self, question: Question, key: PullKey) -> str:
        numbers = [str(one) for one in self.plan.joint(key.joint).joint.layout.numbers]
        match question.kind:
            case "choice":
                return self.chance.choice(question.answers).name
            case "stage":
                return str(self.chance.randint(1, key.stage))
            case "fasteners":
                some = self.chance.sample(numbers, self.chance.randint(1, len(numbers)))
                return " ".join(some)
            case "last_sure":
                return self.chance.choice(["0", *numbers])
            case "person":
                return "A. Fitter"
            case _:
                return self.chance.choice(numbers)

    def settle(self) -> None:
        due = self.chance.choice(self.state.dues)
        answers = [one.name for one in due_kinds()[due.name].answers]
        answer = self.chance.choice(answers) if answers else ""
        ahead = [key.fastener for key in self.plan.sequence() if not self.state.settled(key)]
        told = str((ahead or [0])[0]) if due.name in READ_BACK else "4-12"
        sent = {
            "joint": due.joint, "happening": due.entry, "due": due.name, "answer": answer,
            "told": told,
        }  # fmt: skip
        body = settled_body(self.plan, self.state, due, answer, told)
        self.put(aftermath.SETTLED, body, "settlings", body=sent, stands=True)


def histories(count: int, start: int) -> list[History]:
    found = []
    for number in range(count):
        chance = random.Random(start + number)
        one = History(plan_of(JOBS[number % len(JOBS)]), chance)
        for _ in range(chance.randint(0, 25)):
            one.go()
        one.leave()
        for _ in range(chance.randint(1, 12)):
            one.go()
        found.append(one)
    return found


PROGRAM = """
import { readFileSync } from "node:fs";
const { words, tables, cases, address } = JSON.parse(readFileSync(0, "utf8"));
globalThis.document = {
  documentElement: { lang: "en" },
  getElementById: () => ({ textContent: JSON.stringify(words) }),
};
const m = await import(address);
const told = cases.map(({ bench, items }) => {
  const here = m.reckoned(bench, items, tables);
  let sent = bench;
  for (const item of items) {
    const verdict = item.way === "pulls" ? { settled: item.inside } : null;
    sent = m.taken(sent, item, verdict, tables);
  }
  return {
    ahead: here.bench.ahead, dues: here.bench.dues, holds: here.bench.holds.map((one) => one.ask),
    suspects: here.bench.suspects ?? bench.after.suspects,
    effects: items.map((one) => m.expected(here, one.id) ?? null),
    after: sent.after,
  };
});
console.log(JSON.stringify(told));
"""


def reckoned(cases: list[History]) -> list[dict[str, Any]]:
    words = {key: str(one.template) for key, one in HAPPENED_SCRIPT.items()}
    text = json.dumps(
        {
            "words": words,
            "tables": tables_view(),
            "cases": [{"bench": one.bench, "items": one.items} for one in cases],
            "address": (STATIC / "reckoned.js").as_uri(),
        }
    )
    done = node("--input-type=module", "--eval", PROGRAM, text=text)
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


SHOWN = ("happening", "joint", "joint_title", "due", "holds_up", "say", "source", "answers", "told")


def agree(cases: list[History]) -> int:
    """Hold what the device reckons against what the log gives; returns how many had effects."""
    compared = 0
    for case, found in zip(cases, reckoned(cases), strict=True):
        wanted = bench_view(case.plan, case.state, size=1, view=View(0, mirror=False))
        for entry, mine in zip(case.items, found["effects"], strict=True):
            theirs = case.effects.get(entry["id"])
            assert (mine is None) == (theirs is None), entry
            if mine is not None and theirs is not None:
                compared += bool(theirs["void"] or theirs["loosen"] or theirs["dues"])
                assert {**mine, "void": sorted(mine["void"])} == theirs, entry
        assert found["after"]["pulls"] == wanted["after"]["pulls"]
        assert found["after"]["dues"] == wanted["after"]["dues"]
        if not any(one["way"] in {"happenings", "settlings"} for one in case.items):
            continue
        assert found["ahead"] == wanted["ahead"]
        assert found["suspects"] == sorted(case.state.suspects)
        assert found["holds"] == [one["ask"] for one in wanted["holds"]]
        for mine, theirs in zip(found["dues"], wanted["dues"], strict=True):
            assert [mine[name] for name in SHOWN] == [theirs[name] for name in SHOWN]
            if theirs["due"] != "suspect":
                assert (mine["ask"], mine["offered"]) == (theirs["ask"], theirs["offered"])
    return compared


def test_the_device_reckons_what_the_log_gives() -> None:
    assert agree(histories(120, start=1)) > 90


@pytest.mark.soak
def test_the_device_reckons_what_the_log_gives_in_many_histories() -> None:
    assert sum(agree(histories(500, start=1000 * turn)) for turn in range(1, 21)) > 5000
