"""Friction by condition over many workshops, each workshop drawn towards what all of them find."""

from __future__ import annotations

import math
from typing import Any

from clampwright.archive.layout import Archive
from clampwright.archive.pooling import Group, Pooled, pooled
from clampwright.archive.reading import name_of
from clampwright.archive.running import Asked, Found, Parts
from clampwright.errors import OutOfRange
from clampwright.standards.friction import friction_conditions

SHOWN = 200
"""Workshops that are named for each condition: those with the most joints."""


class _Growing:
    """A group that takes value after value (Welford)."""

    __slots__ = ("count", "mean", "squares")

    def __init__(self) -> None:
        self.count, self.mean, self.squares = 0, 0.0, 0.0

    def add(self, value: float) -> None:
        self.count += 1
        off = value - self.mean
        self.mean += off / self.count
        self.squares += off * (value - self.mean)

    @property
    def group(self) -> Group:
        return Group(self.count, self.mean, self.squares)


def gather_friction(archive: Archive, parts: Parts, _asked: Asked) -> Found:
    """Pool the friction of joints by the condition their jobs name.

    Returns
    -------
    dict
        ``conditions``: a list, each with the pooled figures and its workshops.
    """
    by_condition: dict[str, dict[str, _Growing]] = {}
    for unit, part in parts:
        for row in part["joints"]:
            if row["friction"] and row["ln_mu"]:
                groups = by_condition.setdefault(row["friction"], {})
                groups.setdefault(unit.workshop, _Growing()).add(row["ln_mu"][0])
    found = [_condition(archive, name, groups) for name, groups in sorted(by_condition.items())]
    return {"conditions": found}


def _condition(archive: Archive, name: str, groups: dict[str, _Growing]) -> dict[str, Any]:
    table = next((one for one in friction_conditions() if one.name == name), None)
    told: dict[str, Any] = {
        "condition": name,
        "joints": sum(one.count for one in groups.values()),
        "workshops_in_all": len(groups),
        "table": None if table is None else [table.low, table.high],
        "pooled": None,
        "workshops": [],
    }
    try:
        result = pooled([one.group for one in groups.values()])
    except OutOfRange as error:
        return {**told, "why_not": str(error.message)}
    return {
        **told,
        "pooled": _pooled_json(result),
        "workshops": _workshops(archive, groups, result),
    }


def _pooled_json(result: Pooled) -> dict[str, Any]:
    low, high = result.next_group
    return {
        "median": math.exp(result.mean),
        "u_ln": result.u_mean,
        "between_ln": result.between,
        "within_ln": result.within,
        "next": [math.exp(low), math.exp(high)],
    }


def _workshops(
    archive: Archive, groups: dict[str, _Growing], result: Pooled
) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    for (workshop, group), drawn in zip(groups.items(), result.groups, strict=True):
        low, high = drawn.interval
        rows.append(
            {
                "workshop": workshop,
                "joints": group.count,
                "own": math.exp(drawn.own),
                "weight": drawn.weight,
                "drawn": math.exp(drawn.mean),
                "interval": [math.exp(low), math.exp(high)],
            }
        )
    rows.sort(key=lambda one: (-one["joints"], one["workshop"]))
    return [{**one, "name": name_of(archive, one["workshop"])} for one in rows[:SHOWN]]
