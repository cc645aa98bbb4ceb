"""The pages of the past: machines, one machine over the years, pulls found by what is known."""

from __future__ import annotations

import datetime as dt
from itertools import islice
from typing import Annotated, Any

from fastapi import Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from clampwright.bench.history import Machine, history_of, machines, search
from clampwright.bench.names import Names, name_of
from clampwright.errors import ClampwrightError, Refused
from clampwright.locale import say
from clampwright.report.drift_chart import drift_chart
from clampwright.report.phrases import verdict_words
from clampwright.report.svg import PAGE
from clampwright.store import Store
from clampwright.store.where import has_log
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.web.step_view import plain
from clampwright.words import words
from clampwright.work.bygone import VERDICTS, Outcome, Visit, gravest
from clampwright.work.finding import FoundPull, Wanted
from clampwright.work.history import JointHistory
from clampwright.work.history_json import found_json, history_json, machine_json
from clampwright.work.history_words import clamp_words, drift_words, spent_lines

MOST = 200
"""Pulls shown at once."""

Short = Annotated[str, Field(max_length=200)]


class FindIn(BaseModel):
    """What a form, or a program, looks for; what is empty does not matter."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    text: Short = ""
    machine: Short = ""
    part: Short = ""
    tool: Short = ""
    person: Short = ""
    since: Short = ""
    until: Short = ""
    verdict: Short = ""
    standing: bool = False
    most: Annotated[int, Field(ge=1, le=10_000)] = MOST

    def wanted(self) -> Wanted:
        """Return it as the search takes it.

        Raises
        ------
        Refused
            When a day is no day, the days are in the wrong order, or a verdict is not known.
        """
        return Wanted(
            machine=self.machine,
            part=self.part,
            tool=self.tool,
            person=self.person,
            since=_day(self.since),
            until=_day(self.until),
            verdicts=(self.verdict,) if self.verdict else (),
            text=self.text,
            standing=self.standing,
        )


def history(request: Request) -> Response:
    """Show the machines, and the form that finds pulls."""
    place = house(request)
    known = _machines(place)
    rows = [
        {"name": one.name, "last": one.last.isoformat(), "jobs": len(one.jobs)} for one in known
    ]
    facts = {
        "title": say(words("Machines and search")),
        "machines": rows,
        **_form(place, Wanted()),
    }
    return place.pages.answer("history.html", facts)


def machine(request: Request, name: Annotated[str, Query(max_length=400)]) -> Response:
    """Show one machine over the years."""
    place = house(request)
    with Store.open(place.place.folder, write=False) as store:
        found, joints = history_of(store, name)
    facts = {"title": found.name, "joints": [_joint(one) for one in joints]}
    return place.pages.answer("history_machine.html", facts)


def find_page(request: Request, asked: Annotated[FindIn, Query()]) -> Response:
    """Show the pulls that fit."""
    place = house(request)
    facts: dict[str, Any] = {"title": say(words("Find pulls")), "problem": ""}
    facts |= {"pulls": [], "more": False}
    wanted, status = Wanted(), 200
    try:
        wanted = asked.wanted()
        found, facts["more"] = _found(place, wanted, MOST)
        names = Names(place.place.folder).all()
        facts["pulls"] = [_pull(one, names) for one in found]
    except ClampwrightError as error:
        facts["problem"], status = as_sentence(say(error.message)), 422
    return place.pages.answer("find.html", {**facts, **_form(place, wanted)}, status=status)


def machines_json(request: Request) -> dict[str, Any]:
    """List the machines."""
    return {"machines": [machine_json(one) for one in _machines(house(request))]}


def machine_history(
    request: Request, name: Annotated[str, Query(max_length=400)]
) -> dict[str, Any]:
    """Return the joints of one machine over the years."""
    with Store.open(house(request).place.folder, write=False) as store:
        found, joints = history_of(store, name)
    return {**machine_json(found), "joints": [history_json(one) for one in joints]}


def pulls_json(request: Request, asked: Annotated[FindIn, Query()]) -> dict[str, Any]:
    """Find pulls, the newest first."""
    found, more = _found(house(request), asked.wanted(), asked.most)
    return {"pulls": [found_json(one) for one in found], "more": more}


def _found(place: House, wanted: Wanted, most: int) -> tuple[list[FoundPull], bool]:
    if not _has_log(place):
        return [], False
    with Store.open(place.place.folder, write=False) as store:
        found = list(islice(search(store, wanted), most + 1))
    return found[:most], len(found) > most


def _machines(place: House) -> tuple[Machine, ...]:
    if not _has_log(place):
        return ()
    with Store.open(place.place.folder, write=False) as store:
        return machines(store)


def _has_log(place: House) -> bool:
    return has_log(place.place.folder)


def _day(text: str) -> dt.date | None:
    if not text.strip():
        return None
    try:
        return dt.date.fromisoformat(text.strip())
    except ValueError as error:
        raise Refused(
            words("{text!r} is no day; write it as 2026-03-01", text=text.strip())
        ) from error


def _form(place: House, wanted: Wanted) -> dict[str, Any]:
    names = Names(place.place.folder).all()
    return {
        "wanted": {
            "text": wanted.text,
            "machine": wanted.machine,
            "part": wanted.part,
            "tool": wanted.tool,
            "person": wanted.person,
            "since": wanted.since.isoformat() if wanted.since else "",
            "until": wanted.until.isoformat() if wanted.until else "",
            "verdict": wanted.verdicts[0] if wanted.verdicts else "",
            "standing": wanted.standing,
        },
        "verdicts": {one: say(verdict_words(one)) for one in VERDICTS},
        "people": sorted(((id_, name) for id_, name in names.items()), key=lambda one: one[1]),
    }


def _joint(one: JointHistory) -> dict[str, Any]:
    return {
        "id": one.joint,
        "title": one.title,
        "visits": [_visit(visit) for visit in reversed(one.visits)],
        "drifts": [
            {
                "says": as_sentence(say(drift_words(drift))),
                "chart": drift_chart(drift, look=PAGE) if len(drift.means) > 1 else "",
            }
            for drift in one.drifts
        ],
        "spent": [as_sentence(say(line)) for line in spent_lines(one.spent)],
    }


def _visit(visit: Visit) -> dict[str, Any]:
    return {
        "job": visit.job,
        "title": visit.title,
        "date": visit.date.isoformat(),
        "closed": visit.closed,
        "verdict": say(verdict_words(gravest(one.verdict for one in visit.outcomes))),
        "clamp": "" if visit.clamp is None else as_sentence(say(clamp_words(visit.clamp))),
        "rows": [_row(one) for one in visit.outcomes],
    }


def _row(one: Outcome) -> tuple[str, ...]:
    spread = f" ± {plain(2 * one.torque_u, 1)}" if one.torque_u else ""
    return (
        str(one.fastener),
        say(verdict_words(one.verdict)) if one.verdict else "–",
        f"{plain(one.torque, 1)}{spread} N·m" if one.torque is not None else "–",
        f"{plain(one.turned, 0)}°" if one.turned is not None else "–",
        f"{plain(one.breakaway, 1)} N·m" if one.breakaway is not None else "–",
        str(one.pulls),
    )


def _pull(one: FoundPull, names: Any) -> dict[str, Any]:
    figure = ""
    if one.torque_nm is not None:
        figure = f"{plain(one.torque_nm, 1)} N·m"
    elif one.turned_deg is not None:
        figure = f"{plain(one.turned_deg, 0)}°"
    notes = [say(words("voided or pulled again"))] if one.undone else []
    notes += [say(words("accepted"))] if one.accepted else []
    return {
        "when": f"{one.time:%Y-%m-%d %H:%M}",
        "job": one.job,
        "machine": one.machine,
        "where": say(
            words(
                "{joint}, fastener {fastener}, stage {stage}",
                joint=one.joint_title,
                fastener=one.fastener,
                stage=one.stage,
            )
        ),
        "figure": figure,
        "verdict": say(verdict_words(one.verdict)),
        "note": ", ".join(notes),
        "tool": one.tool,
        "by": name_of(names, one.person) if one.person else "",
    }
