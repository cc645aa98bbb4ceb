"""The work on each joint in each job of a workshop: what was left, and what it took.

One row a joint and a job, as plain data. Friction, outlying joints and procedures that give trouble
are all told from these rows.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

from clampwright.archive.layout import Archive
from clampwright.archive.reading import entries_of
from clampwright.archive.running import Asked, Found
from clampwright.archive.tables import EntryRow
from clampwright.archive.units import Unit
from clampwright.errors import ClampwrightError
from clampwright.joint.nut_factor import nut_factor
from clampwright.work.bygone import Visit, visits_of
from clampwright.work.friction_file import load_conditions
from clampwright.work.job import Joint
from clampwright.work.jobfile import load_job
from clampwright.work.shelf import pinned_shelf, version_from

STEP = "joints"
OPENED, CLOSED = "job_opened", "job_closed"
USABLE = frozenset({"normal", "soft_joint", "pause", "slope_out_of_band", "prevailing_high"})
"""Patterns of a trace whose slope still tells friction: nothing slipped, stripped or stretched.

Ours; a slope out of the band that was expected is just what another friction looks like.
"""
FEWEST_SLOPES = 2
"""Fasteners of a joint whose slope must be known before its friction is told."""
MU_LOW, MU_HIGH = 0.01, 1.0
"""Beyond these no slope tells of friction: another thing went wrong."""


def joints_of(archive: Archive, unit: Unit, _asked: Asked, without: frozenset[str]) -> Found:
    """Gather the work on each joint of a workshop; a `clampwright.archive.running.Step`."""
    rows: list[dict[str, Any]] = []
    for entries in _jobs(archive, unit.workshop, without):
        rows += _rows(entries)
    return {"joints": rows}


def _jobs(
    archive: Archive, workshop: str, without: frozenset[str]
) -> Iterator[list[dict[str, Any]]]:
    """Yield the entries of each job; only jobs that are open are held at a time."""
    held: dict[str, list[EntryRow]] = {}
    for row in entries_of(archive, workshop, without=without):
        if row.job is None:
            continue
        if row.kind == OPENED or row.job in held:
            held.setdefault(row.job, []).append(row)
        if row.kind == CLOSED and row.job in held:
            yield [one.content for one in held.pop(row.job)]
    for rows in held.values():
        yield [one.content for one in rows]


def _rows(entries: Sequence[Mapping[str, Any]]) -> Iterator[dict[str, Any]]:
    visits = visits_of(entries)
    if not visits:
        return
    plan = {one["id"]: one for one in visits[0].opened["plan"]["joints"]}
    for visit in visits:
        yield _row(visit, plan[visit.joint], entries)


def _row(
    visit: Visit, planned: Mapping[str, Any], entries: Sequence[Mapping[str, Any]]
) -> dict[str, Any]:
    pulls = [one["body"] for one in _on(entries, "pull", visit.joint)]
    verdicts: dict[str, int] = {}
    for body in pulls:
        verdicts[body["verdict"]] = verdicts.get(body["verdict"], 0) + 1
    turned = [one.turned for one in visit.outcomes if one.turned is not None]
    torque = [one.torque for one in visit.outcomes if one.torque is not None]
    alike = [planned.get(one) for one in ("thread", "strength", "friction")]
    return {
        "job": visit.job,
        "joint": visit.joint,
        "title": visit.joint_title,
        "machine": visit.machine,
        "date": visit.date.isoformat(),
        "harm": planned["harm_level"],
        "procedure": list(visit.stages),
        "alike": _key([*visit.stages, *alike]),
        "thread": alike[0],
        "friction": alike[2],
        "turned_on": visit.turned_on,
        "fasteners": len(visit.outcomes),
        "pulls": len(pulls),
        "verdicts": verdicts,
        "begun_again": sum(1 for _ in _on(entries, "fastener_restarted", visit.joint)),
        "happened": sum(1 for _ in _on(entries, "something_happened", visit.joint)),
        "angle": _mean(turned),
        "torque": _mean(torque),
        "ln_mu": _mean(_frictions(visit, pulls)),
    }


def _on(entries: Sequence[Mapping[str, Any]], kind: str, joint: str) -> Iterator[Mapping[str, Any]]:
    return (one for one in entries if one["kind"] == kind and one["body"].get("joint") == joint)


def _key(what: Sequence[Any]) -> str:
    text = json.dumps(what, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _mean(values: Sequence[float]) -> list[float] | None:
    """Return mean and count."""
    return [math.fsum(values) / len(values), len(values)] if values else None


def _frictions(visit: Visit, pulls: Sequence[Mapping[str, Any]]) -> list[float]:
    """Return the logarithm of the friction of each fastener whose slope tells it; few are none."""
    slopes: dict[int, float] = {}
    for body in pulls:
        found = body.get("found") or {}
        slope = found.get("slope_nm_per_deg")
        stretched = (found.get("yield") or {}).get("reached")
        if slope is not None and found.get("pattern") in USABLE and not stretched:
            slopes[body["fastener"]] = float(slope)
    if len(slopes) < FEWEST_SLOPES:
        return []
    joint = _joint_of(visit)
    if joint is None:
        return []
    found = [friction_from_slope(joint, slope) for slope in slopes.values()]
    usable = [math.log(mu) for mu in found if mu is not None and MU_LOW <= mu <= MU_HIGH]
    return usable if len(usable) >= FEWEST_SLOPES else []


def friction_from_slope(joint: Joint, slope: float) -> float | None:
    """Return the friction, taken the same in thread and under the head, that a slope tells.

    ``K = (dT/dφ) / (dF/dφ · d)``, and K is linear in friction.

    Parameters
    ----------
    joint : Joint
    slope : float
        Torque per degree while it stretches elastically, N·m/deg.

    Returns
    -------
    float or None
        None where the joint's mechanics are not known.

    References
    ----------
    `clampwright.joint.nut_factor`, the long form, solved for friction.
    """
    fastening = joint.fastening
    if fastening is None or fastening.clamp_rate is None:
        return None
    factor = 1000.0 * slope / (fastening.clamp_rate * fastening.d)
    least, most = (
        float(
            nut_factor(
                d=fastening.d,
                P=fastening.P,
                d2=fastening.d2,
                bearing_diameter=fastening.bearing_diameter,
                mu_thread=mu,
                mu_bearing=mu,
            )
        )
        for mu in (0.0, 1.0)
    )
    return (factor - least) / (most - least)


def _joint_of(visit: Visit) -> Joint | None:
    opened = visit.opened
    try:
        joints = _joints_in(
            opened["job_file"],
            opened.get("friction_file", ""),
            json.dumps(opened.get("shelf", []), sort_keys=True),
        )
    except (ClampwrightError, KeyError, TypeError, ValueError):
        return None  # an older program could read it, this one cannot
    return joints.get(visit.joint)


@lru_cache(maxsize=256)
def _joints_in(job_file: str, friction_file: str, shelf: str) -> dict[str, Joint]:
    """Read the joints of a job; the same file comes again and again."""
    own = load_conditions(friction_file.encode(), "friction.toml")
    versions = pinned_shelf(version_from(body) for body in json.loads(shelf))
    job = load_job(job_file.encode(), "job file", friction=own, shelf=versions)
    return {joint.id: joint for joint in job.joints}
