"""The words all shapes are made of: figures with their unit, times, ids, names of tables."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict  # pydantic asks for this one before Python 3.12

from clampwright.web.models import UUID7
from clampwright.work.judgement import VERDICTS
from clampwright.work.roles import ROLES

EntryId = Annotated[str, Field(pattern=UUID7, description="UUID of version 7.")]
Moment = Annotated[str, Field(json_schema_extra={"format": "date-time"})]
Day = Annotated[str, Field(json_schema_extra={"format": "date"})]
Sha256 = Annotated[str, Field(pattern="^[0-9a-f]{64}$", description="SHA-256 of the content.")]
Page = Annotated[str, Field(description="Address of the page that shows it.")]
Told = Annotated[str, Field(description="A sentence for a person, in the language asked for.")]

NewtonMetres = Annotated[float, Field(description="N·m")]
Newtons = Annotated[float, Field(description="N")]
Degrees = Annotated[float, Field(description="degrees")]
Millimetres = Annotated[float, Field(description="mm")]
Seconds = Annotated[float, Field(description="s")]
Share = Annotated[float, Field(description="A share: 1 is all of it.")]
HarmLevel = Annotated[int, Field(ge=1, le=3, description="1: life or limb, 3: annoyance.")]

Verdict = Annotated[str, Field(json_schema_extra={"enum": list(VERDICTS)})]
Role = Annotated[str, Field(json_schema_extra={"enum": list(ROLES)})]


class Kept(TypedDict):
    """An entry is on the log."""

    entry: EntryId


class Receipt(TypedDict):
    """By what a device knows that an entry is safe: its place in the log, and its hash."""

    entry: EntryId
    index: Annotated[int, Field(ge=0)]
    leaf_hash: Sha256
    sha256: Annotated[
        str,
        Field(
            pattern="^([0-9a-f]{64})?$",
            description="SHA-256 of the content as the log took it; empty where there is none.",
        ),
    ]


class Id(TypedDict):
    """Which one it was done with."""

    id: str
