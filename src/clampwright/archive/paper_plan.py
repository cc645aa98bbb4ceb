"""Storage, hours and core-hours for a fleet that is not there yet, from the costs of one that is.

What a workshop, an entry and a sample cost is taken from the work that was done on an archive on
this machine; a plan multiplies. So a plan is as good as the archive is like the fleet: its
workshops should be of the size that is planned for.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from clampwright.archive.analyses import ANALYSES
from clampwright.archive.layout import Archive, months_between, read_json
from clampwright.archive.reading import held_of
from clampwright.archive.running import last_result, parts_of
from clampwright.errors import Missing, OutOfRange
from clampwright.words import words

PLANNED = ("rejudge", "drift", "friction", "outlying", "procedures")
"""Analyses of a plan; of those that share a step the first one does it."""
MONTHS = 12
HOUR = 3600.0
_WITH_ENTRIES = ("entries", "workshops", "results")
"""Folders whose size goes with the entries; what is told of a workshop is one small file each."""
EFFICIENCY = 0.9
"""Share of its cores that a run makes use of (the figure that the benchmark is held against)."""


@dataclass(frozen=True, slots=True)
class Costs:
    """What the archive on this machine cost.

    Parameters
    ----------
    workshops : int
    months : float
        Of a workshop, on average.
    entries, samples : int
        In all.
    entry_bytes, sample_bytes : float
        On the disk; what is kept of workshops and results comes with the entries.
    put_entry_s, put_sample_s : float
        Processor time of putting one in, s.
    judge_sample_s : float
        Of judging it again, s.
    entry_s : mapping of str to float
        Of each analysis of entries, for an entry, s; 0 where another one does its step.
    piece_s : mapping of str to float
        Of finding a piece of an analysis and putting its result to the others, s.
    """

    workshops: int
    months: float
    entries: int
    samples: int
    entry_bytes: float
    sample_bytes: float
    put_entry_s: float
    put_sample_s: float
    judge_sample_s: float
    entry_s: Mapping[str, float]
    piece_s: Mapping[str, float]

    def as_json(self) -> dict[str, Any]:
        """Return them as plain data."""
        found = {one.name: getattr(self, one.name) for one in fields(self)}
        return {**found, "entry_s": dict(self.entry_s), "piece_s": dict(self.piece_s)}


@dataclass(frozen=True, slots=True)
class Fleet:
    """What is planned for.

    Parameters
    ----------
    workshops : int
    years : float
        That are kept.
    entries, samples : float
        That a workshop makes in a year.
    """

    workshops: int
    years: float
    entries: float
    samples: float

    def __post_init__(self) -> None:
        for one in fields(self):
            value = float(getattr(self, one.name))
            if not (math.isfinite(value) and value >= 0.0) or (
                one.name == "workshops" and not value
            ):
                raise OutOfRange(
                    words("{name} must be a number of 0 or more", name=one.name), value=value,
                    low=0.0,
                )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Plan:
    """What a fleet comes to.

    Parameters
    ----------
    fleet : Fleet
    bytes : float
        On the disk at the end.
    put_h : float
        Core-hours of putting all of it in.
    first_h : mapping of str to float
        Core-hours of each analysis over all of it.
    month_h : mapping of str to float
        Core-hours of each after one month more, at the end: what did not change is not done again,
        but the entries of a workshop that has new ones are.
    """

    fleet: Fleet
    bytes: float
    put_h: float
    first_h: Mapping[str, float]
    month_h: Mapping[str, float]

    @property
    def all_first_h(self) -> float:
        """Core-hours of putting in and of every analysis once."""
        return self.put_h + math.fsum(self.first_h.values())

    @property
    def all_month_h(self) -> float:
        """Core-hours of a month: what is new is put in, and every analysis is made again."""
        months = max(self.fleet.years * MONTHS, 1.0)
        return self.put_h / months + math.fsum(self.month_h.values())

    def as_json(self, *, workers: int = 1, price: float | None = None) -> dict[str, Any]:
        """Return it as plain data.

        Parameters
        ----------
        workers : int
            Cores it is spread over.
        price : float, optional
            Of a core-hour, in whatever money.
        """
        hours = {"first": self.all_first_h, "month": self.all_month_h}
        return {
            "fleet": {one.name: getattr(self.fleet, one.name) for one in fields(self.fleet)},
            "bytes": self.bytes,
            "put_core_hours": self.put_h,
            "first_core_hours": dict(self.first_h),
            "month_core_hours": dict(self.month_h),
            "core_hours": hours,
            "hours": {name: value / (workers * EFFICIENCY) for name, value in hours.items()},
            "workers": workers,
            "money": None if price is None else {name: price * one for name, one in hours.items()},
        }


def plan_for(fleet: Fleet, costs: Costs) -> Plan:
    """Reckon what a fleet comes to.

    Parameters
    ----------
    fleet : Fleet
    costs : Costs

    Returns
    -------
    Plan

    Examples
    --------
    >>> each = {"drift": 0.001}
    >>> costs = Costs(10, 12.0, 1000, 0, 500.0, 8.0, 1e-4, 1e-6, 2e-7, each, {"drift": 0.01})
    >>> plan = plan_for(Fleet(10_000, 1.0, 100.0, 0.0), costs)
    >>> print(f"{plan.bytes / 1e6:.0f} MB, {plan.first_h['drift']:.3f} core-hours")
    500 MB, 0.306 core-hours
    """
    entries = fleet.workshops * fleet.years * fleet.entries
    samples = fleet.workshops * fleet.years * fleet.samples
    months = max(fleet.years * MONTHS, 1.0)
    pieces = {name: fleet.workshops * (months if name == "rejudge" else 1.0)
              for name in costs.piece_s}  # fmt: skip
    done = {name: entries * each for name, each in costs.entry_s.items()}
    done["rejudge"] = samples * costs.judge_sample_s
    again = {name: hours / (months if name == "rejudge" else 1.0) for name, hours in done.items()}
    put = entries * costs.put_entry_s + samples * costs.put_sample_s
    ordered = [name for name in PLANNED if name in costs.piece_s]
    own = {name: pieces[name] * costs.piece_s[name] for name in ordered}
    return Plan(
        fleet,
        entries * costs.entry_bytes + samples * costs.sample_bytes,
        put / HOUR,
        {name: (done.get(name, 0.0) + own[name]) / HOUR for name in ordered},
        {name: (again.get(name, 0.0) + own[name]) / HOUR for name in ordered},
    )


def costs_of(archive: Archive) -> Costs:
    """Take the costs from the work that was done on an archive.

    Parameters
    ----------
    archive : Archive
        Put in on this machine, and with every analysis of `PLANNED` done.

    Returns
    -------
    Costs

    Raises
    ------
    Missing
        An analysis was not done, or nothing was put in.
    """
    held = [held_of(archive, one) for one in archive.workshops()]
    entries, samples = sum(one.entries for one in held), sum(one.samples for one in held)
    if not entries:
        raise Missing(words("the archive holds no entries to take costs from"), needed="entries")
    spans = [len(months_between(one.months[0], one.months[-1])) for one in held if one.months]
    put = _put_costs(archive)
    seconds, pieces = _analysis_costs(archive)
    judged = seconds.pop("rejudge")
    on_disk = _bytes(archive)
    return Costs(
        workshops=len(held),
        months=sum(spans) / len(spans),
        entries=entries,
        samples=samples,
        entry_bytes=sum(on_disk[one] for one in _WITH_ENTRIES) / entries,
        sample_bytes=on_disk["traces"] / samples if samples else 0.0,
        put_entry_s=put[0],
        put_sample_s=put[1],
        judge_sample_s=judged / samples if samples else 0.0,
        entry_s={name: total / entries for name, total in seconds.items()},
        piece_s=pieces,
    )


def _put_costs(archive: Archive) -> tuple[float, float]:
    totals = dict.fromkeys(("entries", "entries_s", "samples", "samples_s"), 0.0)
    for path in sorted((archive.results / "put").glob("*.json")):
        for name, value in read_json(path).items():
            totals[name] += value
    if not totals["entries"]:
        raise Missing(words("nothing tells what putting workshops in took: put them in anew"),
                      needed="put")  # fmt: skip
    each = totals["samples_s"] / totals["samples"] if totals["samples"] else 0.0
    return totals["entries_s"] / totals["entries"], each


def _analysis_costs(archive: Archive) -> tuple[dict[str, float], dict[str, float]]:
    seconds: dict[str, float] = {}
    pieces: dict[str, float] = {}
    steps: set[str] = set()
    for name in PLANNED:
        result = last_result(archive, name)
        if result is None:
            raise Missing(
                words("the analysis {name} was not made on this archive yet", name=name),
                needed=name,
            )
        analysis = ANALYSES[name]
        parts = parts_of(archive, analysis, result.asked)
        seconds[name] = 0.0 if analysis.step in steps else parts.core_seconds
        pieces[name] = result.work.own_seconds / max(result.work.pieces, 1)
        steps.add(analysis.step)
    return seconds, pieces


def _bytes(archive: Archive) -> dict[str, int]:
    return {
        table: sum(one.stat().st_size for one in (archive.folder / table).rglob("*")
                   if one.is_file())
        for table in (*_WITH_ENTRIES, "traces")
    }  # fmt: skip
