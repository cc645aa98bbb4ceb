"""What is said for and against a wrench at a torque: range, marks, unit, trust, limits."""

from __future__ import annotations

import datetime as dt
import math

from clampwright.drawer.demand import Demand
from clampwright.drawer.settings import Wanted
from clampwright.drawer.standing import DOUBT, note_direction, note_standing
from clampwright.drawer.suitability import Notes
from clampwright.drawer.tools import FIFTH, Adapter, Scale, Tool
from clampwright.drawer.trust import Lever, Trust, lever_of
from clampwright.errors import ClampwrightError
from clampwright.words import words

BEST_FROM, BEST_TO = 0.3, 0.8
"""Best part of the range, as parts of its highest value: US Army TM 1-1500-204-23-9, para 8-3."""
COARSEST = 0.1
"""Largest graduation, as part of the value: same paragraph."""

# What a remark takes off the score of a usable tool, in hundredths of the best. Our own order of
# preference, no source: a unit to convert weighs more than the edge of the range.
FOREIGN_UNIT, LOW, EDGE, WIDE = 8.0, 10.0, 5.0, 10.0
PER_PERCENT = 5.0
"""The same for each percent of uncertainty or of what the mark costs."""


def common_ground(
    notes: Notes,
    tool: Tool,
    demand: Demand,
    *,
    today: dt.date,
    adapter: Adapter | None,
    hand: float | None,
) -> Lever | None:
    """Note what holds whatever the value.

    Parameters
    ----------
    notes : Notes
    tool : Tool
    demand : Demand
    today : datetime.date
    adapter : Adapter or None
    hand : float or None
        mm from the square.

    Returns
    -------
    Lever or None
        None when the tool is out already.
    """
    if not tool.is_wrench:
        notes.forbid(words("it shows no torque"))
        return None
    note_direction(notes, tool, demand.direction)
    note_standing(notes, tool, demand.harm_level, today)
    try:
        return lever_of(tool, adapter, hand)
    except ClampwrightError as error:
        notes.forbid(error.message)
        return None


def note_unit(notes: Notes, scale: Scale, demand: Demand) -> None:
    """Note a scale in another unit than the procedure's."""
    if scale.unit != demand.unit:
        notes.remark(
            words(
                "its scale is in {scale}, the procedure in {unit}: use the figure given here, "
                "and have it read back",
                scale=scale.unit,
                unit=demand.unit,
            ),
            FOREIGN_UNIT,
        )


def note_graduation(notes: Notes, scale: Scale, value: float, demand: Demand) -> None:
    """Note marks too far apart for the value (in the scale's unit)."""
    if scale.step > COARSEST * value * (1 + 1e-9):
        notes.doubt(
            words(
                "its marks are too coarse: one step of {step:g} {unit} is more than a tenth of "
                "{value:.4g}",
                step=scale.step,
                unit=scale.unit,
                value=value,
            ),
            DOUBT,
            forbidding=demand.harm_level <= 2,
        )


def note_range(notes: Notes, scale: Scale, value: float, trust: Trust) -> None:
    """Note in which part of its range the scale is used (value in its unit)."""
    part = value / scale.high
    percent = 100 * part
    if part < FIFTH and trust.deviation is None:
        notes.remark(
            words(
                "{percent:.0f} % of its range: low, some standards claim nothing below a fifth",
                percent=percent,
            ),
            LOW,
        )
    elif part < FIFTH:
        notes.remark(
            words("{percent:.0f} % of its range: low, but calibrated there", percent=percent), LOW
        )
    elif BEST_FROM <= part <= BEST_TO:
        notes.remark(words("{percent:.0f} % of its range: in the best part", percent=percent))
    else:
        notes.remark(
            words("{percent:.0f} % of its range: it is best from 30 to 80 %", percent=percent),
            EDGE,
        )


def note_trust(notes: Notes, trust: Trust, demand: Demand) -> None:
    """Note what is known of the wrench at this setting, and whether it is too far off."""
    if trust.deviation is None:
        notes.remark(trust.words())
        return
    more = (trust.reference / trust.indicated - 1) * 100
    if more >= 0.05:
        notes.remark(
            words(
                "known from its calibration: it gives {more:.1f} % more than it shows; allowed for",
                more=more,
            )
        )
    elif more <= -0.05:
        notes.remark(
            words(
                "known from its calibration: it gives {less:.1f} % less than it shows; allowed for",
                less=-more,
            )
        )
    if abs(trust.deviation) > trust.limit:
        notes.doubt(
            words(
                "its deviation of {deviation:+.1f} % is beyond the permissible ±{limit:g} % "
                "(ISO 6789-1, from memory): have it adjusted",
                deviation=trust.deviation,
                limit=trust.limit,
            ),
            DOUBT,
            forbidding=demand.harm_level == 1,
        )


def note_limits(notes: Notes, wanted: Wanted, u_rel: float) -> None:
    """Note limits of the stage that are narrower than one pull is known."""
    if wanted.low is None or wanted.high is None:
        return
    allowed = (wanted.high - wanted.low) / 2 / wanted.torque
    if 2 * u_rel > allowed:
        notes.remark(
            words(
                "the stage allows ±{allowed:.1f} %, one pull with it is only known to "
                "±{known:.1f} %",
                allowed=100 * allowed,
                known=200 * u_rel,
            ),
            WIDE,
        )


def note_adapter(notes: Notes, lever: Lever, demand: Demand) -> None:
    """Note what an adapter does, where the hand must be, and what it is made for."""
    adapter = lever.adapter
    if adapter is None:
        return
    torque = demand.reference_torque
    if adapter.highest is not None and torque is not None and torque > adapter.highest:
        notes.forbid(
            words(
                "{adapter} is made for {highest:.4g} N·m; {torque:.4g} N·m is asked for",
                adapter=adapter.title,
                highest=adapter.highest,
                torque=torque,
            )
        )
    if adapter.kind == "multiplier":
        notes.remark(
            words(
                "through {adapter} the fastener gets {gain:.3g} times what the wrench gives, known "
                "to ±{known:.1f} % (twice its standard uncertainty); its arm needs a firm rest",
                adapter=adapter.title,
                gain=adapter.gain,
                known=200 * adapter.u_gain,
            )
        )
    elif adapter.kind == "universal_joint":
        notes.remark(
            words(
                "bent by {bend:g}° {adapter} passes on anything from {low:.3g} to {high:.3g} times "
                "the torque: keep it straight where you can",
                bend=adapter.angle,
                adapter=adapter.title,
                low=math.cos(math.radians(adapter.angle)),
                high=1 / math.cos(math.radians(adapter.angle)),
            )
        )
    elif lever.hand is not None:
        notes.remark(
            words(
                "with {adapter} the fastener gets {ratio:.3g} times what the wrench shows: pull at "
                "{hand:g} mm from its square, nowhere else",
                adapter=adapter.title,
                ratio=lever.ratio,
                hand=lever.hand,
            )
        )
