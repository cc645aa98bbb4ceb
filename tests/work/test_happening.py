"""Something happened: the tables are complete, and what follows is a fold of the log alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import clampwright
from clampwright.bench.folder import load_plan
from clampwright.errors import Refused
from clampwright.work import aftermath
from clampwright.work.fold import JobState, PullKey, fold
from clampwright.work.happened_words import entry_words, happened_lines
from clampwright.work.happening import (
    Told,
    ask_next,
    body_of,
    due_words,
    offered,
    open_due,
    settled_body,
)
from clampwright.work.happening_tables import (
    DOES,
    SORTS,
    Question,
    due_kinds,
    fits,
    happenings,
    questions,
    rules,
)
from clampwright.work.plan import Plan
from clampwright.work.shift_change import handed_over

DEMO = Path(clampwright.__file__).parent / "demo" / "workshop"
TORQUE, ANGLE = 2, 5
"""Stages of the head: torque 45 N·m, turn 45°."""


@cache
def head() -> Plan:
    return load_plan(DEMO / "jobs" / "launch-engine-head.toml", None, today=dt.date(2026, 3, 2))


def answers_of(question: Question) -> list[str]:
    if question.kind == "choice":
        return [one.name for one in question.answers]
    return {"fasteners": ["1 3"], "person": ["A. Fitter"]}.get(question.kind, ["1"])


def tellings(what: str, stage: int) -> Iterator[Told]:
    """Every way in which the questions can be answered."""

    def further(told: Told) -> Iterator[Told]:
        question = ask_next(head(), told)
        if question is None:
            yield told
            return
        for answer in answers_of(question):
            answers = {**told.answers, question.name: answer}
            yield from further(replace(told, answers=answers))

    yield from further(Told(what, PullKey("head", stage, 3), {}, tool="click-60"))


@pytest.mark.parametrize("what", sorted(happenings()))
def test_whatever_is_answered_one_rule_alone_fits(what: str) -> None:
    for sort in SORTS:
        mine = [q for q in questions() if q.happening == what and sort in q.stages]

        def walk(answers: Mapping[str, str], sort: str = sort, mine: Any = mine) -> None:
            nxt = next((q for q in mine if q.name not in answers and fits(q.when, answers)), None)
            if nxt is not None:
                for answer in answers_of(nxt):
                    walk({**answers, nxt.name: answer})
                return
            found = [
                r
                for r in rules()
                if r.happening == what and sort in r.stages and fits(r.when, answers)
            ]
            assert len(found) == 1, (what, sort, answers)

        walk({})


def test_every_rule_can_be_reached_and_says_where_it_is_from() -> None:
    reached = set()
    for sort in SORTS:
        for rule in rules():
            if sort in rule.stages:
                reached.add(id(rule))
    assert len(reached) == len(rules())
    assert all(r.source and set(r.does) <= DOES for r in rules())
    assert all(h.source for h in happenings().values())
    assert all(q.source and (q.answers or q.kind != "choice") for q in questions())
    kinds = {"choice", "fastener", "fasteners", "last_sure", "stage", "person"}
    assert {q.kind for q in questions()} <= kinds
    left_open = {name for r in rules() for name in r.does if name in due_kinds()}
    assert left_open | {"loosen"} == set(due_kinds())
    does = {name for kind in due_kinds().values() for a in kind.answers for name in a.does}
    assert does == {"whole", "clear", "redo"}


def test_questions_are_few() -> None:
    for what in happenings():
        for stage in (TORQUE, ANGLE):
            assert max(len(told.answers) for told in tellings(what, stage)) <= 4, what


class Bench:
    """A job's entries as a person makes them, without a store."""

    def __init__(self) -> None:
        self.entries: list[dict[str, Any]] = []
        self.state = JobState()

    def put(self, kind: str, body: dict[str, Any]) -> str:
        entry = {"kind": kind, "id": f"e{len(self.entries)}", "body": body}
        self.entries.append(entry)
        self.state = fold([entry], self.state)
        return str(entry["id"])

    def pull(self, key: PullKey, verdict: str = "within", tool: str = "click-60") -> str:
        body = {
            "joint": key.joint, "stage": key.stage, "fastener": key.fastener, "tool": tool,
            "verdict": verdict, "reasons": [], "reading": {"kind": "done", "done": True},
        }  # fmt: skip
        return self.put("pull", body)

    def stage(self, stage: int, *fasteners: int) -> None:
        order = head().joints[0].stages[stage - 1].order.fasteners
        for number in fasteners or order:
            self.pull(PullKey("head", stage, number))

    def happen(self, what: str, at: int, fastener: int, **answers: str) -> str:
        told = Told(what, PullKey("head", at, fastener), answers, tool="click-60")
        return self.put(aftermath.HAPPENED, body_of(head(), self.state, told))

    def settle(self, answer: str = "", told: str = "") -> str:
        body = settled_body(head(), self.state, self.state.dues[0], answer, told)
        return self.put(aftermath.SETTLED, body)

    def back(self, entry: str) -> None:
        self.put(aftermath.TAKEN_BACK, {"entry": entry, "reason": "by mistake"})

    def ahead(self) -> list[tuple[int, int]]:
        return [
            (key.stage, key.fastener) for key in head().sequence() if not self.state.settled(key)
        ]


