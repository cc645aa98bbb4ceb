"""What the pages of a tool send: events, certificates, calibrations, checks, decisions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from http import HTTPStatus
from typing import Annotated

from fastapi import Request
from fastapi.responses import JSONResponse, Response
from pydantic import StringConstraints

from clampwright.bench import tool_events
from clampwright.bench.session import Origin
from clampwright.drawer.calibration import Direction
from clampwright.drawer.calibration_entry import record_of
from clampwright.drawer.calibration_words import evaluated_lines, record_lines
from clampwright.drawer.cross_check import (
    SAME_DEVICE,
    Trusted,
    compare,
    trusted_device,
    trusted_tool,
)
from clampwright.drawer.evaluated import Evaluated, Reference, evaluate, record_from
from clampwright.drawer.guided import steps_for
from clampwright.drawer.happened import Happened
from clampwright.drawer.history import Decision
from clampwright.drawer.hung_weight import HungWeight, local_gravity
from clampwright.drawer.points_text import pairs_from, points_from
from clampwright.drawer.tools import Drawer, Tool
from clampwright.errors import ClampwrightError, Missing
from clampwright.locale import say
from clampwright.store import Store
from clampwright.store.writing import Receipt
from clampwright.units import factor, parse_number, unit_named
from clampwright.web.api import Entry
from clampwright.web.drawer_pages import ToolId, tool_named
from clampwright.web.models import Device, Name, Reason, Sent
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.web.tool_history_pages import drawer_now
from clampwright.words import Words, words

Short = Annotated[str, StringConstraints(max_length=100)]
Text = Annotated[str, StringConstraints(max_length=2000)]
Row = Annotated[str, StringConstraints(max_length=200)]
MOST_POINTS = 6
"""Three points in two directions."""

Put = Callable[[Store, Tool, Origin], Receipt]


class EventIn(Sent):
    """What happened to a tool."""

    event: Name
    date: Short
    note: Reason = ""
    count: Short = ""
    high: Short = ""
    device: Device


class CertificateIn(Sent):
    """A certificate as it was typed."""

    date: Short
    unit: Short = ""
    found: Text = ""
    left: Text = ""
    uncertainty: Short = ""
    k: Short = ""
    months: Short = ""
    certificate: Short = ""
    by: Short = ""
    device: Device


class PerformedIn(Sent):
    """Readings of a calibration that was performed here."""

    test_device: Short = ""
    uncertainty: Short = ""
    k: Short = ""
    lever: Short = ""
    latitude: Short = ""
    height: Short = ""
    carrier: Short = ""
    found_1: Row = ""
    found_2: Row = ""
    found_3: Row = ""
    found_4: Row = ""
    found_5: Row = ""
    found_6: Row = ""
    left_1: Row = ""
    left_2: Row = ""
    left_3: Row = ""
    left_4: Row = ""
    left_5: Row = ""
    left_6: Row = ""
    rule: Short = "guarded"
    by: Short = ""
    device: Device


class CheckIn(Sent):
    """Pairs with a trusted tool."""

    trusted: Name
    unit: Short = ""
    direction: Short = "cw"
    pairs: Text
    same_device: bool = False
    device: Device


class DecisionIn(Sent):
    """What is to be done about a joint."""

    finding: Name
    job: Name
    joint: Name
    decision: Name
    reason: Reason
    device: Device


def put_event(request: Request, tool: ToolId, entry: Entry, sent: EventIn) -> Response:
    """Put what happened to a tool on the log."""
    place = house(request)
    happened = Happened(
        sent.event, _day(sent.date), sent.note, _count(sent.count), _count(sent.high)
    )
    today = place.files.today()

    def put(store: Store, one: Tool, made: Origin) -> Receipt:
        return tool_events.note_event(store, one, happened, today=today, **made)

    return _put(request, tool, entry, (sent.device, put), words("It stands in the log."))


def put_certificate(request: Request, tool: ToolId, entry: Entry, sent: CertificateIn) -> Response:
    """Put a certificate on the log."""
    place = house(request)
    one, today = tool_named(drawer_now(place).described, tool), place.files.today()
    record = record_of(
        one,
        date=_day(sent.date),
        today=today,
        found=points_from(sent.found.splitlines()),
        left=points_from(sent.left.splitlines()),
        unit=unit_named(sent.unit, "torque").name if sent.unit else None,
        uncertainty_percent=_figure(sent.uncertainty),
        k=_figure(sent.k),
        months=_months(sent.months),
        certificate=sent.certificate.strip(),
        by=sent.by.strip(),
    )

    def put(store: Store, one: Tool, made: Origin) -> Receipt:
        return tool_events.keep_calibration(store, one, record, today=today, **made)

    return _put(request, tool, entry, (sent.device, put), record_lines(one, record)[-1])


def put_performed(request: Request, tool: ToolId, entry: Entry, sent: PerformedIn) -> Response:
    """Evaluate the readings of a calibration and put it on the log."""
    place = house(request)
    drawer, today = drawer_now(place).now, place.files.today()
    one = tool_named(drawer, tool)
    reference, torque_of = _reference(drawer, one, sent)

    def state(name: str) -> Evaluated | None:
        rows = [getattr(sent, f"{name}_{n}") for n in range(1, MOST_POINTS + 1)]
        readings = _readings(one, rows, torque_of)
        if not readings:
            return None
        return evaluate(one, readings, reference, rule=sent.rule)  # type: ignore[arg-type]  # an unknown rule is refused there

    found, left = state("found"), state("left")
    record = record_from(found, left, date=today, months=12, by=sent.by.strip())
    told = [line for done in (found, left) if done for line in evaluated_lines(done)]

    def put(store: Store, one: Tool, made: Origin) -> Receipt:
        return tool_events.keep_calibration(store, one, record, today=today, **made)

    return _put(request, tool, entry, (sent.device, put), *told)


def put_check(request: Request, tool: ToolId, entry: Entry, sent: CheckIn) -> Response:
    """Compare a tool with a trusted one and put the check on the log."""
    place = house(request)
    drawer, today = drawer_now(place).now, place.files.today()
    one = tool_named(drawer, tool)
    pairs = pairs_from(sent.pairs.splitlines())
    unit = unit_named(sent.unit, "torque").name if sent.unit else _first(one)
    direction: Direction = "ccw" if sent.direction == "ccw" else "cw"
    level = sum(pair[1] for pair in pairs) / len(pairs) if pairs else 1.0
    trusted = _trusted(drawer, sent.trusted, (level, unit, direction), today)
    compared = compare(
        one,
        trusted,
        pairs,
        unit=unit,
        direction=direction,
        correlation=SAME_DEVICE if sent.same_device else 0.0,
    )
    check = compared.record(
        date=today, trusted=trusted.name, unit=unit, pairs=pairs, direction=direction
    )

    def put(store: Store, one: Tool, made: Origin) -> Receipt:
        return tool_events.keep_check(store, one, check, today=today, **made)

    told = (*compared.shows, *compared.cannot_show)
    return _put(request, tool, entry, (sent.device, put), *told)


def _trusted(
    drawer: Drawer, name: str, at: tuple[float, str, Direction], today: dt.date
) -> Trusted:
    if any(device.id == name for device in drawer.test_devices):
        return trusted_device(drawer.test_device(name))
    return trusted_tool(drawer.tool(name), *at, today=today)


def put_decision(request: Request, tool: ToolId, entry: Entry, sent: DecisionIn) -> Response:
    """Put on the log what is to be done about a joint."""
    decision = Decision(sent.finding, sent.job, sent.joint, sent.decision, sent.reason)

    def put(store: Store, one: Tool, made: Origin) -> Receipt:
        return tool_events.decide_joint(store, one, decision, **made)

    return _put(request, tool, entry, (sent.device, put), words("It stands in the log."))


def _put(
    request: Request, tool: str, entry: str, sent: tuple[Device, Put], *told: Words
) -> Response:
    place = house(request)
    one = tool_named(drawer_now(place).described, tool)
    device, put = sent
    made: Origin = {"entry_id": entry, "device_time": device.time, "device_id": device.id}
    with place.desk.writing(create=True) as store:
        receipt = put(store, one, made)
    _poke(place)
    status = HTTPStatus.OK if receipt.duplicate else HTTPStatus.CREATED
    said = " ".join(as_sentence(say(line).strip()) for line in told)
    return JSONResponse({"entry": entry, "told": said}, status)


def _poke(place: House) -> None:
    place.live.poke()


def _reference(
    drawer: Drawer, tool: Tool, sent: PerformedIn
) -> tuple[Reference, Callable[[float], float]]:
    unit = tool.scales[0].unit
    if sent.lever.strip():
        if not sent.latitude.strip():
            raise Missing(words("the latitude of the place is needed: gravity goes with it"),
                          "latitude")  # fmt: skip
        gravity = local_gravity(_needed(sent.latitude), 1000 * (_figure(sent.height) or 0.0))
        weight = HungWeight(_needed(sent.lever), gravity, _figure(sent.carrier) or 0.0)
        size = factor("N·m", unit)
        title = words(
            "hung weight, lever {lever:g} mm, gravity {gravity:.4f} m/s²",
            lever=weight.lever,
            gravity=gravity,
        )
        reference = Reference(say(title), weight.uncertainty_percent)
        return reference, lambda mass: weight.torque(mass) * size
    if sent.test_device:
        device = trusted_device(drawer.test_device(sent.test_device))
        size = factor(drawer.test_device(sent.test_device).unit, unit)
        return Reference(device.title, 2 * device.u), lambda value: value * size
    if not sent.uncertainty.strip() or not sent.k.strip():
        raise Missing(
            words("uncertainty and k of the device are needed: both stand on its certificate"),
            "uncertainty",
        )
    title = words("test device, uncertainty {value:g} %", value=_needed(sent.uncertainty))
    return Reference(say(title), _needed(sent.uncertainty), _needed(sent.k)), float


def _readings(
    tool: Tool, rows: list[str], torque_of: Callable[[float], float]
) -> dict[tuple[Direction, float], list[float]]:
    points = [(s.direction, s.target) for s in steps_for(tool)
              if s.kind == "read" and s.reading == 1]  # fmt: skip
    return {
        point: [torque_of(_needed(text)) for text in row.replace(";", " ").split()]
        for point, row in zip(points, rows, strict=False)
        if row.strip()
    }


def _first(tool: Tool) -> str:
    return tool.scales[0].unit if tool.scales else "N·m"


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text.strip())
    except ValueError as error:
        raise ClampwrightError(
            words("{text!r} is not a day; write it as 2026-05-01", text=text[:20])
        ) from error


def _figure(text: str) -> float | None:
    return float(parse_number(text)) if text.strip() else None


def _needed(text: str) -> float:
    return float(parse_number(text))


def _count(text: str) -> int:
    value = _figure(text) or 0.0
    if value != int(value):
        raise ClampwrightError(words("{text!r} is no whole number", text=text[:20]))
    return int(value)


def _months(text: str) -> int | None:
    return _count(text) if text.strip() else None
