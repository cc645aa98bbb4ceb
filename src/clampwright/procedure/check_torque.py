"""Torque stages against the fastener: over yield, under a tenth of proof load, another unit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from clampwright.procedure.check_finding import Finding, Severity
from clampwright.procedure.check_physics import (
    HIGH,
    LOW,
    MIDDLE,
    Reckoning,
    peak_nm,
    target_nm,
)
from clampwright.procedure.check_tables import limit
from clampwright.procedure.check_text import in_words, kilonewtons, written
from clampwright.procedure.check_units import unit_findings
from clampwright.procedure.stage import Stage
from clampwright.words import Words, words

YIELD_SOURCE = (
    "onset of yield with plastic torsion: VDI 2230-1, 2001 and later, from memory; "
    "torque by the long form (Motosh 1976, from memory)"
)


def torque_findings(
    number: int, stage: Stage, reckoning: Reckoning, *, final: bool, exempt: bool
) -> Iterator[Finding]:
    """Yield what the torque of a stage gives to ask.

    Parameters
    ----------
    number : int
        Of the stage, counted from 1.
    stage : Stage
        Of kind ``torque``.
    reckoning : Reckoning
        With a known strength.
    final : bool
        Whether it leaves the fastener as it will be.
    exempt : bool
        Whether too little clamp load is of no concern (bearing settings, plugs, filters).

    Yields
    ------
    Finding
    """
    target = target_nm(stage)
    if target is None:
        return
    driving = reckoning.driving(target, plus_running=stage.plus_running_torque)
    if driving <= 0.0 and not exempt:
        yield _under_running(number, stage, reckoning)
        return
    over = _over_yield(number, stage, reckoning, driving)
    under = None
    if final and not exempt:
        under = _under(number, stage, reckoning, driving)
    for found in (over, under):
        if found is not None:
            yield found
            if found.code in {"over_yield", "under_proof_share"}:
                yield from unit_findings(number, stage, reckoning)


def recheck_findings(
    stages: Sequence[tuple[int, Stage]], reckoning: Reckoning
) -> Iterator[Finding]:
    """Yield checks that would turn on a fastener which its torque has already yielded.

    Parameters
    ----------
    stages : sequence of (int, Stage)
        In working order.
    reckoning : Reckoning
        With a known strength.

    Yields
    ------
    Finding
    """
    yielded: tuple[int, Stage] | None = None
    place = reckoning.surface.where_it_holds
    for number, stage in stages:
        if stage.kind in {"loosen", "back_off_then"}:
            yielded = None
        torque = target_nm(stage)
        if stage.kind == "torque" and torque is not None:
            driving = reckoning.driving(torque, plus_running=stage.plus_running_torque)
            if reckoning.yields(driving)[place]:
                yielded = (number, stage)
        elif yielded and stage.kind == "torque_check" and stage.check in {None, "re_check"}:
            yield Finding(
                "turned_on_after_yield",
                "ask",
                number,
                words(
                    "stage {earlier} ({torque}) yields the fastener; checking its torque again "
                    "turns it on, past what it was given",
                    earlier=yielded[0],
                    torque=written(yielded[1]),
                ),
                question=words(
                    "Does the manual really ask for a check by turning on? A mark across fastener "
                    "and part shows movement without touching it"
                ),
                details=(reckoning.surface.words(),),
                numbers={"yield_torque": (reckoning.yield_at(place), "N·m")},
                source="common practice, no source: never check or tighten a yield-tightened "
                f"fastener by turning it on; {YIELD_SOURCE}",
            )


def _over_yield(number: int, stage: Stage, reckoning: Reckoning, driving: float) -> Finding | None:
    yields, place = reckoning.yields(driving), reckoning.surface.where_it_holds
    if yields[place]:
        message = _yield_words(stage, reckoning, sure=bool(yields[HIGH]))
        return _yield_finding(
            number, stage, reckoning, code="over_yield", severity="stop", message=message
        )
    peak = peak_nm(stage) or 0.0
    at_peak = reckoning.yields(reckoning.driving(peak, plus_running=stage.plus_running_torque))
    if at_peak[place]:
        message = words(
            "its upper limit of {peak} would yield the fastener, which begins to yield at {limit}",
            peak=in_words(peak, stage.unit),
            limit=in_words(reckoning.yield_at(place), stage.unit),
        )
        return _yield_finding(
            number, stage, reckoning, code="over_yield", severity="ask", message=message
        )
    if reckoning.surface.stated and yields[LOW]:
        message = words(
            "{torque} would yield the fastener where friction is low: at {mu:.2f} it begins to "
            "yield at {limit}, at {middle:.2f} only at {middle_limit}",
            torque=written(stage),
            mu=float(reckoning.mu[LOW]),
            limit=in_words(reckoning.yield_at(LOW), stage.unit),
            middle=float(reckoning.mu[MIDDLE]),
            middle_limit=in_words(reckoning.yield_at(MIDDLE), stage.unit),
        )
        return _yield_finding(
            number, stage, reckoning, code="yield_if_slippery", severity="note", message=message
        )
    return None


def _yield_words(stage: Stage, reckoning: Reckoning, *, sure: bool) -> Words:
    place = HIGH if sure else MIDDLE
    limit_text = in_words(reckoning.yield_at(place), stage.unit)
    if sure:
        return words(
            "{torque} would yield the fastener over the whole range: even at friction {mu:.2f} "
            "it begins to yield at {limit}",
            torque=written(stage),
            mu=float(reckoning.mu[place]),
            limit=limit_text,
        )
    return words(
        "{torque} would yield the fastener at middling friction, {mu:.2f}: it begins to yield at "
        "{limit}; only with more friction it would not",
        torque=written(stage),
        mu=float(reckoning.mu[place]),
        limit=limit_text,
    )


def _yield_finding(
    number: int,
    stage: Stage,
    reckoning: Reckoning,
    *,
    code: str,
    severity: Severity,
    message: Words,
) -> Finding:
    return Finding(
        code,
        severity,
        number,
        message,
        question=words(
            "Are figure, unit, thread, strength class and surface those of the manual? If the "
            "fastener is meant to yield, the manual says so and usually gives an angle"
        ),
        details=(reckoning.surface.words(),),
        numbers={
            "torque": (peak_nm(stage) or 0.0, "N·m"),
            "yield_torque_low_friction": (reckoning.yield_at(LOW), "N·m"),
            "yield_torque_typical": (reckoning.yield_at(MIDDLE), "N·m"),
            "yield_torque_high_friction": (reckoning.yield_at(HIGH), "N·m"),
            **reckoning.friction_numbers(),
        },
        source=f"{YIELD_SOURCE}; friction: {reckoning.surface.source}",
    )


def _under(number: int, stage: Stage, reckoning: Reckoning, driving: float) -> Finding | None:
    place = reckoning.surface.where_it_clamps
    share, least = reckoning.share(driving), limit("least_share")
    if not share[place] < least.part:
        return None
    clamp = reckoning.clamp(driving)
    return under_finding(
        number,
        reckoning,
        float(clamp[place]),
        words("{torque} is little for this fastener", torque=written(stage)),
        {"torque": (target_nm(stage) or 0.0, "N·m")},
    )


def under_finding(
    number: int,
    reckoning: Reckoning,
    clamp: float,
    message: Words,
    numbers: dict[str, tuple[float, str]],
) -> Finding:
    """Return the finding that a final stage clamps too little.

    Parameters
    ----------
    number : int
        Of the stage.
    reckoning : Reckoning
    clamp : float
        N.
    message : Words
    numbers : dict
        The figures of the stage itself.

    Returns
    -------
    Finding
    """
    full, least = reckoning.full_load or 0.0, limit("least_share")
    return Finding(
        "under_proof_share",
        "ask",
        number,
        message,
        question=words(
            "Is this the final figure, in the right unit, and is a stage missing after it?"
        ),
        details=(_share_words(clamp, reckoning), reckoning.surface.words()),
        numbers={
            **numbers,
            "clamp_load": (clamp, "N"),
            "full_load": (full, "N"),
            "share": (100 * clamp / full, "%"),
            "least_share": (least.value, least.unit),
            **reckoning.friction_numbers(),
        },
        source=f"{least.source}; friction: {reckoning.surface.source}",
    )


def _share_words(clamp: float, reckoning: Reckoning) -> Words:
    full = reckoning.full_load or 0.0
    if reckoning.fastening.proof_load is None:
        return words(
            "it leaves {clamp}, {share:.1f} % of the yield load of {load} (no proof load is known)",
            clamp=kilonewtons(clamp),
            share=100 * clamp / full,
            load=kilonewtons(full),
        )
    return words(
        "it leaves {clamp}, {share:.1f} % of the proof load of {load}",
        clamp=kilonewtons(clamp),
        share=100 * clamp / full,
        load=kilonewtons(full),
    )


def _under_running(number: int, stage: Stage, reckoning: Reckoning) -> Finding:
    running = reckoning.fastening.prevailing_torque
    return Finding(
        "under_running_torque",
        "stop",
        number,
        words(
            "{torque} does not even turn the fastener, whose running torque is {running}",
            torque=written(stage),
            running=in_words(running, stage.unit),
        ),
        question=words("Is the running torque to be added to the figure?"),
        numbers={
            "torque": (target_nm(stage) or 0.0, "N·m"),
            "running_torque": (running, "N·m"),
        },
        source="derived: the running torque creates no clamp load",
    )
