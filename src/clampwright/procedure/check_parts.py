"""What the clamp load does to the parts: threads that strip, a face the head sinks into.

Both are judged by the largest clamp load a fastener sees in all its stages, and as everywhere in
the check a finding needs the friction that speaks against it (see `check_physics.Surface`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint.engagement import effective_length
from clampwright.joint.pressure import bearing_pressure
from clampwright.joint.stripping import (
    STEEL_SHEAR,
    Stripping,
    bolt_shear_area,
    nut_shear_area,
    stripping,
)
from clampwright.joint.thread_limits import weakest_limits
from clampwright.procedure.check_angle import Numbered, steps_of
from clampwright.procedure.check_finding import Finding
from clampwright.procedure.check_physics import LOW, Reckoning
from clampwright.procedure.check_text import kilonewtons
from clampwright.standards import PressureLimit
from clampwright.words import words

STRIP_SOURCE = (
    "thread stripping: Alexander, SAE 770420 (1977), and VDI 2230-1, from memory; sizes at the "
    "weak end of 6g/6H, ISO 965-1, from memory"
)


@dataclass(frozen=True, slots=True)
class Engagement:
    """The thread the fastener is screwed into.

    Parameters
    ----------
    length : float
        Engaged length with its chamfers, mm.
    strength : float
        Tensile strength of the nut or of the tapped part, MPa.
    shear_ratio : float
        Shear strength over tensile strength of that part.
    width_ratio : float or None
        Width across flats of a nut over the thread's diameter; None for a tapped hole.
    """

    length: float
    strength: float
    shear_ratio: float = STEEL_SHEAR
    width_ratio: float | None = None


@dataclass(frozen=True, slots=True)
class Parts:
    """What is known of the parts around a fastener.

    Parameters
    ----------
    engagement : Engagement or None
    under_head : PressureLimit or None
        What the material under the head or nut bears.
    tapped : bool
        Whether the fastener is known to go into a tapped hole.
    """

    engagement: Engagement | None = None
    under_head: PressureLimit | None = None
    tapped: bool = False


@dataclass(frozen=True, slots=True)
class Largest:
    """The largest clamp load of a group of fasteners.

    Parameters
    ----------
    number : int
        Of the stage that brings it, counted from 1.
    clamp : ndarray
        N, at low, middle and high friction.
    """

    number: int
    clamp: NDArray[np.float64]


def parts_findings(
    stages: Sequence[Numbered], reckoning: Reckoning, parts: Parts
) -> Iterator[Finding]:
    """Yield what the clamp load gives to ask of the parts.

    Parameters
    ----------
    stages : sequence of (int, Stage)
        All stages a fastener goes through, in working order.
    reckoning : Reckoning
        With a known strength.
    parts : Parts

    Yields
    ------
    Finding
    """
    largest = largest_clamp(stages, reckoning)
    if largest is None:
        return
    if parts.engagement is not None:
        yield from _threads(largest, reckoning, parts.engagement)
    elif parts.tapped:
        yield _engagement_not_known()
    if parts.under_head is not None:
        yield from _pressure(largest, reckoning, parts.under_head)


def largest_clamp(stages: Sequence[Numbered], reckoning: Reckoning) -> Largest | None:
    """Return the largest clamp load of the stages; None where none can be reckoned.

    Parameters
    ----------
    stages : sequence of (int, Stage)
    reckoning : Reckoning

    Returns
    -------
    Largest or None
    """
    numbers, steps = steps_of(stages, reckoning)
    try:
        states = reckoning.follow(steps)
    except Missing:  # an angle without a clamp rate: what comes before it still counts
        angles = [at for at, step in enumerate(steps) if step.kind == "angle"]
        cut = angles[0] if angles else 0
        numbers, states = numbers[:cut], reckoning.follow(steps[:cut])
    place = reckoning.surface.where_it_holds
    found: Largest | None = None
    for number, state in zip(numbers, states, strict=True):
        clamp = np.broadcast_to(np.asarray(state.clamp, float), reckoning.mu.shape)
        if found is None or clamp[place] > found.clamp[place]:
            found = Largest(number, clamp)
    return found


def _strips(reckoning: Reckoning, engagement: Engagement) -> Stripping:
    bolt = reckoning.fastening
    size = weakest_limits(d=bolt.d, P=bolt.P)
    length = effective_length(engagement.length, P=bolt.P)
    if bolt.tensile_strength is None:
        raise Missing(words("the tensile strength is not known"), needed="strength")
    return stripping(
        bolt_area=bolt_shear_area(length, P=bolt.P, D1=size.D1_max, d2=size.d2_min),
        nut_area=nut_shear_area(length, P=bolt.P, d=size.d_min, D2=size.D2_max),
        stress_area=bolt.stress_area,
        bolt_strength=bolt.tensile_strength,
        nut_strength=engagement.strength,
        width_ratio=engagement.width_ratio,
        nut_shear=engagement.shear_ratio,
    )


def _threads(largest: Largest, reckoning: Reckoning, engagement: Engagement) -> Iterator[Finding]:
    try:
        found = _strips(reckoning, engagement)
    except ClampwrightError as error:
        yield Finding(
            "stripping_not_checked",
            "note",
            largest.number,
            words("whether the threads strip cannot be reckoned: {why}", why=error.message),
            source=STRIP_SOURCE,
        )
        return
    holds = min(float(found.bolt_thread), float(found.nut_thread))
    clamp = float(largest.clamp[reckoning.surface.where_it_holds])
    which = (
        words("the thread of the nut or hole")
        if float(found.nut_thread) <= float(found.bolt_thread)
        else words("the thread of the bolt")
    )
    numbers = {
        "clamp_load": (clamp, "N"),
        "bolt_thread_strips_at": (float(found.bolt_thread), "N"),
        "nut_thread_strips_at": (float(found.nut_thread), "N"),
        "bolt_breaks_at": (float(found.bolt), "N"),
        "engaged_length": (engagement.length, "mm"),
        **reckoning.friction_numbers(),
    }
    if clamp >= holds:
        yield Finding(
            "thread_strips",
            "stop",
            largest.number,
            words(
                "{which} strips at {holds}; this stage brings {clamp}",
                which=str(which),
                holds=kilonewtons(holds),
                clamp=kilonewtons(clamp),
            ),
            question=words(
                "Are engaged length and material right, and the figure and its unit those of the "
                "manual?"
            ),
            details=(reckoning.surface.words(),),
            numbers=numbers,
            source=f"{STRIP_SOURCE}; friction: {reckoning.surface.source}",
        )
    elif holds < float(found.bolt):
        yield Finding(
            "thread_weaker_than_bolt",
            "note",
            largest.number,
            words(
                "{which} strips at {holds}, before the bolt breaks at {bolt}: overdone, it fails "
                "unseen",
                which=str(which),
                holds=kilonewtons(holds),
                bolt=kilonewtons(float(found.bolt)),
            ),
            question=words("Is the whole thread engaged, and is a thread insert called for?"),
            numbers=numbers,
            source=STRIP_SOURCE,
        )


def _engagement_not_known() -> Finding:
    return Finding(
        "stripping_not_checked",
        "note",
        None,
        words("the tapped hole's engaged length and strength are not known: stripping unchecked"),
        question=words(
            "How deep does the thread engage, and in which material? Add an engagement table"
        ),
        source="a limit of this check",
    )


def _pressure(largest: Largest, reckoning: Reckoning, material: PressureLimit) -> Iterator[Finding]:
    bolt = reckoning.fastening
    pressure = np.asarray(
        bearing_pressure(largest.clamp, bearing_outer=bolt.bearing_outer, hole=bolt.bearing_inner),
        float,
    )
    at, low = float(pressure[reckoning.surface.where_it_holds]), float(pressure[LOW])
    sure = at > material.limit
    if not sure and not (reckoning.surface.stated and low > material.limit):
        return
    shown = at if sure else low
    yield Finding(
        "sinks_in",
        "ask" if sure else "note",
        largest.number,
        words(
            "the head or nut presses with {pressure:.0f} MPa; {material} bears {limit:.0f} MPa",
            pressure=shown,
            material=material.material,
            limit=material.limit,
        )
        if sure
        else words(
            "where friction is low, {mu:.2f}, the head or nut presses with {pressure:.0f} MPa; "
            "{material} bears {limit:.0f} MPa",
            mu=float(reckoning.mu[LOW]),
            pressure=shown,
            material=material.material,
            limit=material.limit,
        ),
        question=words("Does a hardened washer belong under it, or a flanged head?"),
        details=(reckoning.surface.words(),),
        numbers={
            "pressure": (shown, "MPa"),
            "limit": (material.limit, "MPa"),
            **reckoning.friction_numbers(),
        },
        source=f"mean pressure, VDI 2230-1; limit: {material.source}",
    )
