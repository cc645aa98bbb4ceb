"""Pages that use the drawer: which wrench, what is covered, wrench or feel, what to look at.

Plain forms that send what was filled in with the address, as on the pages of relations.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from http import HTTPStatus
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from clampwright.bench.drawer_needs import asked_of
from clampwright.bench.drawers import drawer_of
from clampwright.drawer.before_buying import Costs, calibrate_or_replace, looks_for
from clampwright.drawer.by_feel import Advice, advise, harm_table, limits_of_the_rule
from clampwright.drawer.choice import choose as choices_for
from clampwright.drawer.closing_gaps import suggest
from clampwright.drawer.coverage import Covered, coverage, most_common_unit
from clampwright.drawer.demand import Demand
from clampwright.drawer.range_words import KIND_WORDS
from clampwright.drawer.suitability import Fitness
from clampwright.drawer.tools import DRIVES, KINDS, WRENCHES, Drawer
from clampwright.errors import ClampwrightError
from clampwright.locale import say
from clampwright.report.ranges_chart import ranges_chart
from clampwright.report.setting_words import spoken_setting
from clampwright.report.settingcard import setting_card
from clampwright.units import parse_number, parse_quantity
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.words import words
from clampwright.work.describe import tool_name
from clampwright.work.needs import feel_of

LONGEST = 100
"""Characters of one field."""

Asked = Mapping[str, str]


class _Filled(dict[str, str]):
    """What was filled in; a field that was not is empty."""

    def __missing__(self, _key: str) -> str:
        return ""


def _asked(request: Request) -> _Filled:
    return _Filled({key: text[:LONGEST] for key, text in request.query_params.items()})


def _drawer(place: House) -> Drawer:
    return drawer_of(place.place, place.desk.look().tools).now


def _answer(
    request: Request,
    template: str,
    facts: Mapping[str, Any],
    found: Callable[[], Mapping[str, Any]],
) -> Response:
    """Return a page; what cannot be taken is one sentence on it, and nothing else is lost."""
    status, whole = HTTPStatus.OK, {"asked": _asked(request), "problem": "", **facts}
    try:
        whole |= found()
    except ClampwrightError as error:
        whole["problem"] = as_sentence(say(error.message))
        status = HTTPStatus.UNPROCESSABLE_ENTITY
    return house(request).pages.answer(template, whole, status=status)


def choose(request: Request) -> Response:
    """Say of every tool whether it can give a torque, why, and what to set."""
    asked = _asked(request)

    def found() -> Mapping[str, Any]:
        if not asked.get("torque"):
            return {}
        demand = _demand(asked)
        place = house(request)
        tools = choices_for(_drawer(place), demand, today=place.files.today())
        clockwise = demand.direction == "cw"
        return {"tools": [choice_view(one, clockwise=clockwise) for one in tools]}

    facts = {"title": say(words("Which wrench for a torque")), "tools": []}
    return _answer(request, "drawer_choose.html", facts, found)


def _demand(asked: Asked) -> Demand:
    wanted = parse_quantity(asked["torque"], "torque")
    within = float(parse_number(asked["within"])) / 100 if asked.get("within") else None
    return Demand(
        "torque",
        wanted.value,
        None if within is None else wanted.value * (1 - within),
        None if within is None else wanted.value * (1 + within),
        unit=wanted.written_unit,
        direction="ccw" if asked.get("direction") == "ccw" else "cw",
        harm_level=int(parse_number(asked.get("harm") or "2")),
    )


def choice_view(one: Fitness, *, clockwise: bool) -> dict[str, Any]:
    """Return a choice as its place on a page shows it.

    Parameters
    ----------
    one : Fitness
    clockwise : bool
        The way it is pulled.

    Returns
    -------
    dict
    """
    known = ""
    if one.u_rel is not None:
        known = say(words("torque known to ±{torque:.1f} % (about 95 %)", torque=200 * one.u_rel))
    setting = one.setting if one.usable else None
    shown = setting is not None and one.tool.is_wrench
    return {
        "id": one.tool.id,
        "name": tool_name(one),
        "usable": one.usable,
        "known": known,
        "reasons": [say(reason) for reason in one.reasons],
        "card": setting_card(one.tool, setting, clockwise=clockwise) if setting and shown else "",
        "spoken": [as_sentence(say(part)) for part in spoken_setting(one.tool, setting)]
        if setting and shown
        else [],
    }


def covering(request: Request) -> Response:
    """Show which stages of the jobs are covered badly, and what would help most."""

    def found() -> Mapping[str, Any]:
        place = house(request)
        drawer, today = _drawer(place), place.files.today()
        asked = asked_of(place.place, drawer)
        seen = coverage(drawer, asked.needs, today=today)
        made = suggest(drawer, seen, today=today)
        drawable = any(one.need.torque for one in seen.needs) or any(
            tool.is_wrench for tool in drawer.tools
        )
        return {
            "chart": ranges_chart(drawer, seen, unit=most_common_unit(asked.needs))
            if drawable
            else "",
            "gaps": [_covered_view(one) for one in seen.badly],
            "needs": [_covered_view(one) for one in seen.needs],
            "addition": as_sentence(say(made.words)) if made else "",
            "overlaps": [
                say(
                    words(
                        "{one} and {other}: {share:.0f} % of the range; only the first can do "
                        "{mine} stages, only the second {theirs}",
                        one=pair.one.title,
                        other=pair.other.title,
                        share=100 * pair.share,
                        mine=pair.only_one,
                        theirs=pair.only_other,
                    )
                )
                for pair in seen.overlaps
            ],
            "left_out": [f"{name}: {say(why)}" for name, why in asked.skipped],
        }

    empty: dict[str, Any] = {name: [] for name in ("gaps", "needs", "overlaps", "left_out")}
    facts = {"title": say(words("What the drawer covers")), "chart": "", "addition": "", **empty}
    return _answer(request, "drawer_coverage.html", facts, found)


def _covered_view(one: Covered) -> dict[str, Any]:
    return {
        "what": say(one.need.name),
        "how": say(one.words),
        "gap": one.gap,
        "none": one.best is None,
    }


def by_feel(request: Request) -> Response:
    """Say which fasteners need a wrench, and which do not."""
    asked = _asked(request)

    def found() -> Mapping[str, Any]:
        if not asked.get("harm"):
            return {}
        diameter = asked.get("diameter")
        advice = advise(
            int(parse_number(asked["harm"])),
            torque_stated="stated" in asked,
            to_yield="yield" in asked,
            soft_thread="soft" in asked,
            soft_gasket="gasket" in asked,
            diameter=float(parse_number(diameter)) if diameter else None,
        )
        return {"advice": _advice_view(advice)}

    place = house(request)
    joints = [
        {"title": joint.title, **_advice_view(found), "short": say(found.words())}
        for job in asked_of(place.place, _drawer(place)).jobs
        for joint in job.joints
        for found in (feel_of(joint),)
    ]
    facts = {
        "title": say(words("Wrench or feel")),
        "advice": None,
        "joints": joints,
        "sort": [
            {"level": one.level, "title": say(one.title), "why": say(one.why)}
            for one in harm_table()
        ],
        "limits": [
            {"say": as_sentence(say(sentence)), "source": source}
            for sentence, source in limits_of_the_rule()
        ],
    }
    return _answer(request, "drawer_by_feel.html", facts, found)


def _advice_view(advice: Advice) -> dict[str, Any]:
    return {
        "told": as_sentence(say(advice.words())),
        "control": advice.control,
        "reasons": [
            {"say": as_sentence(say(one.say)), "source": one.source} for one in advice.reasons
        ],
    }


def look_over(request: Request) -> Response:
    """List what to look at on a wrench before it is bought, borrowed or taken to a job."""
    asked = _asked(request)
    tools = [tool for tool in _drawer(house(request)).tools if tool.is_wrench]

    def found() -> Mapping[str, Any]:
        moment = asked.get("moment") or "job"
        tool = next((one for one in tools if one.id == asked.get("tool")), None)
        kind = tool.kind if tool and moment == "job" else asked.get("kind") or None
        return {
            "moment": moment,
            "tool": tool.id if tool and moment == "job" else "",
            "looks": [
                {
                    "key": one.key,
                    "say": as_sentence(say(one.say)),
                    "why": as_sentence(say(one.why)),
                    "source": one.source,
                }
                for one in looks_for(moment, kind)
            ],
        }

    facts = {
        "title": say(words("Before buying, borrowing, pulling")),
        "kinds": _kinds(sorted(WRENCHES)),
        "own": [{"id": one.id, "title": one.title} for one in tools],
        "moment": "job",
        "tool": "",
        "looks": [],
    }
    return _answer(request, "drawer_look_over.html", facts, found)


_COSTS = ("calibration", "new", "repair", "chance", "every_months", "old_lasts", "new_lasts")


def keep_or_replace(request: Request) -> Response:
    """Compare what keeping a wrench costs a year with a new one, from the person's figures."""
    asked = _asked(request)

    def found() -> Mapping[str, Any]:
        if not asked.get("calibration") or not asked.get("new"):
            return {}
        figures = {one: float(parse_number(asked[one])) for one in _COSTS if asked.get(one)}
        return {"told": as_sentence(say(calibrate_or_replace(Costs(**figures)).words))}

    facts = {"title": say(words("Calibrate or replace")), "told": ""}
    return _answer(request, "drawer_keep.html", facts, found)


def _kinds(kinds: Iterable[str]) -> list[tuple[str, str]]:
    return [(kind, say(KIND_WORDS[kind])) for kind in kinds]


def new_tool(request: Request) -> Response:
    """Show the form by which a tool comes into the drawer."""
    facts = {"title": say(words("Enter a tool")), "kinds": _kinds(KINDS), "drives": DRIVES}
    return _answer(request, "drawer_new.html", facts, dict)
