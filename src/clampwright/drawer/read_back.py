"""What a second person reads off the scale, compared with what was to be set."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.drawer.settings import Setting
from clampwright.drawer.tools import Tool
from clampwright.errors import OutOfRange
from clampwright.units import factor
from clampwright.words import Words, words

_CLOSE = 1e-6


@dataclass(frozen=True, slots=True)
class ReadBack:
    """The comparison of two readings of one setting.

    Parameters
    ----------
    wanted, read : float
        On their scales.
    wanted_unit, unit : str
    agrees : bool
    words : Words
        What to do.
    """

    wanted: float
    read: float
    wanted_unit: str
    unit: str
    agrees: bool
    words: Words


def compare_read_back(tool: Tool, setting: Setting, read: float, unit: str) -> ReadBack:
    """Compare what a second person read with what was to be set.

    Parameters
    ----------
    tool : Tool
    setting : Setting
        What the first person was told to set.
    read : float
        What the second person read, in `unit`.
    unit : str
        Canonical name of the scale's unit they read.

    Returns
    -------
    ReadBack

    Raises
    ------
    OutOfRange
        When the scale has no such value.
    Refused
        When the tool has no scale in that unit.

    Notes
    -----
    Half a settable step is allowed, the most that two good readings of one mark can differ by
    (common practice, no source).

    Examples
    --------
    >>> from clampwright.drawer.settings import setting
    >>> from clampwright.drawer.tools import Scale
    >>> marks = (Scale("ft·lbf", 20, 150, 10, 1), Scale("N·m", 30, 200, 10, 2))
    >>> wrench = Tool("c", "Click", "click", "1/2 in", marks)
    >>> print(compare_read_back(wrench, setting(wrench, 90.0), 90.0, "ft·lbf").words)
    read in another unit: 90 ft·lbf would be 122 N·m; 90 N·m was to be set. Set it again
    """
    scale = tool.scale(unit)
    if not scale.low - _CLOSE <= read <= scale.high + _CLOSE:
        raise OutOfRange(
            words(
                "{read:g} {unit} cannot stand on {tool}: its scale goes from {low:g} to {high:g}",
                read=read,
                unit=unit,
                tool=tool.title,
                low=scale.low,
                high=scale.high,
            ),
            value=read,
            low=scale.low,
            high=scale.high,
        )
    own = setting.scale
    on_own = read * factor(unit, own.unit)
    room = max(tool.settable_step(own), tool.settable_step(scale) * factor(unit, own.unit)) / 2
    room = room or _CLOSE * own.high
    agrees = abs(on_own - setting.value) <= room * (1 + _CLOSE)
    return ReadBack(
        setting.value, read, own.unit, unit, agrees, _told(setting, read, unit, agrees=agrees)
    )


def _told(setting: Setting, read: float, unit: str, *, agrees: bool) -> Words:
    own = setting.scale
    on_own = read * factor(unit, own.unit)
    if agrees:
        return words("both read the same: {value}", value=own.text(setting.value))
    if unit != own.unit:
        return words(
            "read in another unit: {read:g} {unit} would be {other:.4g} {own}; {value} was to be "
            "set. Set it again",
            read=read,
            unit=unit,
            other=on_own,
            own=own.unit,
            value=own.text(setting.value),
        )
    off = round(on_own - setting.value, 9)
    whole = round(off / own.main_step)
    if whole and abs(off - whole * own.main_step) <= own.step / 2:
        return words(
            "off by {count} whole main marks: {read} was read, {value} was to be set. Look which "
            "main mark the edge stands on",
            count=abs(whole),
            read=own.text(read),
            value=own.text(setting.value),
        )
    return words(
        "they differ: {read} was read, {value} was to be set. Set it again, and let it be read "
        "again",
        read=own.text(read),
        value=own.text(setting.value),
    )