def test_a_lost_mark_begins_one_fastener_anew_and_asks_the_maker() -> None:
    bench = Bench()
    for stage in (1, 2, 3, 4):
        bench.stage(stage)
    order = head().joints[0].stages[ANGLE - 1].order.fasteners
    bench.stage(ANGLE, *order[:4])
    lost = order[2]
    bench.happen("slip", ANGLE, lost, mark="no", **{"yield": "unknown"})
    assert bench.ahead()[0] == (1, lost)
    due = open_due(bench.state, "head")
    assert due is not None
    assert (due.fasteners, due.renew, due.from_stage) == ((lost,), True, 1)
    assert str(due_words(head(), due)) == f"Loosen fastener {lost} fully, and fit a new one"
    assert [one.name for one in bench.state.dues] == ["loosen", "maker_whole"]
    bench.settle()
    assert bench.state.restarts[-1]["renewed"] is True
    with pytest.raises(Refused, match="where the maker's information says so"):
        bench.settle("only")
    bench.settle("whole", "handbook 4-12")
    everyone = open_due(bench.state, "head")
    assert everyone is not None
    last_first = tuple(n for n in reversed(order) if n != lost)
    assert everyone.fasteners == last_first, "in reverse order, without the one that is out"
    bench.settle()
    assert not bench.state.dues
    assert bench.ahead() == [(key.stage, key.fastener) for key in head().sequence()]


def test_with_a_mark_that_shows_it_nothing_is_lost() -> None:
    bench = Bench()
    bench.stage(1)
    before = bench.state
    bench.happen("slip", ANGLE, 3, mark="yes")
    assert (bench.state.latest, bench.state.dues) == (before.latest, ())
    assert len(bench.state.happenings) == 1


def test_a_missed_fastener_takes_the_whole_pass_back() -> None:
    bench = Bench()
    bench.stage(1)
    bench.stage(2)
    bench.happen("missed", TORQUE, 4, which="4", stage="2", gasket="yes")
    assert bench.ahead()[:10] == [(2, n) for n in head().joints[0].stages[1].order.fasteners]
    loosen, gasket = bench.state.dues
    assert loosen.from_stage == TORQUE
    assert loosen.fasteners == tuple(reversed(head().joints[0].stages[1].order.fasteners))
    assert "back to where stage 1 left them" in str(due_words(head(), loosen))
    bench.settle()
    assert not bench.state.restarts, "nothing was loosened fully"
    assert bench.state.dues == (gasket,)
    bench.settle("kept", "handbook 4-13")
    assert bench.state.settled(PullKey("head", 1, 4))


def test_a_wrench_that_gave_less_leaves_only_its_pulls_to_be_made_again() -> None:
    bench = Bench()
    bench.stage(1, 3, 8, 2)
    bench.happen("wrong_setting", 1, 2, pulled="8 2", amount="less")
    assert {(1, 8), (1, 2)} <= set(bench.ahead())
    assert (1, 3) not in bench.ahead()
    assert not bench.state.dues


