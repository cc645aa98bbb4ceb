"""Angle stages against the fastener: what they leave, and how far past yield they go."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from clampwright.errors import Missing
from clampwright.joint.torque_angle import State, Step
from clampwright.procedure.check_finding import Finding
from clampwright.procedure.check_physics import Reckoning, target_nm
from clampwright.procedure.check_tables import limit
from clampwright.procedure.check_text import kilonewtons
from clampwright.procedure.check_torque import under_finding
from clampwright.procedure.stage import Stage
from clampwright.words import words

Numbered = tuple[int, Stage]
"""A stage with its number, counted from 1."""

ANGLE_SOURCE = (
    "bilinear law after yield, derived; clamp rate and plastic length as given with the joint"
)
_STEPS = {"torque": "torque", "angle": "angle", "loosen": "loosen", "back_off_then": "loosen"}


def angle_findings(
    stages: Sequence[Numbered], reckoning: Reckoning, *, final: int | None, exempt: bool
) -> Iterator[Finding]:
    """Yield what the angle stages of a fastener give to ask.

    Parameters
    ----------
    stages : sequence of (int, Stage)
        All stages the fastener goes through, in working order.
    reckoning : Reckoning
    final : int or None
        Number of the stage that leaves the fastener as it will be.
    exempt : bool
        Whether too little clamp load is of no concern.

    Yields
    ------
    Finding
    """
    angles = [number for number, stage in stages if stage.kind == "angle"]
    if not angles:
        return
    numbers, steps = steps_of(stages, reckoning)
    try:
        states = reckoning.follow(steps)
    except Missing as missing:
        yield _not_checked(angles[0], missing)
        return
    for number, state in zip(numbers, states, strict=True):
        if number in angles:
            yield from _past_yield(number, state, reckoning)
            if number == final and not exempt:
                yield from _too_loose(number, state, reckoning)


def steps_of(stages: Sequence[Numbered], reckoning: Reckoning) -> tuple[list[int], list[Step]]:
    """Return what a fastener feels of the stages, each step with the number of its stage.

    Parameters
    ----------
    stages : sequence of (int, Stage)
    reckoning : Reckoning

    Returns
    -------
    list of int, list of Step
    """
    numbers, steps = [], []
    for number, stage in stages:
        step = _step(stage, reckoning)
        if step is not None:
            numbers.append(number)
            steps.append(step)
    return numbers, steps


def _step(stage: Stage, reckoning: Reckoning) -> Step | None:
    kind = _STEPS.get(stage.kind)
    if kind is None:
        return None
    if kind != "torque":
        angle = stage.angle_deg
        if angle is None:
            return Step("loosen") if kind == "loosen" else None
        return Step("angle" if kind == "angle" else "loosen", angle)
    target = target_nm(stage)
    running = reckoning.fastening.prevailing_torque
    if target is None or reckoning.driving(target, plus_running=stage.plus_running_torque) <= 0:
        return None
    return Step("torque", target + running if stage.plus_running_torque else target)


def _not_checked(number: int, missing: Missing) -> Finding:
    return Finding(
        "angle_not_checked",
        "note",
        number,
        words(
            "the clamp load of the angle stages cannot be reckoned: {why}",
            why=missing.message,
        ),
        source=ANGLE_SOURCE,
    )


def _past_yield(number: int, state: State, reckoning: Reckoning) -> Iterator[Finding]:
    place = reckoning.surface.where_it_holds
    if not np.atleast_1d(state.reached)[place]:
        yield Finding(
            "angle_breaks",
            "stop",
            number,
            words(
                "the angle turns the fastener past its tensile strength: it breaks at {clamp}",
                clamp=kilonewtons(float(np.atleast_1d(state.clamp)[place])),
            ),
            question=words(
                "Is the angle counted further, or in total from the first torque? Is the torque "
                "before it in the right unit?"
            ),
            details=(reckoning.surface.words(),),
            numbers={
                "clamp_load": (float(np.atleast_1d(state.clamp)[place]), "N"),
                **reckoning.friction_numbers(),
            },
            source=f"{ANGLE_SOURCE}; friction: {reckoning.surface.source}",
        )
        return
    length, stretch = reckoning.fastening.plastic_length, state.plastic_stretch
    if length is None or stretch is None:
        return
    # The friction that speaks against the finding: with no surface stated, the least stretch.
    lasting = float(np.atleast_1d(stretch)[place] if reckoning.surface.stated else np.min(stretch))
    budget = limit("plastic_strain")
    if lasting / length > budget.part:
        yield _beyond_budget(number, lasting, length, reckoning)


def _beyond_budget(number: int, lasting: float, length: float, reckoning: Reckoning) -> Finding:
    budget = limit("plastic_strain")
    strain = 100 * lasting / length
    return Finding(
        "beyond_plastic_budget",
        "ask",
        number,
        words(
            "up to here the fastener stretches for good by {stretch:.2f} mm, {strain:.1f} % of the "
            "{length:.0f} mm that yield; more than {budget:g} % is unusual",
            stretch=lasting,
            strain=strain,
            length=length,
            budget=budget.value,
        ),
        question=words(
            "Is each angle counted further, or are they totals? Is the torque before them in the "
            "right unit?"
        ),
        details=(reckoning.surface.words(),),
        numbers={
            "lasting_stretch": (lasting, "mm"),
            "plastic_length": (length, "mm"),
            "plastic_strain": (strain, "%"),
            "budget": (budget.value, budget.unit),
            **reckoning.friction_numbers(),
        },
        source=f"{budget.source}; {ANGLE_SOURCE}",
    )


def _too_loose(number: int, state: State, reckoning: Reckoning) -> Iterator[Finding]:
    clamps, full = np.atleast_1d(state.clamp), reckoning.full_load
    clamp = float(clamps[reckoning.surface.where_it_clamps])
    if full is None or clamp / full >= limit("least_share").part:
        return
    yield under_finding(
        number,
        reckoning,
        clamp,
        words("this angle is little for this fastener"),
        {},
    )
