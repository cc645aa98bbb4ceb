"""A tool written into a drawer file: what stands there already stays byte for byte."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from clampwright.drawer.belongings import Paper
from clampwright.drawer.calibration import Direction
from clampwright.drawer.files import load_drawer
from clampwright.drawer.tools import PLAIN, Drawer
from clampwright.errors import BadFile, Missing, Refused
from clampwright.tomlfile import end_of
from clampwright.words import words

REQUIRED = ("title", "kind", "drive", "unit", "low", "high", "main_step")
"""What must be filled in to enter one wrench: seven fields."""


@dataclass(frozen=True, slots=True)
class NewTool:
    """A tool as a person enters it.

    Parameters
    ----------
    title, kind, drive : str
    unit : str
        Engraved on its scale; empty for a tool without one.
    low, high, main_step, fine_step : float or None
        Marks of the scale, in `unit`.
    id : str
        Made from kind and range if empty.
    directions : sequence of str
        The usual ones of its kind if empty.
    step_deg : float or None
        Of an angle gauge, or an electronic wrench with angle.
    length_mm : float or None
        From the square to the grip mark.
    serial, note : str
    mechanism : str
        ``fixed`` or ``no_scale`` for a click wrench that stands at `high` and cannot be set.
    calibrated : datetime.date or None
        Date of its certificate; the points are entered with the certificate.
    """

    title: str
    kind: str
    drive: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    main_step: float | None = None
    fine_step: float | None = None
    id: str = ""
    directions: Sequence[Direction] = field(default_factory=tuple)
    step_deg: float | None = None
    length_mm: float | None = None
    serial: str = ""
    note: str = ""
    mechanism: str = "screw"
    calibrated: dt.date | None = None


def added(text: str, new: NewTool, name: str, *, today: dt.date | None = None) -> tuple[str, str]:
    """Return a drawer file with one tool more, and the id of that tool.

    Parameters
    ----------
    text : str
        The drawer file as it is; empty for a new one.
    new : NewTool
    name : str
        The file's name, for messages.
    today : datetime.date, optional
        A calibration dated after it is refused.

    Returns
    -------
    str, str
        The whole new file, read and found good; and the tool's id.

    Raises
    ------
    Missing
        When a field is not filled in; names all of them.
    BadFile
        When the tool cannot be as it was entered; nothing is made then.
    Refused
        When the drawer has a tool of that id already.

    Examples
    --------
    >>> wrench = NewTool("Small click wrench", "click", "1/4 in", "N·m", 5, 25, 5, 0.25)
    >>> text, made = added("", wrench, "drawer.toml")
    >>> made
    'click-25'
    >>> print(text)
    [[tool]]
    id = "click-25"
    title = "Small click wrench"
    kind = "click"
    drive = "1/4 in"
    <BLANKLINE>
    [[tool.scale]]
    unit = "N·m"
    low = 5.0
    high = 25.0
    main_step = 5.0
    fine_step = 0.25
    <BLANKLINE>
    """
    _check_filled(new)
    _check_date(new, name, today)
    known = _known_ids(text, name)
    if new.id and new.id in known:
        raise Refused(
            words("the drawer has a tool {id!r} already; give this one another name", id=new.id)
        )
    made = new.id or _free_id(new, known)
    block = _block(new, made)
    whole = f"{text.rstrip()}\n\n{block}" if text.strip() else block
    load_drawer(whole.encode(), name)
    return whole, made


def with_paper(text: str, tool_id: str, new: Paper, name: str) -> str:
    """Return a drawer file in which a tool has one paper more.

    Parameters
    ----------
    text : str
    tool_id : str
    new : Paper
    name : str
        The drawer file's name, for messages.

    Returns
    -------
    str

    Raises
    ------
    Refused
        When there is no such tool, or it has this very paper.
    BadFile
        When the result would be no drawer file.
    """
    drawer = load_drawer(text.encode(), name)
    tool = drawer.tool(tool_id)
    if any(paper.sha256 == new.sha256 for paper in tool.belongings.papers):
        raise Refused(words("{tool} has this very paper already", tool=tool.title))
    place = [one.id for one in drawer.tools].index(tool_id)
    end = end_of(text, ("tool", place))
    if end is None:  # the tools stand in one inline list: there is no table to write after
        raise Refused(
            words("{file}: write the tools as [[tool]] tables to attach papers", file=name)
        )
    lines = text.splitlines(keepends=True)  # put together again they are the text, byte for byte
    before, after = "".join(lines[:end]).rstrip("\r\n"), "".join(lines[end:])
    table = ["", "", "[[tool.paper]]", *_keys(file=new.file, kind=new.kind, sha256=new.sha256), ""]
    whole = before + "\n".join(table) + after
    load_drawer(whole.encode(), name)
    return whole


def _check_filled(new: NewTool) -> None:
    wanted: tuple[str, ...] = REQUIRED
    if new.kind in PLAIN:
        wanted = ("title", "kind", "drive")
    elif new.kind == "angle_gauge":
        wanted = ("title", "kind", "drive", "step_deg")
    elif new.mechanism != "screw":
        wanted = ("title", "kind", "drive", "unit", "high")
    missing = [one for one in wanted if getattr(new, one) in {"", None}]
    if missing:
        raise Missing(
            words("still to be filled in: {fields}", fields=", ".join(missing)), needed=missing[0]
        )


def _check_date(new: NewTool, name: str, today: dt.date | None) -> None:
    if today is not None and new.calibrated is not None and new.calibrated > today:
        raise BadFile(
            words(
                "the calibration is dated {date}, after today ({today}); look at the certificate",
                date=new.calibrated.isoformat(),
                today=today.isoformat(),
            ),
            file=name,
        )


def _known_ids(text: str, name: str) -> set[str]:
    if not text.strip():
        return set()
    drawer: Drawer = load_drawer(text.encode(), name)
    return {tool.id for tool in drawer.tools}


def _free_id(new: NewTool, known: set[str]) -> str:
    size = f"{new.high:g}" if new.high is not None else new.drive
    base = re.sub(r"[^a-z0-9]+", "-", f"{new.kind}-{size}".lower().replace(" in", "")).strip("-")
    number = 2
    made = base
    while made in known:
        made, number = f"{base}-{number}", number + 1
    return made


def _block(new: NewTool, made: str) -> str:
    lines = [
        "[[tool]]",
        *_keys(
            id=made,
            title=new.title,
            kind=new.kind,
            drive=new.drive,
            directions=list(new.directions) or None,
            length_mm=new.length_mm,
            serial=new.serial or None,
            note=new.note or None,
        ),
    ]
    if new.mechanism != "screw":
        preset = f"{{ value = {_value(new.high)}, unit = {_value(new.unit)} }}"
        lines += [*_keys(mechanism=new.mechanism), f"preset = {preset}"]
    elif new.unit:
        lines += ["", "[[tool.scale]]"]
        lines += _keys(
            unit=new.unit,
            low=new.low,
            high=new.high,
            main_step=new.main_step,
            fine_step=new.fine_step,
        )
    if new.step_deg is not None:
        lines += ["", "[tool.angle]", *_keys(step_deg=new.step_deg)]
    if new.calibrated is not None:
        lines += ["", "[tool.calibration]", f"date = {new.calibrated.isoformat()}"]
    return "\n".join([*lines, ""])


def _keys(**values: object) -> list[str]:
    return [f"{key} = {_value(value)}" for key, value in values.items() if value is not None]


def _value(value: object) -> str:
    """Return a TOML value; a JSON text or number is one, but for the character DEL."""
    if isinstance(value, float | int):
        return repr(float(value))
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
