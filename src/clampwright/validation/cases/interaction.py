"""Fasteners that influence each other: matrices, passes, and the inverse."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from clampwright.joint._checks import Floats
from clampwright.joint.flexibility import ring_flexibility, row_flexibility
from clampwright.joint.foundation import (
    area_foundation,
    beam_deflection,
    beam_stiffness,
    beam_wave,
    line_foundation,
    plate_deflection,
    plate_length,
    plate_stiffness,
)
from clampwright.joint.interaction import interaction_matrix
from clampwright.joint.order import circle_order
from clampwright.joint.passes import Pass, tighten_passes
from clampwright.joint.uniform import uniform_pass

Numbers = dict[str, Any]


@lru_cache(maxsize=8)
def _bed(E_gasket: float, width: float, height: float, thickness: float) -> tuple[float, float]:
    bending = float(beam_stiffness(E=205_000.0, width=width, height=height))
    foundation = line_foundation(E_gasket=E_gasket, width=width, thickness=thickness)
    return bending, float(foundation)


def beam_on_gasket(
    *, E_gasket: float, width: float, height: float, thickness: float, distance: float = 0.0
) -> Numbers:
    """Wave number and movement of a steel beam on a gasket."""
    bending, bed = _bed(E_gasket, width, height, thickness)
    return {
        "bending": bending,
        "bed": bed,
        "wave": float(beam_wave(beam_stiffness=bending, foundation=bed)),
        "movement": float(beam_deflection(distance, beam_stiffness=bending, foundation=bed)),
    }


def plate_on_gasket(
    *, E_gasket: float, height: float, thickness: float, distance: float = 0.0
) -> Numbers:
    """Stiffness, length and movement of a steel plate on a gasket."""
    bending = float(plate_stiffness(E=205_000.0, height=height, poisson=0.3))
    bed = float(area_foundation(E_gasket=E_gasket, thickness=thickness))
    return {
        "bending": bending,
        "length": float(plate_length(plate_stiffness=bending, foundation=bed)),
        "movement": float(plate_deflection(distance, plate_stiffness=bending, foundation=bed)),
    }


def _row(count: float, pitch: float, bolt_resilience: float, bed: tuple[float, float]) -> Floats:
    places = np.arange(int(count)) * pitch
    G = row_flexibility(places, beam_stiffness=bed[0], foundation=bed[1])
    return interaction_matrix(bolt_resilience=bolt_resilience, flexibility=G)


def _ring(count: float, radius: float, bolt_resilience: float, bed: tuple[float, float]) -> Floats:
    G = ring_flexibility(int(count), radius=radius, beam_stiffness=bed[0], foundation=bed[1])
    return interaction_matrix(bolt_resilience=bolt_resilience, flexibility=G)


def row_of_bolts(
    *, count: float, pitch: float, bolt_resilience: float, E_gasket: float, width: float,
    height: float, thickness: float, target: float = 1.0, order: list[float] | None = None,
    passes: float = 1.0,
) -> Numbers:  # fmt: skip
    """Bolts in a line: matrix, clamp loads after passes, settings that leave all equal."""
    B = _row(count, pitch, bolt_resilience, _bed(E_gasket, width, height, thickness))
    found: Numbers = {"B": B.tolist()}
    if order is not None:
        numbers = tuple(int(number) for number in order)
        done = tighten_passes(B, [Pass(numbers, target)] * int(passes))[-1]
        plan = uniform_pass(B, numbers, target)
        found |= {
            "clamp": done.clamp.tolist(),
            "evenness": float(done.evenness),
            "gains": plan.gains.tolist(),
            "settings": plan.settings[[number - 1 for number in numbers]].tolist(),
            "final": plan.history[-1].tolist(),
        }
    return found


def ring_of_bolts(
    *, count: float, radius: float, bolt_resilience: float, E_gasket: float, width: float,
    height: float, thickness: float, target: float = 1.0, shares: list[float] | float | None = None,
    circles: float = 0.0,
) -> Numbers:  # fmt: skip
    """Ring of bolts: matrix, star passes at shares of the target, then passes round the circle."""
    B = _ring(count, radius, bolt_resilience, _bed(E_gasket, width, height, thickness))
    found: Numbers = {"B": B.tolist()}
    if shares is not None:
        star, circle = circle_order(int(count)).numbers, tuple(range(1, int(count) + 1))
        steps = shares if isinstance(shares, list) else [shares]
        plan = [Pass(star, share * target) for share in steps]
        plan += [Pass(circle, target)] * int(circles)
        done = tighten_passes(B, plan)[-1]
        found |= {"clamp": done.clamp.tolist(), "evenness": float(done.evenness)}
    return found
