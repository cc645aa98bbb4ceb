"""Signing in, unlocking, signing one entry; and looking after people, by those who may."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import Path as InPath
from fastapi import Request
from fastapi.responses import JSONResponse, Response

from clampwright.bench import sign_in as signing
from clampwright.bench.acting import present
from clampwright.bench.people import People, overview
from clampwright.bench.sign_in import SESSION_COOKIE, Opened, TurnedAway
from clampwright.errors import Refused
from clampwright.store.folder import Folder
from clampwright.store.people import people_of
from clampwright.store.writing import Actor, timestamp
from clampwright.web.access import visitor_of
from clampwright.web.keeper import DEVICE_COOKIE, Visitor
from clampwright.web.people_models import (
    EnrolIn,
    NothingIn,
    PasswordIn,
    PersonIn,
    PinIn,
    RoleIn,
    SecretIn,
    SignatureIn,
)
from clampwright.web.shared import House, house
from clampwright.words import words
from clampwright.work.people_rules import figure
from clampwright.work.roles import acts, refuse_unless

PersonPath = Annotated[str, InPath(pattern=r"^person-[0-9a-f]{12}$")]
SessionPath = Annotated[str, InPath(pattern=r"^session-[0-9a-f]{16}$")]
DevicePath = Annotated[str, InPath(pattern=r"^device-[0-9a-f]{12}$")]

A_YEAR = 365 * 24 * 3600


def session(request: Request) -> dict[str, Any]:
    """Say who is signed in here; on an enrolled device also whose names stand on the tiles."""
    place, visitor = house(request), visitor_of(request.scope)
    return session_view(place, visitor)


def session_view(place: House, visitor: Visitor) -> dict[str, Any]:
    """Return what a page must know of who is here, and nothing that a stranger should not.

    Parameters
    ----------
    place : House
    visitor : Visitor

    Returns
    -------
    dict
    """
    person, row = visitor.person, visitor.row
    tiles = []
    if visitor.device is not None:
        tiles = [
            {"id": one.id, "name": one.name, "role": one.role, "pin": one.pin is not None}
            for one in place.keeper.known().people.values()
            if one.name is not None and (one.pin is not None or one.password is not None)
        ]
    elif person is not None:
        tiles = [{"id": person.id, "name": person.name, "role": person.role, "pin": False}]
    return {
        "needed": place.keeper.sign_in,
        "state": visitor.state,
        "enrolled": visitor.device is not None,
        "device": visitor.device.name if visitor.device else "",
        "person": person.id if person else None,
        "name": person.name if person else None,
        "role": person.role if person else None,
        "session": row.id if row else None,
        "idle_s": figure("session", "idle_s"),
        "tiles": tiles,
        "signs": {name: sorted(one.roles) for name, one in acts().items() if one.signs},
    }


def by_password(request: Request, sent: PasswordIn) -> Response:
    """Begin a session with name and password."""
    place, visitor = house(request), visitor_of(request.scope)
    with place.desk.writing(create=True) as store:
        opened = signing.sign_in(
            store,
            place.keeper.hashing,
            sent.name,
            sent.password,
            place=_place_of(request, visitor),
            device=visitor.device,
        )
    return _welcomed(request, opened, visitor)


def by_pin(request: Request, sent: PinIn) -> Response:
    """Begin a session with a PIN, on an enrolled device."""
    place, visitor = house(request), visitor_of(request.scope)
    if visitor.device is None:
        raise TurnedAway(
            words("a PIN is enough on an enrolled device only: sign in with the password")
        )
    with place.desk.writing() as store:
        opened = signing.unlock(store, place.keeper.hashing, sent.person, sent.pin, visitor.device)
    return _welcomed(request, opened, visitor)


def enrol(request: Request, sent: EnrolIn) -> Response:
    """Enrol this device, with the password of somebody who may; begins a session too."""
    place, visitor = house(request), visitor_of(request.scope)
    with place.desk.writing(create=True) as store:
        person = signing.right_password(
            store,
            place.keeper.hashing,
            sent.name,
            sent.password,
            place=_place_of(request, visitor),
        )
        device, secret = signing.enrol(store, person, sent.called)
        opened = signing.begin(store, person, "password", device)
    answer = _welcomed(request, opened, Visitor(device=device))
    _set(request, answer, DEVICE_COOKIE, secret, A_YEAR)
    return answer


def present_here(request: Request, sent: NothingIn) -> dict[str, Any]:  # noqa: ARG001 - shape only
    """Note that somebody is at the page; the gate does it."""
    return {"state": visitor_of(request.scope).state}


def end_here(request: Request, sent: NothingIn) -> Response:  # noqa: ARG001 - shape only
    """Sign out here; the device stays enrolled."""
    place, visitor = house(request), visitor_of(request.scope)
    if visitor.row is not None:
        with place.desk.writing() as store:
            store.people.end(timestamp(store.now()), session=visitor.row.id)
    answer = JSONResponse({"ended": visitor.row is not None, "to": "/sign-in"})
    answer.delete_cookie(
        SESSION_COOKIE, secure=request.url.scheme == "https", httponly=True, samesite="strict"
    )
    return answer


def sign(request: Request, sent: SignatureIn) -> Response:
    """Sign one entry that is about to be sent: the token is good for it and for nothing else."""
    place, visitor = house(request), visitor_of(request.scope)
    if visitor.device is None and visitor.state != "open":
        raise TurnedAway(words("sign in first"))
    if visitor.device is None and visitor.person and visitor.person.id != sent.person:
        raise TurnedAway(words("others can sign on an enrolled device only"))
    with place.desk.writing() as store:
        opened = signing.sign(
            store,
            place.keeper.hashing,
            sent.person,
            sent.secret,
            act=sent.act,
            entry=sent.entry,
            device=visitor.device,
            place=_place_of(request, visitor),
        )
    told = {"signature": opened.token, "name": opened.person.name, "person": opened.person.id}
    return JSONResponse(told, HTTPStatus.CREATED)


def listed(request: Request) -> dict[str, Any]:
    """List people, devices and open sessions."""
    refuse_unless(_somebody().role, "look_after_people")
    return listed_here(house(request))


def listed_here(place: House) -> dict[str, Any]:
    """Return people, devices and sessions of a workshop; nothing where there is no log yet."""
    with people_of(Folder(place.place.folder).log) as tables:
        return overview(tables)


def add(request: Request, sent: PersonIn) -> Response:
    """Add a person."""
    with _people(request) as people:
        person = people.add(
            sent.name, sent.role, password=sent.password or None, pin=sent.pin or None
        )
    return JSONResponse({"id": person.id, "name": person.name}, HTTPStatus.CREATED)


def set_role(request: Request, person: PersonPath, sent: RoleIn) -> dict[str, Any]:
    """Give a person another role."""
    with _people(request) as people:
        changed = people.set_role(person, sent.role)
    return {"id": changed.id, "role": changed.role}


def set_secret(request: Request, person: PersonPath, sent: SecretIn) -> dict[str, Any]:
    """Give a person another password or PIN, or oneself, who says the present one."""
    with _people(request) as people:
        if _somebody().person == person:
            place = _place_of(request, visitor_of(request.scope))
            people.prove(person, sent.present, place)
        if sent.kind == "pin":
            people.set_pin(person, sent.secret)
        else:
            people.set_password(person, sent.secret)
    return {"id": person}


def erase(request: Request, person: PersonPath, sent: NothingIn) -> dict[str, Any]:  # noqa: ARG001 - shape only
    """Erase a person's name, password and PIN; the log stays whole."""
    with _people(request) as people:
        return {"id": people.erase(person)}