def test_after_an_interruption_the_last_sure_mark_counts() -> None:
    bench = Bench()
    bench.stage(1, 3, 8, 2, 7)
    bench.happen("interruption", 1, 9, sure="8")
    assert [n for n in (3, 8, 2, 7) if not bench.state.settled(PullKey("head", 1, n))] == [2, 7]
    bench.happen("interruption", 1, 9, sure="0")
    assert (1, 3) in bench.ahead()


def test_a_wrench_in_doubt_makes_its_pulls_doubtful_until_it_is_checked() -> None:
    bench = Bench()
    bench.stage(1, 3, 8)
    other = bench.pull(PullKey("head", 1, 2), tool="dial")
    bench.happen("wrench_in_doubt", 1, 7, how="strange")
    assert bench.state.suspects == {"click-60"}
    assert bench.state.count() == {"doubtful": 2, "within": 1}
    assert open_due(bench.state, "head") is None, "the work goes on with another wrench"
    assert open_due(bench.state, None) is not None, "but the job is not done"
    bench.settle("right")
    assert (bench.state.count(), bench.state.suspects) == ({"within": 3}, frozenset())
    bench.happen("wrench_in_doubt", 1, 7, how="strange")
    bench.settle("off")
    assert [pull.entry for pull in bench.state.latest.values()] == [other]
    assert bench.state.dues[0].fasteners == (8, 3)


def test_handing_over_says_what_is_done_and_what_is_open() -> None:
    bench = Bench()
    bench.stage(1, 3, 8)
    bench.pull(PullKey("head", 1, 2), "doubtful")
    bench.happen("strip", 1, 7, felt="soft")
    told = [str(line) for line in handed_over(head(), bench.state)]
    assert told[0].startswith("Cylinder head: at stage 1 of 6")
    assert told[1].startswith("done in this stage: 3, 8; still to do: ")
    assert told[2] == "fastener 2 is not settled: doubtful"
    assert told[3] == "Next: fastener 2, stage 1"
    assert told[4] == "Open: Loosen fastener 7 fully, and fit a new one"
    assert "Open: What was found?" in told


def test_bad_answers_are_refused_in_words() -> None:
    for what, answers, why in (
        ("ghost", {}, "it must be one of: slip, "),
        ("slip", {}, "this is not answered yet: Had the wrench signalled"),
        ("slip", {"reached": "perhaps"}, "It must be one of: no, yes"),
        ("missed", {"which": "11"}, "no fastener of this joint, which has 1 to 10"),
        ("missed", {"which": "1 2"}, "no fastener of this joint"),
        ("missed", {"which": "1", "stage": "3"}, "no stage that was begun: 1 to 2"),
        ("wrong_wrench", {"pulled": ""}, "no fastener of this joint"),
        ("shift_change", {"from": " "}, "say who"),
    ):
        with pytest.raises(Refused, match=why):
            offered(head(), Told(what, PullKey("head", TORQUE, 3), answers))
    no_wrench = Told("wrench_in_doubt", PullKey("head", 1, 3), {"how": "strange"})
    with pytest.raises(Refused, match="say which one it is"):
        body_of(head(), JobState(), no_wrench)


def test_taking_back_is_an_entry_and_the_last_only() -> None:
    bench = Bench()
    first = bench.pull(PullKey("head", 1, 3))
    bench.back(first)
    assert bench.ahead()[0] == (1, 3)
    assert bench.state.pulls[0].taken_back == "by mistake"
    again = bench.pull(PullKey("head", 1, 3))
    slip = bench.happen("slip", 1, 3, reached="yes")
    assert aftermath.why_not(bench.state, again) is not None
    bench.back(again)  # as if by a program that does not ask: nothing comes of it
    assert bench.state.dues
    bench.back(slip)
    assert not bench.state.dues
    assert bench.state.settled(PullKey("head", 1, 3))
    told = happened_lines(bench.state.happenings[0], {})
    assert str(told[-1]) == "Taken back: by mistake"
    trace = bench.put(
        "pull",
        {
            "joint": "head", "stage": 1, "fastener": 8, "tool": None, "verdict": "over",
            "reasons": [], "reading": {"kind": "trace", "paper": "ab"},
        },
    )  # fmt: skip
    assert "recorded" in str(aftermath.why_not(bench.state, trace))


