"""What is sent about people."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import StringConstraints

from clampwright.web.models import Device, EntryId, Sent

PersonName = Annotated[str, StringConstraints(min_length=1, max_length=100)]
PersonId = Annotated[str, StringConstraints(pattern=r"^person-[0-9a-f]{12}$")]
Secret = Annotated[str, StringConstraints(min_length=1, max_length=200)]
Role = Literal["apprentice", "mechanic", "responsible", "administrator"]


class PasswordIn(Sent):
    """Name and password."""

    name: PersonName
    password: Secret
    device: Device | None = None


class PinIn(Sent):
    """A name that was tapped, and its PIN."""

    person: PersonId
    pin: Secret
    device: Device | None = None


class SignatureIn(Sent):
    """PIN (or password) under one entry that is about to be sent."""

    person: PersonId
    secret: Secret
    act: Annotated[str, StringConstraints(pattern=r"^[a-z_]{1,40}$")]
    entry: EntryId


class EnrolIn(Sent):
    """A device is enrolled, with a password."""

    name: PersonName
    password: Secret
    called: Annotated[str, StringConstraints(min_length=1, max_length=60)]
    device: Device | None = None


class PersonIn(Sent):
    """A new person."""

    name: PersonName
    role: Role
    password: Annotated[str, StringConstraints(max_length=200)] = ""
    pin: Annotated[str, StringConstraints(max_length=20)] = ""
    device: Device | None = None


class RoleIn(Sent):
    """Another role."""

    role: Role
    device: Device | None = None


class SecretIn(Sent):
    """Another password or PIN; ``present`` is what proves that one's own is changed by oneself."""

    kind: Literal["password", "pin"]
    secret: Secret
    present: Annotated[str, StringConstraints(max_length=200)] = ""
    device: Device | None = None


class NothingIn(Sent):
    """Nothing but that it is wanted."""

    device: Device | None = None
