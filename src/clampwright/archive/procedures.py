"""Which procedures give most trouble: how many pulls do not come out within at the first go."""

from __future__ import annotations

from typing import Any

from clampwright.archive.layout import Archive
from clampwright.archive.running import Asked, Found, Parts
from clampwright.drawer.metrology.intervals import binomial_interval

SHOWN = 200
COUNTED = ("pulls", "begun_again", "happened", "fasteners")


def gather_procedures(_archive: Archive, parts: Parts, _asked: Asked) -> Found:
    """Count pulls by procedure and rank by what is surely trouble.

    Returns
    -------
    dict
        ``procedures``: those with the most trouble first, by the lower end of the exact 95 %
        interval of the share of pulls that did not come out within: so a procedure that was done
        three times does not lead the list by bad luck.

    References
    ----------
    Clopper and Pearson, Biometrika 26 (1934) 404 (`clampwright.drawer.metrology.intervals`).
    """
    kinds: dict[str, dict[str, Any]] = {}
    for unit, part in parts:
        for row in part["joints"]:
            one = kinds.setdefault(row["alike"], _new(row))
            one["joints"] += 1
            one["where"].add(unit.workshop)
            for name in COUNTED:
                one[name] += row[name]
            for verdict, count in row["verdicts"].items():
                one["verdicts"][verdict] = one["verdicts"].get(verdict, 0) + count
    rows = [_finished(one) for one in kinds.values() if one["pulls"]]
    rows.sort(key=lambda one: (-one["interval"][0], -one["pulls"], one["alike"]))
    return {"procedures": rows[:SHOWN], "in_all": len(rows)}


def _new(row: dict[str, Any]) -> dict[str, Any]:
    told = {name: row[name] for name in ("alike", "title", "procedure", "thread", "friction")}
    return {
        **told,
        "joints": 0,
        "where": set(),
        "verdicts": {},
        **dict.fromkeys(COUNTED, 0),
    }


def _finished(one: dict[str, Any]) -> dict[str, Any]:
    pulls = one["pulls"]
    trouble = pulls - one["verdicts"].get("within", 0)
    low, high = binomial_interval(trouble, pulls)
    told = {name: value for name, value in one.items() if name != "where"}
    return {
        **told,
        "verdicts": dict(sorted(one["verdicts"].items())),
        "workshops": len(one["where"]),
        "trouble": trouble,
        "share": trouble / pulls,
        "interval": [low, high],
    }
