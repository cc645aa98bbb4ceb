"""People: who is signed in here, who works here, on which devices."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from clampwright.web.shapes.common import Day, Page, Role

State = Literal["none", "open", "locked"]
PersonId = Annotated[str, Field(pattern="^person-[0-9a-f]{12}$")]
SessionId = Annotated[str, Field(pattern="^session-[0-9a-f]{16}$")]
DeviceId = Annotated[str, Field(pattern="^device-[0-9a-f]{12}$")]


class Tile(TypedDict):
    """A person who can unlock this device."""

    id: PersonId
    name: str | None
    role: Role
    pin: bool


class Session(TypedDict):
    """Who is signed in here, and nothing that a stranger should not know."""

    needed: Annotated[bool, Field(description="Whether everybody must sign in.")]
    state: State
    enrolled: bool
    device: Annotated[str, Field(description="Name of the enrolled device; empty where none.")]
    person: PersonId | None
    name: str | None
    role: Role | None
    session: SessionId | None
    idle_s: Annotated[int, Field(description="Seconds after which it locks.")]
    tiles: list[Tile]
    signs: Annotated[
        dict[str, list[Role]], Field(description="Acts that must be signed, and who may.")
    ]


class Present(TypedDict):
    """How the session stands."""

    state: State


class Ended(TypedDict):
    """Signed out here."""

    ended: Annotated[bool, Field(description="False where nobody was signed in.")]
    to: Page


class Signature(TypedDict):
    """Good for one entry and for nothing else."""

    signature: str
    name: str
    person: PersonId


class Person(TypedDict):
    """Somebody who works here."""

    id: PersonId
    name: Annotated[str | None, Field(description="Null when it was erased.")]
    role: Role
    password: Annotated[bool, Field(description="Whether there is one.")]
    pin: Annotated[bool, Field(description="Whether there is one.")]
    erased: bool


class EnrolledDevice(TypedDict):
    """A device on which a PIN is enough."""

    id: DeviceId
    name: str
    day: Day
    by: str
    ended: bool


class OpenSession(TypedDict):
    """Somebody is signed in."""

    id: SessionId
    person: PersonId
    name: str
    device: str
    started: Annotated[str, Field(description="Day and minute, UTC.")]


class People(TypedDict):
    """People, devices and sessions of the workshop."""

    people: list[Person]
    devices: list[EnrolledDevice]
    sessions: list[OpenSession]


class Added(TypedDict):
    """The person who was added."""

    id: PersonId
    name: str


class NewRole(TypedDict):
    """A person has another role."""

    id: PersonId
    role: Role


class SessionsEnded(TypedDict):
    """How many sessions were ended."""

    ended: int
