"""Figures that fit a fastener only in another unit: every reading with its numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from clampwright.errors import ClampwrightError
from clampwright.procedure.check_finding import Finding
from clampwright.procedure.check_physics import HIGH, LOW, MIDDLE, Reckoning, target_nm
from clampwright.procedure.check_tables import UnitPair, limit, unit_pairs
from clampwright.procedure.check_text import in_words, kilonewtons, written
from clampwright.procedure.stage import Stage
from clampwright.units import convert, format_quantity, parse_quantity
from clampwright.words import Words, words


@dataclass(frozen=True, slots=True)
class Reading:
    """A figure read in another unit.

    Parameters
    ----------
    value : float
        As written.
    unit : str
        The unit it may have been meant in.
    torque : float
        N·m.
    pair : UnitPair
    """

    value: float
    unit: str
    torque: float
    pair: UnitPair


def other_readings(stage: Stage, reckoning: Reckoning) -> tuple[Reading, ...]:
    """Return the units in which the figure of a stage would be plausible.

    Parameters
    ----------
    stage : Stage
    reckoning : Reckoning
        With a known strength.

    Returns
    -------
    tuple of Reading
    """
    figure = _figure_as_written(stage)
    if figure is None:
        return ()
    value, unit = figure
    readings = (
        Reading(value, pair.meant, convert(value, pair.meant, "N·m"), pair)
        for pair in unit_pairs()
        if pair.written == unit
    )
    return tuple(one for one in readings if _plausible(one.torque, stage, reckoning))


def _figure_as_written(stage: Stage) -> tuple[float, str] | None:
    """Return the figure and the unit a person wrote, before multiples were brought to N·m."""
    if stage.as_written:
        try:
            quantity = parse_quantity(stage.as_written, "torque")
        except ClampwrightError:
            pass  # it holds more than a figure; the stage's own unit is what the text states then
        else:
            return float(quantity.written_value), quantity.written_unit
    value = stage.value if stage.value is not None else stage.tolerance_high
    value = stage.tolerance_low if value is None else value
    return None if value is None or stage.unit is None else (value, stage.unit)


def _plausible(torque: float, stage: Stage, reckoning: Reckoning) -> bool:
    driving = reckoning.driving(torque, plus_running=stage.plus_running_torque)
    if driving <= 0.0:
        return False
    share = reckoning.share(driving)
    low, high = limit("reading_low").part, limit("reading_high").part
    if reckoning.surface.stated:
        return bool(low <= share[MIDDLE] <= high and not reckoning.yields(driving)[MIDDLE])
    # Some friction within the range must make it fit.
    return bool(share[HIGH] <= high and share[LOW] >= low and not reckoning.yields(driving)[HIGH])


def unit_findings(number: int, stage: Stage, reckoning: Reckoning) -> Iterator[Finding]:
    """Yield the question after the unit, where the figure fits only in another one.

    Parameters
    ----------
    number : int
        Of the stage.
    stage : Stage
        One whose figure is implausible as it stands.
    reckoning : Reckoning
        With a known strength.

    Yields
    ------
    Finding
    """
    readings = other_readings(stage, reckoning)
    target = target_nm(stage)
    if not readings or target is None:
        return
    as_given = reading_words(written(stage), target, stage, reckoning)
    others = [
        reading_words(format_quantity(one.value, one.unit), one.torque, stage, reckoning)
        for one in readings
    ]
    yield Finding(
        "unit_mix_up",
        "stop",
        number,
        words(
            "{torque} fits this fastener only in another unit: {units}",
            torque=written(stage),
            units=", ".join(one.unit for one in readings),
        ),
        question=words(
            "Is the unit {unit}, or one of these: {units}? Look at the manual's own unit column, "
            "not at a conversion, and at the other stages too",
            unit=stage.unit or "",
            units=", ".join(one.unit for one in readings),
        ),
        details=(as_given, *others),
        numbers={
            "as_written": (target, "N·m"),
            **{f"as {one.unit}": (one.torque, "N·m") for one in readings},
            **reckoning.friction_numbers(),
        },
        source="; ".join(one.pair.source for one in readings),
    )


def reading_words(figure: str, torque: float, stage: Stage, reckoning: Reckoning) -> Words:
    """Say what a figure would do to the fastener if it were meant so.

    Parameters
    ----------
    figure : str
        The figure with its unit.
    torque : float
        N·m.
    stage : Stage
    reckoning : Reckoning

    Returns
    -------
    Words
    """
    driving = reckoning.driving(torque, plus_running=stage.plus_running_torque)
    shown = figure if figure.endswith("N·m") else f"{figure} = {in_words(torque, 'N·m')}"
    place = reckoning.surface.where_it_holds
    if reckoning.yields(driving)[place]:
        return words(
            "as {figure}: yields, from {limit} on",
            figure=shown,
            limit=in_words(reckoning.yield_at(place), "N·m"),
        )
    clamp, share = reckoning.clamp(driving), 100 * reckoning.share(driving)
    low, high = kilonewtons(float(clamp[HIGH])), kilonewtons(float(clamp[LOW]))
    if reckoning.fastening.proof_load is None:
        return words(
            "as {figure}: {low} to {high}, {low_share:.0f} to {high_share:.0f} % of yield load",
            figure=shown,
            low=low,
            high=high,
            low_share=float(share[HIGH]),
            high_share=float(share[LOW]),
        )
    return words(
        "as {figure}: {low} to {high}, {low_share:.0f} to {high_share:.0f} % of proof load",
        figure=shown,
        low=low,
        high=high,
        low_share=float(share[HIGH]),
        high_share=float(share[LOW]),
    )
