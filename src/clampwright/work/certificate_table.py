"""A calibration certificate as a table: columns with any names, by a small mapping."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from clampwright.drawer.calibration import deviation_percent
from clampwright.errors import BadFile, ClampwrightError, Missing
from clampwright.units import unit_named
from clampwright.words import words
from clampwright.work.measured_table import MeasuredTable, parted, read_table

COLUMNS: Mapping[str, frozenset[str]] = {
    "set": frozenset({"set", "shown", "nominal", "indicated", "setting"}),
    "reference": frozenset({"reference", "measured", "actual"}),
    "deviation": frozenset({"deviation", "error"}),
    "uncertainty": frozenset({"uncertainty", "expanded uncertainty", "u"}),
    "k": frozenset({"k", "coverage factor"}),
    "direction": frozenset({"direction"}),
    "state": frozenset({"state"}),
}
"""What a column is, and the names it may have without a mapping."""

_TURNS = {"cw": "cw", "clockwise": "cw", "right": "cw", "r": "cw",
          "ccw": "ccw", "anticlockwise": "ccw", "counter-clockwise": "ccw", "left": "ccw",
          "l": "ccw"}  # fmt: skip
_STATES = {"found": "found", "as found": "found", "left": "left", "as left": "left"}


@dataclass(frozen=True, slots=True)
class CertificateTable:
    """The points of a certificate file.

    Parameters
    ----------
    found, left : tuple of mapping
        As `clampwright.drawer.calibration_entry.record_of` takes them.
    unit : str or None
        Of torque, where the header names one.
    """

    found: tuple[Mapping[str, object], ...]
    left: tuple[Mapping[str, object], ...]
    unit: str | None


def read_certificate(
    data: bytes, name: str, *, columns: Mapping[str, str] | None = None
) -> CertificateTable:
    r"""Read the points of a certificate from a text table.

    Parameters
    ----------
    data : bytes
        UTF-8, columns parted by semicolon, tab or comma, the first line naming them.
    name : str
        Name of the file, for messages.
    columns : mapping of str to str, optional
        What a column is to its title in the file, such as ``{"set": "Nominal torque"}``; the names
        of `COLUMNS` are known without it.

    Returns
    -------
    CertificateTable

    Raises
    ------
    BadFile
        It is no table, a needed column is missing, or a cell cannot be taken; XML is never read.
    Missing
        A column of the mapping is not there.

    Examples
    --------
    >>> text = b"Set [N.m]; measured [N.m]; U [%]; k\n20; 20,15; 1,0; 2\n"
    >>> table = read_certificate(text, "c.csv", columns={"uncertainty": "U"})
    >>> table.unit, dict(table.found[0])["reference"]
    ('N·m', 20.15)
    """
    if data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        raise BadFile(
            words(
                "{file} is XML, which is not read here; save the results as a text table with a "
                "line for every point",
                file=name,
            ),
            file=name,
            expected="a text table",
        )
    table = read_table(data, name)
    places = _places(table, columns or {})
    for needed in ("set", "uncertainty"):
        if needed not in places:
            raise table.bad(
                words(
                    "no column tells {what}; name it with {what}=TITLE, titles are: {known}",
                    what=needed,
                    known=", ".join(title[:40] for title in table.header),
                )
            )
    if ("reference" in places) == ("deviation" in places):
        raise table.bad(
            words("one column must tell what the device measured (reference) or the deviation")
        )
    rows: dict[str, list[Mapping[str, object]]] = {"found": [], "left": []}
    for row in range(len(table.rows)):
        rows[_state(table, places, row)].append(_point(table, places, row))
    unit = _unit(table, places)
    return CertificateTable(tuple(rows["found"]), tuple(rows["left"]), unit)


def _places(table: MeasuredTable, columns: Mapping[str, str]) -> dict[str, int]:
    strange = sorted(set(columns) - set(COLUMNS))
    if strange:
        raise Missing(
            words(
                "{name!r} is nothing a column can be; known are: {known}",
                name=strange[0],
                known=", ".join(COLUMNS),
            ),
            "columns",
        )
    found = {}
    for what, names in COLUMNS.items():
        wanted = columns.get(what)
        if wanted is None:
            place = table.find(names)
        else:
            place = table.find(frozenset({parted(wanted)[0]}))
            if place is None:
                raise Missing(
                    words(
                        "there is no column {title!r}; titles are: {known}",
                        title=wanted[:40],
                        known=", ".join(title[:40] for title in table.header),
                    ),
                    "columns",
                )
        if place is not None:
            found[what] = place
    return found


def _unit(table: MeasuredTable, places: Mapping[str, int]) -> str | None:
    """Return the unit of torque; a certificate has one."""
    units = {}
    for what in ("set", "reference"):
        if what in places and (text := parted(table.header[places[what]])[1]):
            try:
                units[what] = unit_named(text, "torque").name
            except ClampwrightError as error:
                raise table.bad(error.message) from error
    if len(set(units.values())) > 1:
        raise table.bad(
            words(
                "the set values are in {one}, the measured ones in {other}; write both in one unit",
                one=units["set"],
                other=units["reference"],
            )
        )
    return next(iter(units.values()), None)


def _point(table: MeasuredTable, places: Mapping[str, int], row: int) -> Mapping[str, object]:
    point: dict[str, object] = {"set": table.number(row, places["set"])}
    if "deviation" in places:
        point["deviation_percent"] = table.number(row, places["deviation"])
    else:
        point["reference"] = table.number(row, places["reference"])
    point["uncertainty_percent"] = _uncertainty(table, places, row, point)
    if "k" in places:
        point["k"] = table.number(row, places["k"])
    if (turn := _word(table, places, row, "direction", _TURNS)) is not None:
        point["direction"] = turn
    return point


def _uncertainty(
    table: MeasuredTable, places: Mapping[str, int], row: int, point: Mapping[str, object]
) -> float:
    """Return the expanded uncertainty in percent; where the header names a torque, of the value."""
    value = table.number(row, places["uncertainty"])
    unit = parted(table.header[places["uncertainty"]])[1]
    if unit in {"", "%"}:
        return value
    shown = float(str(point["set"]))
    reference = float(str(point.get("reference", shown)))
    own = _unit(table, places)
    if own is None or unit_named(unit, "torque").name != own:
        raise table.bad(
            words("the uncertainty is in {unit}; write it in percent or in the unit of the points",
                  unit=unit)
        )  # fmt: skip
    return abs(deviation_percent(reference + value, reference))


def _state(table: MeasuredTable, places: Mapping[str, int], row: int) -> str:
    return _word(table, places, row, "state", _STATES) or "found"


def _word(
    table: MeasuredTable, places: Mapping[str, int], row: int, what: str, known: Mapping[str, str]
) -> str | None:
    if what not in places:
        return None
    text = table.rows[row][places[what]].strip().casefold()
    if text not in known:
        raise BadFile(
            words(
                "{file}, line {line}: {text!r} is no {what}; write one of: {known}",
                file=table.name,
                line=table.lines[row],
                text=text[:40],
                what=what,
                known=", ".join(known),
            ),
            file=table.name,
            line=table.lines[row],
            column=places[what] + 1,
        )
    return known[text]
