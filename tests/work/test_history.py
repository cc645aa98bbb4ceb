"""The joints of a machine over the years, and pulls found again."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy import stats

from clampwright.errors import Refused
from clampwright.report.drift_chart import drift_chart
from clampwright.store.glimpses import glimpse_of
from clampwright.work.bygone import Outcome, Visit, visits_of
from clampwright.work.finding import KINDS, SINGLE, TOGETHER, Wanted, find
from clampwright.work.history import YEAR, drift_of, histories, same_name
from clampwright.work.history_json import history_json

DAY = dt.date(2024, 3, 1)


def outcome(fastener: int, **more: Any) -> Outcome:
    """One fastener, turned 60° in its second stage, with what a test is about."""
    plain: dict[str, Any] = {
        "verdict": "within",
        "pulls": 2,
        "torque": 45.0,
        "torque_u": 0.5,
        "turned": 60.0,
        "turned_in": (2,),
        "stretched": False,
        "renewed": False,
        "breakaway": None,
        "tools": ("electronic-200",),
    }
    return Outcome(fastener=fastener, **{**plain, **more})


def visit(days: int, outcomes: Sequence[Outcome], **more: Any) -> Visit:
    plain: dict[str, Any] = {
        "job": f"job-{days}",
        "title": "Invented job",
        "date": DAY + dt.timedelta(days=days),
        "machine": "Invented pump",
        "joint": "cover",
        "joint_title": "Cover",
        "stages": ("torque 20 N·m", "torque 45 N·m"),
        "turned_on": False,
        "clamp": (20_000.0, 15_000.0, 26_000.0),
        "outcomes": tuple(outcomes),
        "closed": True,
        "new_fitted": False,
    }
    return Visit(**{**plain, **more})


def turned(days: int, angles: Iterable[float], **more: Any) -> Visit:
    return visit(days, [outcome(n, turned=a) for n, a in enumerate(angles, 1)], **more)


# Drift, held against scipy.stats.linregress as the independent reference


@pytest.mark.parametrize("slope", [0.0, -4.0, 9.0])
def test_the_trend_is_that_of_scipy(slope: float) -> None:
    random = np.random.default_rng(7)
    days = [0, 200, 411, 800, 1003, 1200]
    visits = [turned(d, 60 + slope * d / YEAR + random.normal(0, 2, 6)) for d in days]
    found = drift_of(visits, "angle")
    assert found is not None
    assert found.line is not None
    means = [float(np.mean([one.turned or 0.0 for one in v.outcomes])) for v in visits]
    reference = stats.linregress([d / YEAR for d in days], means)
    assert found.means == pytest.approx(means)
    assert found.line.slope == pytest.approx(reference.slope)
    half = stats.t.ppf(0.975, len(days) - 2) * reference.stderr
    assert found.line.interval() == pytest.approx((reference.slope - half, reference.slope + half))
    told = "it changes by" in str(found.says)
    assert told == (abs(reference.slope) > half)


def test_scatter_alone_is_rarely_called_a_trend() -> None:
    """At 95 % about one in twenty: binomial limits for 400 draws, three standard deviations."""
    random = np.random.default_rng(11)
    days = (0, 150, 300, 500, 700)
    called = 0
    for _draw in range(400):
        found = drift_of([turned(d, random.normal(60, 2, 4)) for d in days], "angle")
        assert found is not None
        called += "it changes by" in str(found.says)
    assert abs(called / 400 - 0.05) < 3 * (0.05 * 0.95 / 400) ** 0.5


def test_only_what_was_done_and_measured_alike_is_compared() -> None:
    other_stages = turned(50, (90, 90), stages=("torque 20 N·m", "turn 90° further"))
    half = visit(60, [outcome(1, turned=30.0, turned_in=(1,))])
    same = [turned(d, (60, 62)) for d in (0, 100, 200)]
    by_click = visit(250, [outcome(1, turned=None, turned_in=())])
    found = drift_of([same[0], other_stages, half, *same[1:], by_click], "angle")
    assert found is not None
    assert found.dates == tuple(one.date for one in same)
    assert found.stages == (2,)


def test_two_jobs_or_one_day_are_no_trend() -> None:
    for days in ((0, 90), (0, 0, 0)):
        found = drift_of([turned(d, (60, 61)) for d in days], "angle")
        assert found is not None
        assert found.line is None
        assert "a trend needs 3" in str(found.says)


def test_torque_tells_where_the_angle_is_prescribed() -> None:
    days = (0, 365, 730)
    by_angle = [
        visit(d, [outcome(n, torque=80 + 10 * d / 365) for n in (1, 2)], turned_on=True)
        for d in days
    ]
    (history,) = histories(by_angle)
    torque = next(one for one in history.drifts if one.quantity == "torque")
    assert torque.line is not None
    assert torque.line.slope == pytest.approx(10, rel=0.01)
    to_torque = [replace(one, turned_on=False) for one in by_angle]
    assert [one.quantity for one in histories(to_torque)[0].drifts] == ["angle"]


# What is spent


def test_yield_tightenings_are_counted_since_the_fastener_was_new() -> None:
    visits = [
        visit(0, [outcome(1), outcome(2)], turned_on=True),
        visit(100, [outcome(1, stretched=True), outcome(2)], turned_on=True),
        visit(200, [outcome(1, stretched=True), outcome(2, renewed=True)], turned_on=True),
        visit(300, [outcome(1), outcome(2)]),
    ]
    one, two = histories(visits)[0].spent
    assert (one.times, one.seen, one.known_new, one.since) == (3, 2, False, visits[0].date)
    assert (two.times, two.seen, two.known_new, two.since) == (1, 0, True, visits[2].date)
    visits[2] = replace(visits[2], new_fitted=True)
    assert [spent.times for spent in histories(visits)[0].spent] == [1, 1]


def test_what_was_only_loosened_spends_nothing() -> None:
    gone = visit(0, [outcome(1, pulls=0, torque=None, turned=None, turned_in=(), breakaway=52.0)])
    (history,) = histories([gone])
    assert history.spent == ()
    assert history_json(history)["visits"][0]["fasteners"][0]["breakaway_Nm"] == 52.0


def test_a_machine_is_known_by_its_name_whatever_the_letters() -> None:
    assert same_name(" Launch  ENGINE ") == same_name("launch engine")
    assert same_name("launch engine 2") != same_name("launch engine")


def test_the_chart_shows_each_job_and_survives_equal_figures() -> None:
    found = drift_of([turned(d, (60, 60)) for d in (0, 10, 20)], "angle")
    assert found is not None
    drawn = drift_chart(found)
    assert drawn.count("<circle") == 3
    assert "nan" not in drawn.casefold()


# From entries


def entry(kind: str, body: dict[str, Any], number: int, day: str = "2026-03-01") -> dict[str, Any]:
    return {
        "id": f"e{number}",
        "kind": kind,
        "job": "cover-job",
        "device": {"id": "d", "time": f"{day}T10:00:{number:02}Z"},
        "body": body,
    }


def opened() -> dict[str, Any]:
    kinds = ("torque", "loosen", "torque", "angle")
    stages = [
        {"stage": {"kind": kind}, "text": kind, "clamp": None, "number": number}
        for number, kind in enumerate(kinds, 1)
    ]
    joint = {"id": "cover", "title": "Pump cover", "stages": stages}
    return {"plan": {"title": "Cover", "machine": "Invented pump", "joints": [joint]}}


def pull(stage: int, verdict: str = "within", fastener: int = 1, **more: Any) -> dict[str, Any]:
    plain = {
        "joint": "cover",
        "stage": stage,
        "fastener": fastener,
        "verdict": verdict,
        "reasons": [],
        "tool": "click-60",
    }
    return {**plain, **more}


def degrees(value: str) -> dict[str, Any]:
    return {"turned": {"value": value, "unit": "deg"}}


def newtonmetres(value: str) -> dict[str, Any]:
    return {"received": {"torque": {"value": value, "unit": "N·m"}}}


def test_angles_count_from_the_last_loosening_and_add_what_came_short() -> None:
    found: dict[str, Any] = {
        "found": {"turned_after_snug_deg": "31.5", "yield": {"reached": False}}
    }
    entries = [
        entry("job_opened", opened(), 0),
        entry("pull", pull(1, **found), 1),
        entry("pull", pull(2), 2),
        entry("pull", pull(3, **found, **newtonmetres("20.5")), 3),
        entry("pull", pull(4, "short", **degrees("40")), 4),
        entry("pull", pull(4, **degrees("50.25")), 5),
    ]
    (one,) = visits_of(entries)
    (result,) = one.outcomes
    assert result.turned == pytest.approx(31.5 + 40 + 50.25)
    assert result.turned_in == (3, 4)
    assert (result.torque, result.pulls, result.verdict) == (20.5, 5, "within")
    assert one.turned_on


def test_what_was_voided_counts_as_a_pull_and_for_nothing_else() -> None:
    entries = [
        entry("job_opened", opened(), 0),
        entry("pull", pull(1, "over", **newtonmetres("60")), 1),
        entry("fastener_restarted", {"joint": "cover", "fastener": 1, "renewed": True}, 2),
        entry("pull", pull(1, **newtonmetres("20")), 3),
        entry("fastener_loosened", {"joint": "cover", "round": 1, "fastener": 1,
                                    "breakaway": {"value": "20", "unit": "ft·lbf"}}, 4),
    ]  # fmt: skip
    (result,) = visits_of(entries)[0].outcomes
    assert (result.pulls, result.torque, result.renewed) == (2, 20.0, True)
    assert result.breakaway == pytest.approx(27.116, abs=0.001)


def test_a_job_that_was_never_begun_is_no_visit() -> None:
    assert visits_of([entry("pull", pull(1), 1)]) == []


# Search


def glimpsed(entries: Sequence[dict[str, Any]]) -> list[Sequence[Any]]:
    return [glimpse_of(one, SINGLE, TOGETHER) for one in entries if one["kind"] in KINDS]


ENTRIES = [
    entry("job_opened", opened(), 0),
    entry("pull", pull(1, "over", made_by={"person": "person-1"}, **newtonmetres("60")), 1),
    entry("fastener_restarted", {"joint": "cover", "fastener": 1}, 2),
    entry("pull", pull(1, "doubtful", tool="beam-200"), 3, "2026-03-05"),
    entry("pull_accepted", {"entry": "e3"}, 4, "2026-03-05"),
    entry("pull", pull(1, fastener=2), 5, "2026-04-01"),
    entry("pull", pull(1, fastener=2), 6, "2026-04-02"),
]


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (Wanted(), ["e6", "e5", "e3", "e1"]),
        (Wanted(standing=True), ["e6", "e3"]),
        (Wanted(machine="INVENTED"), ["e6", "e5", "e3", "e1"]),
        (Wanted(machine="engine"), []),
        (Wanted(part="pump cov"), ["e6", "e5", "e3", "e1"]),
        (Wanted(tool="beam"), ["e3"]),
        (Wanted(person="person-1"), ["e1"]),
        (Wanted(person="person-"), []),
        (Wanted(verdicts=("over", "doubtful")), ["e3", "e1"]),
        (Wanted(since=dt.date(2026, 3, 5), until=dt.date(2026, 4, 1)), ["e5", "e3"]),
        (Wanted(text="cover beam"), ["e3"]),
        (Wanted(text="cover spanner"), []),
    ],
)
def test_pulls_are_found_by_what_is_known_of_them(wanted: Wanted, found: list[str]) -> None:
    assert [one.entry for one in find(glimpsed(ENTRIES), wanted)] == found


def test_what_became_of_a_pull_is_told() -> None:
    by_id = {one.entry: one for one in find(glimpsed(ENTRIES), Wanted())}
    assert (by_id["e1"].undone, by_id["e5"].undone, by_id["e6"].undone) == (True, True, False)
    assert by_id["e3"].accepted
    assert by_id["e1"].torque_nm == 60.0


def test_what_cannot_be_looked_for_is_told() -> None:
    with pytest.raises(Refused, match="after the last"):
        Wanted(since=dt.date(2026, 3, 2), until=dt.date(2026, 3, 1))
    with pytest.raises(Refused, match="there is no verdict 'green'"):
        Wanted(verdicts=("green",))