def end_sessions(request: Request, person: PersonPath, sent: NothingIn) -> dict[str, Any]:  # noqa: ARG001 - as above
    """End all sessions of a person."""
    with _people(request) as people:
        return {"ended": people.end_sessions(person)}


def end_session(request: Request, session: SessionPath, sent: NothingIn) -> dict[str, Any]:  # noqa: ARG001 - as above
    """End one session."""
    with _people(request) as people:
        people.end_session(session)
    return {"id": session}


def end_device(request: Request, device: DevicePath, sent: NothingIn) -> dict[str, Any]:  # noqa: ARG001 - as above
    """Take a device's enrolment away."""
    with _people(request) as people:
        people.end_device(device)
    return {"id": device}


@contextmanager
def _people(request: Request) -> Iterator[People]:
    """Hold the people for a change by somebody who is signed in, also where nobody must be."""
    _somebody()
    place = house(request)
    with place.desk.writing() as store:
        yield People(store, place.place.folder, place.keeper.hashing)


def _somebody() -> Actor:
    actor = present()
    if actor is None:
        raise Refused(
            words(
                "sign in first: people are looked after by an administrator, and the first one is "
                "made at the terminal with clampwright people add"
            )
        )
    return actor


def _place_of(request: Request, visitor: Visitor) -> str:
    """Where a try comes from, for the lockout."""
    if visitor.device is not None:
        return f"device:{visitor.device.id}"
    return f"address:{request.client.host if request.client else 'unknown'}"


def _welcomed(request: Request, opened: Opened, visitor: Visitor) -> Response:
    now = Visitor("open", visitor.device, opened.row, opened.person)
    answer = JSONResponse(session_view(house(request), now), HTTPStatus.CREATED)
    _set(request, answer, SESSION_COOKIE, opened.token, figure("session", "longest_s"))
    return answer


def _set(request: Request, answer: Response, name: str, value: str, seconds: int) -> None:
    """Set a cookie that no script reads and no other site sends."""
    answer.set_cookie(
        name,
        value,
        max_age=seconds,
        path="/",
        secure=request.url.scheme == "https",
        httponly=True,
        samesite="strict",
    )
