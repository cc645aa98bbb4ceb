"""Whether a tool can turn: by an angle, loose, or snug without a figure."""

from __future__ import annotations

import datetime as dt

from clampwright.drawer.demand import Demand
from clampwright.drawer.standing import note_direction, note_standing
from clampwright.drawer.suitability import Fitness, Notes
from clampwright.drawer.tools import PLAIN, Adapter, Tool
from clampwright.words import words

# Scores before remarks; our own order of preference, no source. A bar is turned in one pull and
# has no teeth to give way; a wrench that measures both angle and torque tells most.
_MEASURING, _BAR, _RATCHET = 100.0, 90.0, 80.0
_PER_DEGREE = 2.0
_UNEVEN = 10.0


def angle_fitness(
    tool: Tool,
    demand: Demand,
    *,
    today: dt.date,
    gauge: Tool | None = None,
    adapter: Adapter | None = None,
) -> Fitness:
    """Return whether a tool can turn a fastener by an angle.

    Parameters
    ----------
    tool : Tool
    demand : Demand
        With an angle; its torque, where given, is the one expected at the end.
    today : datetime.date
    gauge : Tool, optional
        An angle gauge carried by a bar or ratchet.
    adapter : Adapter, optional
        What the joint's reach asks for between tool and fastener.

    Returns
    -------
    Fitness
    """
    notes = Notes()
    _note_between(notes, adapter)
    if tool.kind == "electronic":
        return _electronic(notes, tool, demand, today)
    if tool.kind in PLAIN:
        return _with_gauge(notes, tool, demand, gauge)
    if tool.kind == "click":
        notes.forbid(
            words(
                "turning an angle is not given to a click wrench: it shows no angle, and past its "
                "click it is loaded beyond its setting; use a bar with an angle gauge"
            )
        )
    elif tool.kind == "angle_gauge":
        notes.forbid(words("an angle gauge needs a bar or ratchet with the same square"))
    else:
        notes.forbid(
            words(
                "it shows no angle, and the torque at the end may pass its range; use a bar with "
                "an angle gauge"
            )
        )
    return notes.result(tool)


def _note_between(notes: Notes, adapter: Adapter | None) -> None:
    """Note that an angle at the handle is another one at the fastener."""
    if adapter is None:
        return
    if adapter.kind == "multiplier":
        notes.forbid(
            words(
                "through {adapter} the handle turns {ratio:g} times as far as the fastener: count "
                "the angle on the fastener itself, by marks",
                adapter=adapter.title,
                ratio=adapter.ratio,
            )
        )
    elif adapter.kind == "universal_joint":
        notes.remark(
            words(
                "bent by {bend:g}° {adapter} turns unevenly: full turns are right, parts of a turn "
                "are not",
                bend=adapter.angle,
                adapter=adapter.title,
            ),
            _UNEVEN,
        )


def _electronic(notes: Notes, tool: Tool, demand: Demand, today: dt.date) -> Fitness:
    if tool.angle is None:
        notes.forbid(words("it does not measure angle"))
        return notes.result(tool)
    note_direction(notes, tool, demand.direction)
    # Angle does not hang on the torque calibration, but a tool nobody looks after is not better
    # at angle: the same rule holds.
    note_standing(notes, tool, demand.harm_level, today)
    largest = tool.largest_torque
    if demand.torque is None:
        notes.remark(
            words("stop when it shows {torque:.4g} N·m: it is made for no more", torque=largest)
        )
    elif demand.torque > largest:
        notes.forbid(
            words(
                "about {torque:.4g} N·m is expected at the end; it is made for {largest:.4g} N·m",
                torque=demand.torque,
                largest=largest,
            )
        )
    _note_angle(notes, tool)
    return notes.result(tool, _MEASURING - _PER_DEGREE * tool.angle.u, u_angle=tool.angle.u)


def _with_gauge(notes: Notes, tool: Tool, demand: Demand, gauge: Tool | None) -> Fitness:
    note_direction(notes, tool, demand.direction)
    if gauge is None or gauge.angle is None:
        notes.forbid(words("it needs an angle gauge with the same square"))
        return notes.result(tool)
    if gauge.drive != tool.drive:
        notes.forbid(
            words(
                "the gauge {gauge} has a {other} square; this tool has {drive}",
                gauge=gauge.title,
                other=gauge.drive,
                drive=tool.drive,
            )
        )
        return notes.result(tool, gauge=gauge)
    notes.remark(words("with {gauge}: set it to zero before each turn", gauge=gauge.title))
    if tool.kind == "ratchet":
        notes.remark(words("take up the play of its teeth before the gauge is set to zero"))
    _note_angle(notes, gauge)
    start = _BAR if tool.kind == "bar" else _RATCHET
    return notes.result(
        tool, start - _PER_DEGREE * gauge.angle.u, gauge=gauge, u_angle=gauge.angle.u
    )


def _note_angle(notes: Notes, tool: Tool) -> None:
    if tool.angle is not None and tool.angle.limit is None:
        notes.remark(
            words(
                "its angle error is not stated; only its step of {step:g}° is counted",
                step=tool.angle.step,
            )
        )


def loosen_fitness(tool: Tool, demand: Demand) -> Fitness:
    """Return whether a tool may loosen.

    Parameters
    ----------
    tool : Tool
    demand : Demand

    Returns
    -------
    Fitness
    """
    notes = Notes()
    if tool.is_wrench:
        notes.forbid(
            words(
                "loosening is not given to a torque wrench: it can take more than the wrench is "
                "made for and upsets its calibration; use a bar"
            )
        )
    elif tool.kind == "angle_gauge":
        notes.forbid(words("it turns nothing by itself"))
    elif demand.angle_deg is not None:
        notes.remark(
            words(
                "mark the fastener and turn it back by {angle:g}°, counting from the mark",
                angle=demand.angle_deg,
            )
        )
    if tool.kind == "ratchet":
        notes.remark(words("break a tight fastener loose with a bar first"))
    return notes.result(tool, _BAR if tool.kind == "bar" else _RATCHET)


def snug_fitness(tool: Tool) -> Fitness:
    """Return whether a tool suits snugging without a stated torque.

    Parameters
    ----------
    tool : Tool

    Returns
    -------
    Fitness
    """
    notes = Notes()
    if tool.is_wrench:
        notes.forbid(words("no torque is stated: the hand or a ratchet does it"))
    elif tool.kind == "angle_gauge":
        notes.forbid(words("it turns nothing by itself"))
    else:
        notes.remark(words("only until the parts touch; no force"))
    # A ratchet runs a nut down; a bar's length invites more force than snug needs.
    return notes.result(tool, _BAR if tool.kind == "ratchet" else _RATCHET)
