"""What taking one tool rather than another does to the torque and to the clamp load."""

from __future__ import annotations

import math

from clampwright.drawer.suitability import Fitness
from clampwright.words import Words, words
from clampwright.work.plan import StagePlan


def clamp_uncertainty(planned: StagePlan, choice: Fitness) -> float | None:
    """Return how well the clamp load after a stage is known with a tool.

    Parameters
    ----------
    planned : StagePlan
    choice : Fitness
        One of its choices.

    Returns
    -------
    float or None
        Relative standard uncertainty, as a fraction; None where the clamp load cannot be computed
        or the tool says nothing about it.

    Notes
    -----
    The plan's band holds one part for the torque of the wrench and one for the angle turned, for
    the tools it counted on. This tool's part stands in its place, to first order: a spread twice
    as wide gives a part twice as large (JCGM 100:2008, 5.1.2, from memory).
    """
    band = planned.clamp
    if band is None or not band.nominal > 0:
        return None
    kind, asked, counted = _own_part(planned, choice)
    if asked is None:
        return None
    part = next((one.u for one in band.contributions if one.key == kind), 0.0)
    own = part * asked / counted if counted else _straight(planned, kind, asked)
    return math.sqrt(max(band.u**2 - part**2, 0.0) + own**2) / band.nominal


def _own_part(planned: StagePlan, choice: Fitness) -> tuple[str, float | None, float]:
    if planned.limits.quantity == "angle":
        return "angle", choice.u_angle, planned.counted[1]
    return "torque", choice.u_rel, planned.counted[0]


def _straight(planned: StagePlan, kind: str, asked: float) -> float:
    """Clamp load goes straight with torque; of an angle nothing is known without its band."""
    return planned.clamp.nominal * asked if planned.clamp and kind == "torque" else 0.0


def effect_words(planned: StagePlan, choice: Fitness) -> Words | None:
    """Say how well torque and clamp load are known with a tool.

    Parameters
    ----------
    planned : StagePlan
    choice : Fitness

    Returns
    -------
    Words or None
        None where the tool gives neither torque nor angle.
    """
    clamp = clamp_uncertainty(planned, choice)
    if choice.u_rel is not None and clamp is not None:
        return words(
            "torque known to ±{torque:.1f} %, clamp load to ±{clamp:.0f} % (about 95 %)",
            torque=200 * choice.u_rel,
            clamp=200 * clamp,
        )
    if choice.u_rel is not None:
        return words("torque known to ±{torque:.1f} % (about 95 %)", torque=200 * choice.u_rel)
    if choice.u_angle is not None and clamp is not None:
        return words(
            "angle known to ±{angle:.1f}°, clamp load to ±{clamp:.0f} % (about 95 %)",
            angle=2 * choice.u_angle,
            clamp=200 * clamp,
        )
    if choice.u_angle is not None:
        return words("angle known to ±{angle:.1f}° (about 95 %)", angle=2 * choice.u_angle)
    return None
