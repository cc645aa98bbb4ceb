"""Joints that ended unlike all others of their kind, with a limit to the share of false alarms."""

from __future__ import annotations

from array import array
from typing import Any

from clampwright.archive.discovery import FEWEST, adjusted, chances_of
from clampwright.archive.layout import Archive
from clampwright.archive.running import Asked, Found, Parts

SHOWN = 500
USUAL_SHARE = 0.05


class _Kind:
    """Joints of a kind that measured the same: their values and where they stand."""

    __slots__ = ("parts", "rows", "values")

    def __init__(self) -> None:
        self.values, self.parts, self.rows = array("d"), array("q"), array("q")

    def add(self, value: float, part: int, row: int) -> None:
        self.values.append(value)
        self.parts.append(part)
        self.rows.append(row)


def gather_outlying(_archive: Archive, parts: Parts, asked: Asked) -> Found:
    """Find the joints whose mean angle, or torque, is unlike that of joints of the same kind.

    Parameters
    ----------
    parts : Parts
        Of the step ``joints``.
    asked : mapping
        ``share``: of false alarms among the alarms, that is borne.

    Returns
    -------
    dict
        ``outlying``, the furthest first, ``kinds`` (how many could be compared), ``joints`` and
        ``too_few`` (joints of kinds with too few to compare).

    Notes
    -----
    Of a kind are joints with the same stages, thread, strength and friction condition. Compared is
    what the procedure does not prescribe: the angle from snug where it ends at a torque, the torque
    where it ends at an angle. Each joint counts with the mean over its fasteners.
    """
    share = float(asked.get("share", USUAL_SHARE))
    kinds: dict[tuple[str, str], _Kind] = {}
    for number, (_unit, part) in enumerate(parts):
        for row_number, row in enumerate(part["joints"]):
            measured = measured_of(row)
            if measured is not None:
                key = (row["alike"], measured[0])
                kinds.setdefault(key, _Kind()).add(measured[1], number, row_number)
    compared = {key: one for key, one in kinds.items() if len(one.values) >= FEWEST}
    flagged = _flagged(compared, share)
    return {
        "outlying": _named(parts, flagged),
        "found": len(flagged),
        "kinds": len(compared),
        "joints": sum(len(one.values) for one in compared.values()),
        "too_few": sum(len(one.values) for key, one in kinds.items() if key not in compared),
        "share": share,
    }


def measured_of(row: dict[str, Any]) -> tuple[str, float] | None:
    """Return what tells of a joint: the quantity its procedure does not prescribe."""
    quantity = "torque" if row["turned_on"] else "angle"
    mean = row[quantity]
    return None if mean is None else (quantity, float(mean[0]))


Flag = tuple[float, float, float, int, str]
"""Share of false alarms up to it, distance, middle of its kind, joints of the kind, quantity."""


def _flagged(kinds: dict[tuple[str, str], _Kind], share: float) -> dict[tuple[int, int], Flag]:
    chances: list[float] = []
    places: list[tuple[int, int, float, float, int, str]] = []
    for (_key, quantity), one in sorted(kinds.items()):
        far, by_chance = chances_of(one.values)
        middle = _median(one.values)
        chances += by_chance
        places += [
            (part, row, z, middle, len(far), quantity)
            for part, row, z in zip(one.parts, one.rows, far, strict=True)
        ]
    return {
        (part, row): (level, z, middle, count, quantity)
        for level, (part, row, z, middle, count, quantity) in zip(
            adjusted(chances), places, strict=True
        )
        if level <= share
    }


def _median(values: array[float]) -> float:
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2.0


def _named(parts: Parts, flagged: dict[tuple[int, int], Flag]) -> list[dict[str, Any]]:
    """Read again what the joints are called; only the furthest are kept."""
    wanted = sorted(flagged, key=lambda place: (flagged[place][0], -abs(flagged[place][1]), place))
    kept = set(wanted[:SHOWN])
    of_parts = {part for part, _row in kept}
    rows = []
    for number, (unit, part) in enumerate(parts):
        if number not in of_parts:
            continue
        for row_number, row in enumerate(part["joints"]):
            if (number, row_number) in kept:
                level, z, middle, count, quantity = flagged[number, row_number]
                rows.append(
                    {
                        "workshop": unit.workshop,
                        **{name: row[name] for name in _TOLD},
                        "quantity": quantity,
                        "value": row[quantity][0],
                        "usual": middle,
                        "of": count,
                        "distance": z,
                        "level": level,
                    }
                )
    rows.sort(key=lambda one: (one["level"], -abs(one["distance"]), one["workshop"], one["job"]))
    return rows


_TOLD = ("job", "joint", "title", "machine", "date", "harm", "procedure")
