"""What the pages of practice show, as plain texts and drawings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from clampwright.distributions import coverage_factor
from clampwright.drawer.metrology.comparison import Difference
from clampwright.locale import figure, say
from clampwright.practice.answering import Answered
from clampwright.practice.clamp_question import ClampScore
from clampwright.practice.fault_question import FaultAnswer, fault_kinds
from clampwright.practice.feel import (
    CONFIDENCE,
    Spread,
    by_length,
    by_posture,
    differences,
    held_against,
    spread_of,
    trend_of,
)
from clampwright.practice.lesson import (
    ClampExercise,
    Exercise,
    FaultExercise,
    FeelExercise,
    WhatIfExercise,
)
from clampwright.practice.results import Learner
from clampwright.practice.tries import POSTURES, Try
from clampwright.practice.what_if import WhatIf
from clampwright.report.clamp_posts import clamp_posts, summary
from clampwright.report.estimate_drawing import estimate_drawing
from clampwright.report.fault_drawing import fault_drawing
from clampwright.report.lesson_sheet import title_of
from clampwright.report.practice_drawings import feel_drawing
from clampwright.report.what_if_paper import COLUMNS, cases, fastener_rows, remarks
from clampwright.web.rendering import as_sentence
from clampwright.words import Words, words

NOTHING = "–"


def percent(share: float | None, *, sign: bool = False) -> str:
    """Return a share in percent; a dash where it is not known.

    Examples
    --------
    >>> percent(0.0525), percent(-0.05, sign=True), percent(None)
    ('5.2 %', '-5.0 %', '–')
    """
    if share is None:
        return NOTHING
    return f"{figure(100.0 * share, '+.1f' if sign else '.1f')} %"


def between(ends: tuple[float, float] | None, *, sign: bool = True) -> str:
    """Return an interval of shares in percent; a dash where it is not known."""
    if ends is None:
        return NOTHING
    return say(
        words("{low} to {high}", low=percent(ends[0], sign=sign), high=percent(ends[1], sign=sign))
    )


def exercise_facts(exercise: Exercise) -> dict[str, Any]:
    """Return what is shown of an exercise before it is answered."""
    facts: dict[str, Any] = {
        "kind": exercise.kind,
        "heading": _heading(exercise),
        "text": say(exercise.text) if exercise.text.template else "",
        "told": [],
        "choices": [],
        "drawing": "",
        "ask": "",
        "tries": 0,
    }
    if isinstance(exercise, FeelExercise):
        facts["tries"] = exercise.tries
    elif isinstance(exercise, ClampExercise):
        condition = exercise.question.condition
        friction = words(
            "{condition}, {low:g} to {high:g}",
            condition=condition.title,
            low=condition.low,
            high=condition.high,
        )
        facts["told"] = [
            *((say(label), value) for label, value in exercise.question.told()),
            (say(words("Friction")), say(friction)),
        ]
    elif isinstance(exercise, FaultExercise):
        asked, kinds = exercise.question, fault_kinds()
        facts["told"] = [(say(label), value) for label, value in asked.told()]
        facts["choices"] = [(key, say(kinds[key].title)) for key in asked.choices]
        facts["drawing"] = fault_drawing(asked)
    else:
        facts["ask"] = say(exercise.ask)
    return facts


def _heading(exercise: Exercise) -> str:
    """Return what an exercise is called; a torque is not torn from its unit."""
    title = say(title_of(exercise))
    if isinstance(exercise, FeelExercise):
        return title.replace(exercise.written, exercise.written.replace(" ", "\u00a0"))
    return title


def answer_facts(exercise: Exercise, done: Answered) -> dict[str, Any]:
    """Return what is shown once an exercise is answered."""
    facts: dict[str, Any] = {
        "says": [as_sentence(say(line)) for line in done.says],
        "points": done.outcome.get("points"),
        "drawing": "",
        "program": [],
        "written": dict(done.answer),
        "what_if": None,
        "go_on": "",
    }
    found = done.found
    if isinstance(exercise, ClampExercise) and isinstance(found, ClampScore):
        facts["drawing"] = estimate_drawing(exercise.question, found)
        facts["says"].append(_band_words(found))
    elif isinstance(exercise, FaultExercise) and isinstance(found, FaultAnswer):
        asked = exercise.question
        read = asked.read()
        facts["program"] = [as_sentence(say(reason)) for reason in read.reasons]
        facts["drawing"] = fault_drawing(asked, read)
    elif isinstance(exercise, WhatIfExercise) and isinstance(found, WhatIf):
        facts["what_if"] = what_if_facts(found)
        filled = {key: text for key, text in exercise.request.texts.items() if text}
        facts["go_on"] = f"/practice/what-if?{urlencode(filled)}"
    return facts


def _band_words(found: ClampScore) -> str:
    return say(
        words(
            "The joint's model: 5 to 95 % of the fasteners lie between {low:.1f} and {high:.1f} "
            "kN, the middle is {middle:.1f} kN. Your interval scores {score:.1f} kN, the best "
            "that can be said {best:.1f} kN; less is better.",
            low=found.band.p05 / 1000.0,
            high=found.band.p95 / 1000.0,
            middle=found.band.nominal / 1000.0,
            score=found.score / 1000.0,
            best=found.best / 1000.0,
        )
    )


def what_if_facts(found: WhatIf) -> dict[str, Any]:
    """Return what is shown of two cases side by side."""
    return {
        "says": [as_sentence(say(line)) for line in found.says()],
        "drawing": clamp_posts(found),
        "about": say(summary(found)),
        "cases": cases(found),
        "columns": [say(column) for column in COLUMNS],
        "rows": fastener_rows(found),
        "remarks": [say(line) for line in remarks(found)],
    }


def feel_facts(tries: Sequence[Try]) -> dict[str, Any] | None:
    """Return what tries by hand say; None where there are none."""
    if not tries:
        return None
    spread = spread_of(tries)
    return {
        "drawing": feel_drawing(tries),
        "rows": _spread_rows(spread, tries),
        "remarks": [say(line) for line in _remarks(spread)],
        "held": [
            {
                "stage": say(
                    words(
                        "±{percent:g} %: {what}",
                        percent=100.0 * one.tolerance.tolerance,
                        what=one.tolerance.title,
                    )
                ),
                "inside": f"{one.inside}/{len(tries)} ({between(one.share_range, sign=False)})",
                "chance": NOTHING if one.next_within is None else figure(one.next_within, ".0%"),
                "source": one.tolerance.source,
            }
            for one in held_against(tries)
        ],
        "lengths": _groups(
            {f"{length:g} mm": mine for length, mine in by_length(tries).items()},
        ),
        "postures": _groups({say(POSTURES[key]): mine for key, mine in by_posture(tries).items()}),
    }


def _spread_rows(spread: Spread, tries: Sequence[Try]) -> list[tuple[str, str]]:
    rows = [
        (say(words("Tries")), str(spread.count)),
        (say(words("On average")), _with_range(percent(spread.bias, sign=True), spread.bias_range)),
        (
            say(words("Scatter from pull to pull")),
            _with_range(percent(spread.scatter), spread.scatter_range, sign=False),
        ),
        (say(words("The next pull falls between")), between(spread.next_range)),
    ]
    if spread.days is not None:
        rows.append((say(words("Of it from day to day")), percent(spread.days.between)))
    trend = trend_of(tries)
    if trend is not None:
        half = coverage_factor(CONFIDENCE, trend.dof) * trend.u_slope
        ends = (10.0 * (trend.slope - half), 10.0 * (trend.slope + half))
        said = words(
            "in ten tries the error changes by {change} ({range})",
            change=percent(10.0 * trend.slope, sign=True),
            range=between(ends),
        )
        rows.append((say(words("From try to try")), say(said)))
    return rows


def _with_range(value: str, ends: tuple[float, float] | None, *, sign: bool = True) -> str:
    return value if ends is None else f"{value} ({between(ends, sign=sign)})"


def _remarks(spread: Spread) -> list[Words]:
    lines = []
    if spread.count == 1:
        lines.append(words("One try says nothing about scatter; pull again."))
    elif spread.count < 5:
        lines.append(words("So few tries leave wide ranges; they get narrower with every pull."))
    if spread.count > 1 and spread.days is None:
        lines.append(
            words(
                "What a day brings with it is not in these ranges: that takes tries on three days "
                "or more, with repeats."
            )
        )
    lines.append(words("Figures in brackets hold with 95 % confidence."))
    return lines


def _groups(groups: dict[str, list[Try]]) -> list[dict[str, str]]:
    """Return one row for each way of pulling; compared where there are tries enough."""
    if len(groups) < 2:
        return []
    apart = differences(groups)
    spreads = {name: spread_of(mine) for name, mine in groups.items()}
    return [
        {
            "name": name,
            "tries": str(len(mine)),
            "bias": _with_range(percent(spreads[name].bias, sign=True), spreads[name].bias_range),
            "apart": _apart(apart.get(name)),
        }
        for name, mine in groups.items()
    ]


def _apart(found: Difference | None) -> str:
    if found is None:
        return NOTHING
    said = words("{mean} ({range})", mean=percent(found.mean, sign=True),
                 range=between((found.low, found.high)))  # fmt: skip
    return say(said)


def learner_row(one: Learner) -> dict[str, str]:
    """Return one learner as a row of the table of a class."""
    feel = one.feel
    return {
        "name": one.name,
        "answers": str(one.answers),
        "tries": str(feel.count) if feel else NOTHING,
        "bias": _with_range(percent(feel.bias, sign=True), feel.bias_range) if feel else NOTHING,
        "short": percent(feel.bias, sign=True) if feel else NOTHING,
        "scatter": percent(feel.scatter) if feel else NOTHING,
        "points": NOTHING if one.clamp_points is None else f"{one.clamp_points:.0f}",
        "held": NOTHING if one.clamp_held is None else figure(one.clamp_held, ".0%"),
        "faults": f"{one.faults_right}/{one.faults}" if one.faults else NOTHING,
        "foreseen": str(one.foreseen) if one.foreseen else NOTHING,
    }