def test_what_was_found_after_a_stage_is_taken_back_before_its_pulls() -> None:
    bench = Bench()
    last = [bench.pull(PullKey("head", 1, number)) for number in (3, 8)][-1]
    found = {"joint": "head", "hold": 1, "after": 1, "outcome": "fits", "reason": ""}
    held = bench.put("hold_answered", found)
    bench.back(last)
    assert bench.state.settled(PullKey("head", 1, 8)), "an answer rests on this pull"
    assert bench.state.holds
    newest = aftermath.last_of(bench.state)
    assert newest is not None
    assert str(entry_words(newest)) == "what was found after stage 1"
    bench.back(held)
    bench.back(last)
    assert not bench.state.settled(PullKey("head", 1, 8))
    assert not bench.state.holds, "it has to be found again"


ACTS = st.lists(
    st.tuples(
        st.sampled_from(["pull", "pull", "pull", "happen", "settle", "back"]), st.integers(0, 999)
    ),
    min_size=1,
    max_size=25,
)


@pytest.mark.parametrize("examples", [20, pytest.param(300, marks=pytest.mark.soak)])
@pytest.mark.no_cover
def test_any_story_is_the_same_computed_anew(examples: int) -> None:
    settings(max_examples=examples)(given(ACTS)(computed_anew))()


@cache
def every_telling() -> list[Told]:
    return [
        told for what in sorted(happenings()) for s in (TORQUE, ANGLE) for told in tellings(what, s)
    ]


def computed_anew(acts: list[tuple[str, int]]) -> None:
    """And nothing that was voided is done again without a new pull.

    The one other way is to take back the very entry that voided it: then it never was.
    """
    bench, numbers = Bench(), head().joint("head").joint.layout.numbers
    every = every_telling()
    done: list[str] = []
    for act, n in acts:
        voided = {p.entry for p in bench.state.pulls if p.voided}
        if act == "pull":
            verdict = ("within", "within", "doubtful", "over", "short")[n % 5]
            open_keys = bench.ahead()
            stage, fastener = open_keys[n % min(3, len(open_keys))]
            done.append(bench.pull(PullKey("head", stage, fastener), verdict))
        elif act == "happen":
            told = replace(every[n % len(every)])
            key = PullKey("head", told.key.stage, numbers[n % len(numbers)])
            body = body_of(head(), bench.state, replace(told, key=key))
            done.append(bench.put(aftermath.HAPPENED, body))
        elif act == "settle" and bench.state.dues:
            due = bench.state.dues[n % len(bench.state.dues)]
            kinds = due_kinds()[due.name].answers
            answer = kinds[n % len(kinds)].name if kinds else ""
            body = settled_body(head(), bench.state, due, answer, "page 3")
            done.append(bench.put(aftermath.SETTLED, body))
        elif act == "back" and done:
            target, before = done[-1 - n % min(2, len(done))], bench.state
            refused = aftermath.why_not(before, target) is not None
            bench.back(target)
            assert not refused or bench.state == before
            continue
        still = {p.entry for p in bench.state.pulls if p.voided}
        assert voided <= still, "nothing that was voided counts again"
        for pull in bench.state.latest.values():
            assert not pull.voided
    assert fold(bench.entries) == bench.state
    gone = set(bench.state.taken_back)
    left = [e for e in bench.entries if e["id"] not in gone and e["kind"] != aftermath.TAKEN_BACK]
    plain = fold(left)
    assert dict(plain.latest) == dict(bench.state.latest)
    assert (plain.dues, plain.suspects) == (bench.state.dues, bench.state.suspects)
    assert plain.holds == bench.state.holds
