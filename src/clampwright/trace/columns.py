"""Which column of a file is what, and in which unit."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from clampwright.errors import BadFile, ClampwrightError
from clampwright.units import factor, unit_named
from clampwright.words import words

Role = Literal["time", "torque", "angle", "rate"]

_ROLES: dict[str, Role] = {
    "time": "time",
    "t": "time",
    "torque": "torque",
    "moment": "torque",
    "angle": "angle",
    "rotation": "angle",
    "rate": "rate",
    "angular rate": "rate",
}
_BASE = {"time": "s", "torque": "N·m", "angle": "deg"}
_EXPECTED = "time_s, a torque column with its unit such as torque_Nm, and angle_deg or rate_dps"
_NAME = re.compile(
    r"^\s*(?P<base>angular rate|[a-z]+)\s*(?:[\[(]\s*(?P<bracket>.*?)\s*[\])]|_(?P<tail>\S+))?\s*$",
    re.IGNORECASE,
)
_PER_SECOND = re.compile(r"\s*(?:/\s*s|per second|ps)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is used.

    Parameters
    ----------
    place : int
        Counted from 0.
    role : {"time", "torque", "angle", "rate"}
    unit : str
        As written; empty where the name has none.
    scale : float
        Factor to s, N·m, deg or deg/s.
    title : str
        Its name in the file, if it has one.
    """

    place: int
    role: Role
    unit: str
    scale: float
    title: str = ""


def columns_of(
    header: list[str], units_row: list[str] | None, name: str, line: int
) -> list[Column]:
    """Find the columns of a trace in its header.

    Parameters
    ----------
    header : list of str
        Names of the columns.
    units_row : list of str or None
        Units in a row of their own below the header.
    name : str
        Name of the file, for messages.
    line : int
        Line of the header, counted from 1.

    Returns
    -------
    list of Column
        Time, torque, and angle or rate, in this order.

    Raises
    ------
    BadFile
        Where a column is missing, there twice, or its unit is not known.
    """
    found: dict[Role, Column] = {}
    for place, title in enumerate(header):
        parts = _NAME.match(title)
        role = _ROLES.get(parts["base"].lower()) if parts else None
        if parts is None or role is None:
            continue
        unit = parts["bracket"] or parts["tail"] or ""
        if not unit and units_row is not None and place < len(units_row):
            unit = units_row[place].strip().strip("[]()")
        if role in found:
            raise BadFile(
                words(
                    "{file}, line {line}, column {column}: there are two columns for {role}",
                    file=name,
                    line=line,
                    column=place + 1,
                    role=role,
                ),
                file=name,
                line=line,
                column=place + 1,
                expected="one column for each",
            )
        scale = _scale(role, unit, name, line, place + 1)
        found[role] = Column(place, role, unit, scale, title)
    turning = found.get("angle") or found.get("rate")
    if "time" not in found or "torque" not in found or turning is None:
        raise _not_a_trace(header, set(found), name, line)
    return [found["time"], found["torque"], turning]


def _not_a_trace(header: list[str], found: set[Role], name: str, line: int) -> BadFile:
    lacking = [role for role in ("time", "torque") if role not in found]
    if not found & {"angle", "rate"}:
        lacking.append("angle or rate")
    return BadFile(
        words(
            "{file}, line {line}: this is not a trace: no column for {lacking} among {columns}; "
            "expected {expected}",
            file=name,
            line=line,
            lacking=", ".join(lacking),
            columns=", ".join(title.strip()[:30] or "?" for title in header[:8]),
            expected=_EXPECTED,
        ),
        file=name,
        line=line,
        column=1,
        expected=_EXPECTED,
    )


def _scale(role: Role, unit: str, name: str, line: int, column: int) -> float:
    if not unit:
        if role == "torque":
            raise _no_unit(name, line, column)
        return 1.0  # time in s, angle in degrees, as the plain names say
    try:
        if role == "time" and unit.lower() == "ms":
            return 1e-3
        if role == "rate":
            return _rate_scale(unit)
        return factor(unit_named(unit, role).name, _BASE[role])
    except ClampwrightError as error:
        raise BadFile(
            words(
                "{file}, line {line}, column {column}: {problem}",
                file=name,
                line=line,
                column=column,
                problem=error.message,
            ),
            file=name,
            line=line,
            column=column,
            expected=f"a unit of {role}",
        ) from error


def scale_of(role: Role, unit: str, name: str) -> float:
    """Return the factor from a unit to s, N·m, deg or deg/s.

    Parameters
    ----------
    role : {"time", "torque", "angle", "rate"}
    unit : str
        Empty for seconds, degrees and degrees per second; a torque needs one.
    name : str
        Where it was said, for messages.

    Returns
    -------
    float

    Raises
    ------
    BadFile
        For a unit that is not known.
    """
    return _scale(role, unit, name, 1, 1)


def _rate_scale(unit: str) -> float:
    """Degrees per second; an angle unit with "/s", or "dps"."""
    if unit.lower() == "dps":
        return 1.0
    return factor(unit_named(_PER_SECOND.sub("", unit), "angle").name, "deg")


def _no_unit(name: str, line: int, column: int) -> BadFile:
    return BadFile(
        words(
            "{file}, line {line}, column {column}: the torque column has no unit; name it "
            "torque_Nm or torque [ft·lbf]",
            file=name,
            line=line,
            column=column,
        ),
        file=name,
        line=line,
        column=column,
        expected="torque_Nm or torque [unit]",
    )
