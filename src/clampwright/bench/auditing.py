"""Trying a tightened fastener afterwards, at the bench: read, judged as a band, kept on the log."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Unpack

from clampwright.bench.bodies import decimal
from clampwright.bench.folder import Workshop, read_bytes
from clampwright.bench.histories import histories_of
from clampwright.bench.session import Made, Session
from clampwright.drawer.as_of import drawer_as_of
from clampwright.drawer.calibration import Direction
from clampwright.drawer.files import load_drawer
from clampwright.drawer.readings import Received, torque_from_reading
from clampwright.drawer.tools import Tool
from clampwright.errors import Refused
from clampwright.store.writing import Receipt
from clampwright.units import Quantity, parse_quantity
from clampwright.words import Words, as_data, words
from clampwright.work.audit import (
    AUDITED,
    TURNS_ON,
    VERDICTS,
    Audit,
    Range,
    ReadAs,
    Tightened,
    Way,
    audit,
    check_way,
)
from clampwright.work.fold import Pull, PullKey
from clampwright.work.plan import StagePlan

CLICKS = frozenset({"stood", "moved"})


@dataclass(frozen=True, slots=True)
class Tried:
    """What a person did to one fastener.

    Parameters
    ----------
    joint : str
    fastener : int
    way : str
    reading : str
        As it was read or set, with its unit.
    read_as : str
    tool : str
        Id of the wrench.
    note : str
    """

    joint: str
    fastener: int
    way: str
    reading: str
    read_as: str
    tool: str
    note: str = ""


def try_fastener(
    session: Session, place: Workshop, tried: Tried, today: dt.date, **made: Unpack[Made]
) -> tuple[Audit, Receipt]:
    """Judge a torque tried on a tightened fastener, and keep it in the job's part of the log.

    Parameters
    ----------
    session : Session
        Of the job, closed or not.
    place : Workshop
        For the drawer as it is now: the wrench may be newer than the job.
    tried : Tried
    today : datetime.date
    **made
        See `Made`.

    Returns
    -------
    Audit, Receipt

    Raises
    ------
    Refused
        When the fastener was not tightened yet, the way would spoil it, or the wrench does not fit
        the way; nothing is stored.
    ClampwrightError
        When the reading is no torque the wrench can show; nothing is stored.
    """
    planned = session.plan.joint(tried.joint)
    if tried.fastener not in planned.joint.layout.numbers:
        raise Refused(
            words("joint {joint} has no fastener {number}", joint=tried.joint,
                  number=tried.fastener)
        )  # fmt: skip
    stages = [stage.stage for stage in planned.stages]
    way = check_way(tried.way, tried.read_as, stages)
    last, pull = _last_torque(session, tried, planned.stages)
    in_file = load_drawer(read_bytes(place.drawer), str(place.drawer))
    tool = drawer_as_of(in_file, histories_of(session.store)).tool(tried.tool)
    quantity = parse_quantity(tried.reading, "torque")
    received = _received(tool, way, tried.read_as, quantity, left_hand=planned.joint.left_hand)
    friction = planned.joint.friction
    found = audit(
        way,
        received.torque,
        u_rel=min(received.u_rel, 0.2),
        read_as=_read_as(tried.read_as),
        low=last.limits.low,
        high=last.limits.high,
        tightened=_tightened(pull.body),
        fastening=planned.joint.fastening,
        friction=None if friction is None else (friction.low, friction.high),
        earlier=sum(
            (one["joint"], one["fastener"]) == (tried.joint, tried.fastener)
            and one["way"] in TURNS_ON
            for one in session.state.audits
        ),
    )
    body = {
        "joint": tried.joint,
        "fastener": tried.fastener,
        "way": way,
        "title": as_data(found.way.title),
        "reading": {"value": str(quantity.written_value), "unit": quantity.written_unit},
        "read_as": tried.read_as,
        "tool": tool.id,
        "note": tried.note.strip(),
        "date": today.isoformat(),
        "received": {
            "torque": decimal(received.torque, "N·m"),
            "standard_uncertainty": decimal(received.u, "N·m"),
        },
        **_told(found),
        "source": found.way.source,
    }
    return found, session.put(AUDITED, body, **made)


def _told(found: Audit) -> dict[str, Any]:
    """Return what an audit gave as plain data, without binary floats."""
    return {
        "verdict": found.verdict,
        "found": as_data(VERDICTS[found.verdict]),
        "torque": _range(found.torque, 1),
        "share": None if found.share is None else _range(found.share, 2),
        "clamp": None if found.clamp is None else _range(found.clamp.times(1e-3), 1),
        "reasons": [as_data(reason) for reason in found.reasons],
    }


def _range(band: Range, places: int) -> dict[str, str | None]:
    return {
        "low": None if band.low is None else f"{band.low:.{places}f}",
        "high": None if band.high is None else f"{band.high:.{places}f}",
    }


def _last_torque(
    session: Session, tried: Tried, stages: Sequence[StagePlan]
) -> tuple[StagePlan, Pull]:
    """Return the last stage to a torque that was pulled on a fastener, and the pull that stands."""
    ends = [one for one in stages if one.limits.quantity == "torque"]
    if not ends:
        raise Refused(words("this joint has no stage that ends at a torque to compare with"))
    for stage in reversed(ends):
        pull = session.state.latest.get(PullKey(tried.joint, stage.number, tried.fastener))
        if pull is not None:
            return stage, pull
    raise Refused(words("fastener {number} was not tightened yet", number=tried.fastener))


def _read_as(text: str) -> ReadAs:
    known: Mapping[str, ReadAs] = {one: one for one in ("moving", "peak", "stood", "moved")}
    return known[text]


def _received(
    tool: Tool, way: Way, read_as: str, quantity: Quantity, *, left_hand: bool
) -> Received:
    if (tool.kind == "click") != (read_as in CLICKS):
        wanted = words("a click wrench tells only whether it clicked with the fastener standing "
                       "still (stood) or after it had moved (moved)")  # fmt: skip
        other = words("{tool} does not click: say whether it was read moving or at the peak",
                      tool=tool.title)  # fmt: skip
        raise Refused(wanted if tool.kind == "click" else other)
    on = not left_hand
    clockwise = on if way != "breakaway" else not on
    direction: Direction = "cw" if clockwise else "ccw"
    return torque_from_reading(
        tool, quantity.written_unit, float(quantity.written_value), direction=direction
    )


def _tightened(body: Mapping[str, Any]) -> Tightened | None:
    """Return what a pull left, where a torque was read."""
    received = body.get("received")
    if not received:
        return None
    torque = float(received["torque"]["value"])
    return Tightened(torque, float(received["standard_uncertainty"]["value"]) / torque)


def told_lines(body: Mapping[str, Any]) -> list[Words]:
    """Say what an audit gave, line by line.

    Parameters
    ----------
    body : mapping
        Of its entry.

    Returns
    -------
    list of Words
    """
    lines = []
    for name, said in _BANDS.items():
        if body.get(name) is not None:
            band = {end: body[name][end] or "?" for end in ("low", "high")}
            lines.append(Words(said.template, MappingProxyType(band)))
    return lines


_BANDS: Mapping[str, Words] = {
    "torque": words("turns on now at {low} to {high} N·m", low="", high=""),
    "share": words(
        "{low} to {high} of what it was tightened to, with the same friction", low="", high=""
    ),
    "clamp": words(
        "clamp load {low} to {high} kN, over the whole range of the friction", low="", high=""
    ),
}
