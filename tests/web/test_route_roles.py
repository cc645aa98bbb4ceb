"""Every address of the application for every role, as a table: an address in no table fails."""

from __future__ import annotations

import asyncio
import csv
import datetime as dt
import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from starlette.routing import Route, WebSocketRoute

from clampwright.store.people import Device, Person, SignedIn
from clampwright.store.writing import Actor
from clampwright.web.access import OPEN, Gate, Refusal, decide, rules
from clampwright.web.app import App
from clampwright.web.keeper import NOBODY, Visitor
from clampwright.work.roles import ROLES, acts

TABLE = Path(__file__).with_name("route_roles.csv")
WHO = ("stranger", "locked", *ROLES)
AT = "2026-10-05T08:00:00.000000Z"
TABLET = Device("device-0123456789ab", "tablet", AT, "person-0123456789ab", None)


def addresses(app: App) -> Iterator[tuple[str, str]]:
    """Every address the application really has, sockets too."""
    for route in app.routes:
        if isinstance(route, WebSocketRoute):
            yield "SOCKET", route.path
        elif isinstance(route, Route):
            for method in sorted((route.methods or set()) - {"HEAD"}):
                yield method, route.path


def visitor(who: str) -> Visitor:
    if who == "stranger":
        return Visitor()
    role = "administrator" if who == "locked" else who
    person = Person("person-0123456789ab", "A. Nybody", role, None, None, AT, None)
    row = SignedIn("session-1", person.id, TABLET.id, "pin", None, None, AT, AT, None)
    return Visitor("locked" if who == "locked" else "open", TABLET, row, person)


def answer(method: str, path: str, who: str) -> str:
    """What the gate says: let in, by the hand an entry names, signed only, or refused and how."""
    rule = rules()[method, path]
    if rule.act == OPEN:
        return "in"
    found = decide(rule, visitor(who), None)
    if isinstance(found, Refusal):
        return "signed" if "sign" in found.more else str(found.status)
    return "entry" if found is NOBODY else "in"


def test_every_address_has_a_rule_and_every_rule_an_address(app: App) -> None:
    assert set(addresses(app)) == set(rules())
    assert {rule.act for rule in rules().values()} <= {*acts(), OPEN}


def test_every_address_answers_every_role_as_the_table_says(app: App) -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        wanted = {
            (row["method"], row["path"]): {who: row[who] for who in WHO}
            for row in csv.DictReader(file)
        }
    found = {one: {who: answer(*one, who) for who in WHO} for one in addresses(app)}
    missing = found.keys() - wanted.keys()
    assert not missing, f"say in {TABLE.name} what each role is answered there"
    assert found == wanted


def test_what_is_open_is_little_and_known() -> None:
    beginnings = (
        "/static/",
        "/favicon.ico",
        "/trust",
        "/extras",
        "/countersigning/",
        "/healthz",
        "/reset",
        "/service-worker.js",
        "/sign-in",
        "/api/session",
        "/api/signatures",
        "/api/devices",
        "/practice",  # a class practises without accounts; nothing of it enters the log
        "/api/practice/",
    )
    assert all(
        path.startswith(beginnings) for (_, path), rule in rules().items() if rule.act == OPEN
    )


def test_what_an_entry_may_be_late_is_taken_by_the_hand_it_names(app: App) -> None:
    late = {one for one, rule in rules().items() if rule.late}
    assert late == {
        one
        for one in addresses(app)
        if re.fullmatch(r"/api/jobs/\{job\}/[a-z-]+/\{entry\}", one[1])
    } | {("POST", "/api/entries")}


class _Keeper:
    sign_in = True

    def __init__(self, found: Visitor) -> None:
        self.found = found

    def now(self) -> dt.datetime:
        return dt.datetime(2026, 10, 5, 8, tzinfo=dt.UTC)

    def visitor(self, _cookies: Any) -> Visitor:
        return self.found

    def touched(self, _visitor: Visitor) -> None:
        return

    def is_stranger(self, visitor: Visitor) -> bool:
        return visitor.actor is None


async def _inner(_scope: Any, _receive: Any, send: Any) -> None:
    await send({"type": "http.response.start", "status": 204, "headers": []})
    await send({"type": "http.response.body", "body": b""})


def status(app: App, method: str, path: str, found: Visitor) -> int:
    """What comes out of the gate with the application's own routes behind it."""
    keeper: Any = _Keeper(found)
    gate = Gate(_inner, routes=lambda: app.routes, keeper=keeper)
    sent: list[Any] = []

    async def send(message: Any) -> None:
        sent.append(message)

    async def receive() -> Any:
        return {"type": "websocket.connect"}

    kind = "websocket" if method == "SOCKET" else "http"
    scope = {"type": kind, "method": method, "path": path, "headers": [], "query_string": b""}
    with ThreadPoolExecutor(1) as thread:  # a browser of another test may have a loop in this one
        thread.submit(asyncio.run, gate(scope, receive, send)).result()
    first = sent[0]
    return int(first.get("status", first.get("code", 0)))


def test_the_gate_stands_before_every_address(app: App) -> None:
    """Whatever the table says is asked of each real request, and an unknown address is closed."""
    for method, path in addresses(app):
        filled = re.sub(r"\{(\w+)(:path)?\}", "0", path)
        strangers = status(app, method, filled, visitor("stranger"))
        if rules()[method, path].act == OPEN:
            assert strangers == 204, path
        else:
            assert strangers in {303, 401, 1008}, path
    for who in ("stranger", "apprentice", "responsible"):
        assert status(app, "GET", "/api/no/such", visitor(who)) in {401, 403}
    assert status(app, "GET", "/no/such", visitor("administrator")) == 204  # told: nothing there


@pytest.mark.parametrize("act", sorted(name for name, one in acts().items() if one.signs))
def test_a_signature_counts_by_the_role_of_who_signed(act: str) -> None:
    rule = next(rule for rule in rules().values() if rule.act == act)
    able = decide(rule, visitor("apprentice"), Actor("person-1", "responsible", "pin"))
    assert able == Actor("person-1", "responsible", "pin")
    unable = decide(rule, visitor("responsible"), Actor("person-1", "apprentice", "pin"))
    assert isinstance(unable, Refusal)
    assert unable.status == 403
