"""The workshop's own friction conditions: a TOML file beside the drawer, from tests of its own.

A job file may name one of them where it names a condition of the tables. They are handed in where
they are needed; nothing is remembered behind the scenes.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from typing import Annotated

from pydantic import Field, StringConstraints, model_validator

from clampwright import standards
from clampwright.errors import BadFile, Missing
from clampwright.standards import FrictionCondition
from clampwright.standards.friction import in_tables
from clampwright.tomlfile import FileModel, read_toml
from clampwright.words import words

Name = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$")]
Text = Annotated[str, StringConstraints(min_length=1, max_length=200)]
Hash = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Coefficient = Annotated[float, Field(gt=0, le=1)]


class ConditionTable(FileModel):
    """One condition with the test it comes from."""

    name: Name
    title: Text
    low: Coefficient
    high: Coefficient
    fasteners: Annotated[int, Field(ge=1, le=10_000)]
    parts: Text
    sha256: Hash
    date: dt.date
    by: Text

    @model_validator(mode="after")
    def _rises(self) -> ConditionTable:
        if self.low >= self.high:
            raise ValueError(f"low {self.low:g} must be below high {self.high:g}")
        return self

    def build(self) -> FrictionCondition:
        """Return it as the other rooms know conditions."""
        return FrictionCondition(
            name=self.name,
            title=words("{title}", title=self.title),
            low=self.low,
            high=self.high,
            typical=None,
            source=(
                f"own torque-tension test of {self.fasteners} on {self.parts}, by {self.by}, "
                f"{self.date.isoformat()}, file with SHA-256 {self.sha256}"
            ),
        )


class FrictionFile(FileModel):
    """A whole file of conditions."""

    condition: tuple[ConditionTable, ...] = ()


def load_conditions(data: bytes, name: str) -> tuple[FrictionCondition, ...]:
    """Read the workshop's own friction conditions.

    Parameters
    ----------
    data : bytes
        TOML, UTF-8; empty where there are none.
    name : str
        The file's name, for messages.

    Returns
    -------
    tuple of FrictionCondition

    Raises
    ------
    BadFile
        With file, line and what was expected; also for a name there twice, or taken by the tables.
    """
    found = tuple(table.build() for table in read_toml(data, name, FrictionFile).condition)
    seen: set[str] = set()
    for one in found:
        if one.name in seen:
            raise BadFile(
                words("{file}: there are two conditions {name}", file=name, name=one.name),
                file=name,
            )
        if in_tables(one.name):
            raise BadFile(
                words(
                    "{file}: {name} is a condition of the tables; give yours another name",
                    file=name,
                    name=one.name,
                ),
                file=name,
            )
        seen.add(one.name)
    return found


def condition_named(name: str, own: Sequence[FrictionCondition]) -> FrictionCondition:
    """Return a condition of the workshop, else of the tables.

    Parameters
    ----------
    name : str
    own : sequence of FrictionCondition
        Those of the workshop.

    Returns
    -------
    FrictionCondition

    Raises
    ------
    Missing
        There is none of this name.
    OutOfRange
        The tables give no upper end for it.
    """
    for one in own:
        if one.name == name.strip():
            return one
    try:
        return standards.friction(name)
    except Missing as error:
        if not own:
            raise
        raise Missing(
            words(
                "{problem}; this workshop's own: {own}",
                problem=error.message,
                own=", ".join(one.name for one in own),
            ),
            error.needed,
        ) from error


def as_toml(table: ConditionTable) -> str:
    """Return a condition as it is written into the file.

    Parameters
    ----------
    table : ConditionTable

    Returns
    -------
    str
    """

    def text(value: str) -> str:
        return json.dumps(value, ensure_ascii=False)  # a JSON string is a TOML basic string

    return "\n".join(
        [
            "[[condition]]",
            f"name = {text(table.name)}",
            f"title = {text(table.title)}",
            f"low = {table.low:.4f}",
            f"high = {table.high:.4f}",
            f"fasteners = {table.fasteners}",
            f"parts = {text(table.parts)}",
            f"sha256 = {text(table.sha256)}",
            f"date = {table.date.isoformat()}",
            f"by = {text(table.by)}",
            "",
        ]
    )
