"""Recorded pulls judged again by today's rules: which verdicts are others than they were."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from clampwright.archive.layout import Archive
from clampwright.archive.running import Asked, Found, Parts
from clampwright.archive.tables import TracedPull, pulls_told
from clampwright.archive.units import Unit
from clampwright.errors import BadFile
from clampwright.trace.archive import COMPILED_FROM, JudgedPull, judge_archive
from clampwright.trace.tuning import in_force, tuning_from_toml

STEP = "rejudged"
SHOWN = 500
SAMPLE_BYTES = 5
"""Bytes of a sample in an archive, at least (measured: 5 to 12)."""
CHANGED = ("id", "place", "where", "then", "now", "pattern_then", "pattern_now")
"""What is told of a pull whose verdict changed."""
UNKNOWN = "not judged"
"""What stands for a verdict that nobody gave."""


def rejudge_part(archive: Archive, unit: Unit, asked: Asked, without: frozenset[str]) -> Found:
    """Judge the pulls of a file of traces; a `clampwright.archive.running.Step`."""
    del without  # a file of traces is one piece: it is read, or it is not
    path = archive.folder / unit.file
    told = {one.id: one for one in pulls_told(path, unit.file)}
    own = asked.get("tuning")
    tuning = None if not own else tuning_from_toml(own.encode(), "tuning")
    counts = _Counts()
    with path.open("rb") as file, in_force(tuning):
        rows = COMPILED_FROM if _is_large(archive) else None
        judged = judge_archive(
            file, lambda name: _told(told, name, unit).given, unit.file, rows=rows
        )
        for one in judged:
            counts.add(_told(told, one.pull, unit), one)
    return counts.as_json()


@lru_cache(maxsize=8)
def _is_large(archive: Archive) -> bool:
    """Return whether there is so much to judge that compiling pays, whatever one file holds."""
    left = COMPILED_FROM * SAMPLE_BYTES
    for part in archive.parts("traces"):
        left -= part.path.stat().st_size
        if left <= 0:
            return True
    return False


def _told(told: dict[str, TracedPull], name: str, unit: Unit) -> TracedPull:
    try:
        return told[name]
    except KeyError:
        raise BadFile(
            f"{unit.file}: the pull {name} is not told of in its footer", file=unit.file
        ) from None


class _Counts:
    """What is counted of the pulls of a file."""

    def __init__(self) -> None:
        self.pulls, self.faults = 0, 0
        self.now: dict[str, int] = {}
        self.patterns: dict[str, int] = {}
        self.turned: dict[str, int] = {}
        self.changed: list[dict[str, Any]] = []
        self.unreadable: list[list[str]] = []

    def add(self, then: TracedPull, now: JudgedPull) -> None:
        self.pulls += 1
        self.faults += now.fault
        before = then.verdict or UNKNOWN
        _count(self.now, now.verdict)
        _count(self.patterns, now.pattern)
        _count(self.turned, f"{before} > {now.verdict}")
        if now.verdict == "not known":
            self._note(now)
        if then.verdict and then.verdict != now.verdict:
            self.changed.append(
                {
                    "id": then.id,
                    "place": then.place,
                    "where": then.where,
                    "then": then.verdict,
                    "now": now.verdict,
                    "pattern_then": then.pattern,
                    "pattern_now": now.pattern,
                }
            )

    def _note(self, now: JudgedPull) -> None:
        try:
            now.whole()
        except BadFile as error:
            self.unreadable.append([now.pull, str(error.message)])

    def as_json(self) -> dict[str, Any]:
        return {
            "pulls": self.pulls,
            "faults": self.faults,
            "now": self.now,
            "patterns": self.patterns,
            "turned": self.turned,
            "changed": self.changed,
            "unreadable": self.unreadable,
        }


def _count(counts: dict[str, int], name: str, more: int = 1) -> None:
    counts[name] = counts.get(name, 0) + more


def gather_rejudged(_archive: Archive, parts: Parts, _asked: Asked) -> Found:
    """Add up what changed.

    Returns
    -------
    dict
        ``pulls``, ``faults``, ``now``, ``patterns``, ``turned`` (verdict then > verdict now),
        ``changed`` (the first of them), ``changed_in_all``, ``unreadable`` (the first of them),
        ``unreadable_in_all``, ``workshops`` (pulls and changes of each that has any).
    """
    sums: dict[str, dict[str, int]] = {"now": {}, "patterns": {}, "turned": {}}
    pulls = faults = 0
    changed: list[dict[str, Any]] = []
    unreadable: list[list[str]] = []
    counts = {"changed": 0, "unreadable": 0}
    workshops: dict[str, list[int]] = {}
    for unit, part in parts:
        pulls += part["pulls"]
        faults += part["faults"]
        for name, into in sums.items():
            for key, more in part[name].items():
                _count(into, key, more)
        own = workshops.setdefault(unit.workshop, [0, 0])
        own[0] += part["pulls"]
        own[1] += len(part["changed"])
        counts["changed"] += len(part["changed"])
        counts["unreadable"] += len(part["unreadable"])
        room = max(SHOWN - len(changed), 0)
        changed += [{"workshop": unit.workshop, **one} for one in part["changed"][:room]]
        unreadable += [[unit.workshop, *one] for one in part["unreadable"][: SHOWN // 10]]
    return {
        "pulls": pulls,
        "faults": faults,
        **{name: dict(sorted(one.items())) for name, one in sums.items()},
        "changed": changed,
        "changed_in_all": counts["changed"],
        "unreadable": unreadable[:SHOWN],
        "unreadable_in_all": counts["unreadable"],
        "workshops": {name: own for name, own in sorted(workshops.items()) if own[1]},
    }


def all_changed(parts: Parts) -> Iterator[dict[str, Any]]:
    """Go through every pull whose verdict changed, in the order of the archive.

    Yields
    ------
    dict
    """
    for unit, part in parts:
        for one in part["changed"]:
            yield {"workshop": unit.workshop, **one}
