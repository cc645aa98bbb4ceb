"""Pages about what happens to tools: when they are due, calibrating, looking back, putting away."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Path as InPath
from fastapi import Query, Request
from fastapi.responses import Response

from clampwright.bench.calibration_papers import report_of
from clampwright.bench.drawers import DrawerNow, drawer_of
from clampwright.bench.look_back import LookedBack, look_back
from clampwright.drawer.calibration import DIRECTIONS
from clampwright.drawer.care import care_for
from clampwright.drawer.due import due_list, reliability_words
from clampwright.drawer.guided import sequence_of, steps_for
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.tools import Tool
from clampwright.errors import ClampwrightError, Missing, Refused
from clampwright.locale import figure, say, told
from clampwright.store import Store
from clampwright.store.where import has_log
from clampwright.web.api import Job
from clampwright.web.drawer_pages import ToolId, tool_named
from clampwright.web.lookup import opened
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.web.tool_history_view import due_view
from clampwright.words import words
from clampwright.work.letter import letter as letter_of
from clampwright.work.look_back import ADVICE_WORDS, JointInQuestion
from clampwright.work.look_back_words import clamp_words, pull_words, window_lines
from clampwright.work.study_table import Study, read_study

MOST_PULLS = 200
"""Pulls of one joint a page shows; the command line shows all."""

Long = Annotated[str, Query(max_length=4000)]
EntryInPath = Annotated[str, InPath(max_length=40)]


def drawer_now(place: House) -> DrawerNow:
    """Return the drawer as it is now, with what the server has folded of the log."""
    return drawer_of(place.place, place.desk.look().tools)


def due(request: Request) -> Response:
    """Show which wrench is to be calibrated when."""
    place = house(request)
    drawer, today = drawer_now(place), place.files.today()
    found = due_list(drawer.described, drawer.now, drawer.histories, today)
    together = reliability_words(drawer.now, drawer.histories)
    facts = {
        "title": say(words("Due")),
        "problem": "",
        "due": [due_view(one, today) for one in found],
        "together": say(together) if together else "",
    }
    return place.pages.answer("drawer_due.html", facts)


def due_calendar(request: Request) -> Response:
    """Return the due list as a calendar file."""
    from clampwright.report.calendar_file import calendar_file  # noqa: PLC0415 - 25 ms of every start, and only this file needs it

    place = house(request)
    drawer, today = drawer_now(place), place.files.today()
    found = due_list(drawer.described, drawer.now, drawer.histories, today)
    data = calendar_file(found, today=today, origin=place.place.folder.resolve().name)
    headers = {"content-disposition": 'attachment; filename="calibration.ics"'}
    return Response(data, media_type="text/calendar; charset=utf-8", headers=headers)


def calibrate(request: Request, tool: ToolId) -> Response:
    """Show the sequence of a calibration, and where its readings go."""
    place = house(request)
    drawer = drawer_now(place)
    one = tool_named(drawer.now, tool)
    try:
        steps = steps_for(one)
    except Refused as error:
        raise Missing(error.message, needed="entry") from error
    facts = {
        "title": say(words("Calibrate: {tool}", tool=one.title)),
        "problem": "",
        "tool": one,
        "steps": steps_told(one),
        "source": sequence_of(one).source,
        "points": [
            f"{say(DIRECTIONS[step.direction])} {told(one.scales[0].text(step.target))}"
            for step in steps
            if step.kind == "read" and step.reading == 1
        ],
        "devices": [(device.id, device.title) for device in drawer.now.test_devices],
    }
    return place.pages.answer("tool_calibrate.html", facts)


def steps_told(tool: Tool) -> list[str]:
    """Return the steps, those that are alike in one line."""
    told: list[str] = []
    how, scale = sequence_of(tool), tool.scales[0]
    for direction in tool.directions:
        load = words(
            "{direction}: load it {count} times to {top}; nothing is written down",
            direction=DIRECTIONS[direction],
            count=how.preloads,
            top=scale.text(scale.high),
        )
        told.append(say(load))
        told += [
            say(words("{direction}: {say}", direction=DIRECTIONS[direction], say=step.say))
            if step.kind == "zero"
            else say(
                words(
                    "{direction}, {count} times: {say}",
                    direction=DIRECTIONS[direction],
                    count=how.readings,
                    say=step.say,
                )
            )
            for step in steps_for(tool)
            if step.direction == direction
            and (step.kind == "zero" or (step.kind == "read" and step.reading == 1))
        ]
    return told


def report(request: Request, tool: ToolId, entry: EntryInPath) -> Response:
    """Return the report of a calibration that was performed here."""
    place = house(request)
    drawer = drawer_now(place)
    one = tool_named(drawer.now, tool)
    done = next((c for c in drawer.history(tool).calibrations if c.entry == entry), None)
    if done is None:
        raise Missing(words("there is no such calibration"), needed="entry")
    with Store.open(place.place.folder, write=False) as store:
        data = report_of(one, done, store.get(entry), store.workshop, invented=drawer.now.invented)
    name = f"{one.id}-{done.date.isoformat()}.pdf"
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type="application/pdf", headers=headers)


def looked_back(place: House, tool: str) -> LookedBack:
    """Look back over the pulls with a tool."""
    drawer = drawer_now(place)
    tool_named(drawer.now, tool)
    if not has_log(place.place.folder):
        raise Missing(words("nothing is on the log yet"), needed="finding")
    with Store.open(place.place.folder, write=False) as store:
        return look_back(store, drawer, tool)


def look_back_page(request: Request, tool: ToolId) -> Response:
    """Show which joints a tool that was found off may have spoilt."""
    place = house(request)
    one = tool_named(drawer_now(place).now, tool)
    found, problem = None, ""
    try:
        found = looked_back(place, tool)
    except Missing as error:
        problem = as_sentence(say(error.message))
    facts = {
        "title": say(words("Looking back: {tool}", tool=one.title)),
        "problem": problem,
        "tool": one,
        "found": None if found is None else _found(found),
    }
    return place.pages.answer("tool_look_back.html", facts)


def _found(found: LookedBack) -> dict[str, Any]:
    return {
        "finding": found.window.found.entry,
        "lines": [as_sentence(say(line)) for line in window_lines(found.review)],
        "joints": [_joint(found, joint) for joint in found.review.joints],
    }


def _joint(found: LookedBack, joint: JointInQuestion) -> dict[str, Any]:
    pull, decided = joint.worst.pull, found.decided(joint)
    clamp = clamp_words(joint.worst)
    if decided is None:
        said = words("Advice: {advice}; not decided", advice=ADVICE_WORDS[joint.advice])
    else:
        said = words("Decided: {decision}", decision=ADVICE_WORDS[decided.decision])
    return {
        "job": pull.job,
        "joint": pull.joint,
        "title": pull.title,
        "about": say(
            words("harm level {level}, {machine}, {count} pulls", level=pull.harm_level,
                  machine=pull.machine, count=len(joint.pulls))
        ),
        "worst": say(pull_words(joint.worst)),
        "clamp": say(clamp) if clamp else "",
        "said": say(said),
        "chosen": decided.decision if decided else joint.advice,
        "reason": decided.reason if decided else "",
        "pulls": [
            f"{one.pull.time.date().isoformat()} {say(pull_words(one))}"
            for one in joint.pulls[:MOST_PULLS]
        ],
    }  # fmt: skip


def letter(request: Request, tool: ToolId, job: Annotated[str, Query(max_length=60)]) -> Response:
    """Show a letter to the owner of a machine."""
    place = house(request)
    found = looked_back(place, tool)
    joints = found.joints_of(job)
    decided = [found.decided(joint) for joint in joints]
    with Store.open(place.place.folder, write=False) as store:
        name = store.workshop
    lines = letter_of(
        found.window,
        joints,
        ["" if one is None else one.decision for one in decided],
        workshop=name,
        today=place.files.today(),
    )
    facts = {
        "title": say(words("Letter to the owner")),
        "problem": "",
        "tool": found.window.tool,
        "lines": [say(line) for line in lines],
    }
    return place.pages.answer("tool_letter.html", facts)


def study(request: Request, readings: Long = "") -> Response:
    """Evaluate a study of two people and one tool; nothing is stored."""
    place = house(request)
    problem, found = "", None
    if readings.strip():
        lines = readings if "value" in readings else f"person,part,trial,value\n{readings}"
        try:
            found = read_study(lines.encode(), say(words("readings")))
        except ClampwrightError as error:
            problem = as_sentence(say(error.message))
    facts = {
        "title": say(words("Two people, one tool")),
        "problem": problem,
        "readings": readings,
        "study": None if found is None else _study(found),
    }
    return place.pages.answer("drawer_study.html", facts, status=422 if problem else 200)


def _study(found: Study) -> dict[str, Any]:
    result = found.variance.study
    rows = (
        (words("one person, again (repeatability)"), "repeatability"),
        (words("another person (reproducibility)"), "reproducibility"),
        (words("both together"), "gauge"),
        (words("between the parts"), "part"),
    )
    return {
        "rows": [
            {
                "title": say(title),
                "value": figure(getattr(result, name), ".4g"),
                "share": f"{figure(result.percent(name), '.1f')} %",
            }
            for title, name in rows
        ],
        "says": [say(line) for line in found.says],
    }


def care(request: Request, job: Job) -> Response:
    """Show what the tools of a job want before they go back into the drawer."""
    place = house(request)
    state, plan = opened(place.desk.look().jobs.get(job), job)
    drawer, today = drawer_now(place), place.files.today()
    used = dict.fromkeys(pull.body.get("tool") for pull in state.pulls)
    known = {tool.id: tool for tool in drawer.now.tools}
    wanted = [
        {
            "id": one.tool.id,
            "tool": one.tool.title,
            "say": say(one.say),
            "event": one.event,
            "source": one.source,
            "ticked": _ticked(drawer.history(one.tool.id), one.event, today.isoformat()),
        }
        for name in used
        if name in known
        for one in care_for(known[name], "after_job")
    ]
    facts = {
        "title": say(words("Put away")),
        "job": {"id": job, "title": plan.job.title},
        "today": today.isoformat(),
        "wanted": wanted,
    }
    return place.pages.answer("job_care.html", facts)


def _ticked(history: ToolHistory, event: str, today: str) -> bool:
    return any(one.event == event and one.date.isoformat() == today for one in history.events)
