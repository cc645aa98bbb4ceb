"""History and found pulls as plain data, for programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

from clampwright.work.history_words import spent_lines

if TYPE_CHECKING:
    import datetime as dt

    from clampwright.work.bygone import Outcome, Visit
    from clampwright.work.finding import FoundPull
    from clampwright.work.history import Drift, JointHistory, Spent


class _Machine(Protocol):
    @property
    def name(self) -> str: ...

    @property
    def jobs(self) -> tuple[str, ...]: ...

    @property
    def last(self) -> dt.date: ...


def machine_json(machine: _Machine) -> dict[str, Any]:
    """Return a machine with its jobs."""
    return {"machine": machine.name, "jobs": list(machine.jobs), "last": machine.last.isoformat()}


def history_json(history: JointHistory) -> dict[str, Any]:
    """Return the history of a joint.

    Parameters
    ----------
    history : JointHistory

    Returns
    -------
    dict
        Torques in N·m, angles in degrees, forces in N, lengths in mm.
    """
    return {
        "joint": history.joint,
        "title": history.title,
        "visits": [_visit(one) for one in history.visits],
        "drifts": [_drift(one) for one in history.drifts],
        "spent": [_spent(one) for one in history.spent],
    }


def _visit(visit: Visit) -> dict[str, Any]:
    clamp = None
    if visit.clamp is not None:
        clamp = dict(zip(("nominal_N", "p05_N", "p95_N"), visit.clamp, strict=True))
    return {
        "job": visit.job,
        "title": visit.title,
        "date": visit.date.isoformat(),
        "stages": list(visit.stages),
        "closed": visit.closed,
        "clamp": clamp,
        "fasteners": [_outcome(one) for one in visit.outcomes],
    }


def _outcome(one: Outcome) -> dict[str, Any]:
    return {
        "fastener": one.fastener,
        "verdict": one.verdict,
        "pulls": one.pulls,
        "torque_Nm": one.torque,
        "torque_u_Nm": one.torque_u,
        "turned_deg": one.turned,
        "turned_in": list(one.turned_in),
        "stretched": one.stretched,
        "renewed": one.renewed,
        "breakaway_Nm": one.breakaway,
        "tools": list(one.tools),
    }


def _drift(drift: Drift) -> dict[str, Any]:
    line = None
    if drift.line is not None:
        low, high = drift.line.interval()
        line = {"a_year": drift.line.slope, "low": low, "high": high}
    return {
        "quantity": drift.quantity,
        "dates": [day.isoformat() for day in drift.dates],
        "means": list(drift.means),
        "spreads": list(drift.spreads),
        "trend": line,
        "says": str(drift.says),
    }


def _spent(spent: Spent) -> dict[str, Any]:
    return {
        "fastener": spent.fastener,
        "since": spent.since.isoformat(),
        "known_new": spent.known_new,
        "times": spent.times,
        "seen": spent.seen,
        "stretch_mm": None if spent.stretch is None else list(spent.stretch),
        "allowed_mm": spent.allowed,
        "says": str(spent_lines([spent])[0]),
    }


def found_json(one: FoundPull) -> dict[str, Any]:
    """Return a pull that was found."""
    return {
        "entry": one.entry,
        "job": one.job,
        "title": one.title,
        "machine": one.machine,
        "joint": one.joint,
        "joint_title": one.joint_title,
        "fastener": one.fastener,
        "stage": one.stage,
        "time": one.time.isoformat(),
        "tool": one.tool,
        "person": one.person,
        "verdict": one.verdict,
        "torque_Nm": one.torque_nm,
        "turned_deg": one.turned_deg,
        "accepted": one.accepted,
        "undone": one.undone,
    }
