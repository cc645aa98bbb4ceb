"""The analyses by their names."""

from __future__ import annotations

from collections.abc import Mapping

from clampwright.archive import back, joints, rejudge, wrenches
from clampwright.archive.friction import gather_friction
from clampwright.archive.outlying import gather_outlying
from clampwright.archive.procedures import gather_procedures
from clampwright.archive.running import Analysis
from clampwright.archive.units import units_by_traces, units_by_workshop

ANALYSES: Mapping[str, Analysis] = {
    one.name: one
    for one in (
        Analysis(
            "rejudge",
            rejudge.STEP,
            units_by_traces,
            rejudge.rejudge_part,
            rejudge.gather_rejudged,
            lambda asked: {"tuning": asked.get("tuning")},
        ),
        Analysis(
            "drift", wrenches.STEP, units_by_workshop, wrenches.wrenches_of, wrenches.gather_drift
        ),
        Analysis("friction", joints.STEP, units_by_workshop, joints.joints_of, gather_friction),
        Analysis("outlying", joints.STEP, units_by_workshop, joints.joints_of, gather_outlying),
        Analysis("procedures", joints.STEP, units_by_workshop, joints.joints_of, gather_procedures),
        Analysis(
            "look-back", back.STEP_HANDED, units_by_workshop, back.handed_of, back.gather_wrench
        ),
        Analysis(
            "bad-calibration",
            back.STEP_BAD,
            units_by_workshop,
            back.bad_of,
            back.gather_bad,
            lambda asked: asked,
        ),
    )
}
"""Those that share a step share its results."""
