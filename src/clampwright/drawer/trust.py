"""How far a wrench can be trusted at one setting: its deviation, and what stays uncertain."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from clampwright.drawer.calibration import Direction, Known, reference_of
from clampwright.drawer.leverage import fastener_ratio, grip_uncertainty
from clampwright.drawer.permissible import CLASS_OF_KIND, permissible_deviation
from clampwright.drawer.tools import Adapter, Scale, Tool
from clampwright.errors import Missing, Refused
from clampwright.words import Words, words

Basis = Literal["certificate", "beyond points", "other direction", "limit", "event"]


@dataclass(frozen=True, slots=True)
class Trust:
    """What is known about a wrench at one setting.

    Parameters
    ----------
    indicated : float
        What it shows or is set to, N·m.
    reference : float
        What it then gives at its square, N·m, as far as known.
    deviation : float or None
        a_s, percent; None when not known (then `reference` equals `indicated`).
    u_rel : float
        Relative standard uncertainty without the reading of the scale, as a fraction.
    basis : str
        ``certificate``; else the permissible limit, because the setting lies ``beyond points``,
        only the ``other direction`` was calibrated, or there are no points (``limit``);
        ``event`` where the certificate is followed but something happened since.
    limit : float
        The permissible limit that was used or stands behind it, percent.
    """

    indicated: float
    reference: float
    deviation: float | None
    u_rel: float
    basis: Basis
    limit: float

    def words(self) -> Words:
        """Say what the uncertainty rests on."""
        if self.basis == "certificate":
            return words("uncertainty from its calibration")
        if self.basis == "event":
            return words(
                "something happened to it since its calibration: taken as anywhere within "
                "±{limit:g} % of what its certificate says",
                limit=self.limit,
            )
        if self.basis == "beyond points":
            return words(
                "it was not calibrated near this value: taken as anywhere within ±{limit:g} %",
                limit=self.limit,
            )
        if self.basis == "other direction":
            return words(
                "it was not calibrated in this direction: taken as anywhere within ±{limit:g} %",
                limit=self.limit,
            )
        return words(
            "no calibration points are known: taken as anywhere within ±{limit:g} % "
            "(ISO 6789-1, from memory)",
            limit=self.limit,
        )


def permissible_for(tool: Tool) -> float:
    """Return the permissible deviation of a wrench by class and largest torque, percent."""
    tool_type, letter = tool.iso_class or CLASS_OF_KIND[tool.kind]
    return permissible_deviation(tool_type, letter, largest_torque=tool.largest_torque)


def trust_when_showing(tool: Tool, indicated: float, direction: Direction) -> Trust:
    """Return what a wrench gives when it shows or is set to a torque.

    Parameters
    ----------
    tool : Tool
        A wrench.
    indicated : float
        N·m.
    direction : str

    Returns
    -------
    Trust
    """
    known = tool.calibration.at(indicated, direction) if tool.calibration else None
    return _trust(tool, known, indicated, direction)


def trust_when_wanting(tool: Tool, reference: float, direction: Direction) -> Trust:
    """Return what a wrench must show to give a torque at its square.

    Parameters
    ----------
    tool : Tool
        A wrench.
    reference : float
        Wanted at the square, N·m.
    direction : str

    Returns
    -------
    Trust
    """
    known = tool.calibration.setting_for(reference, direction) if tool.calibration else None
    return _trust(tool, known, reference, direction)


def _trust(tool: Tool, known: Known | None, shown: float, direction: Direction) -> Trust:
    limit = permissible_for(tool)
    if known is not None:
        given = reference_of(known.torque, known.deviation)
        u_rel = _with_hand(tool, known.u_rel)
        strayed = max((event.rule.spread for event in tool.doubts), default=0.0) * limit
        if strayed > 0.0:
            u_rel = math.hypot(u_rel, strayed / 100 / math.sqrt(3))
            return Trust(known.torque, given, known.deviation, u_rel, "event", strayed)
        return Trust(known.torque, given, known.deviation, u_rel, "certificate", limit)
    points = tool.calibration.points if tool.calibration else ()
    # A wrench known to be worse than the standard allows is not better where nobody looked.
    limit = max(limit, *(abs(p.deviation) + 200 * p.u_rel for p in points), 0.0)
    basis: Basis = "limit"
    if tool.calibration and points:
        same = tool.calibration.in_direction(direction)
        basis = "beyond points" if same else "other direction"
    u_rel = _with_hand(tool, limit / 100 / math.sqrt(3))
    return Trust(shown, shown, None, u_rel, basis, limit)


def _with_hand(tool: Tool, u_rel: float) -> float:
    """Add the scatter of single pulls; of the mean it would be smaller, but a pull is single."""
    return math.hypot(u_rel, tool.repeatability / 100) if tool.repeatability else u_rel


def resolution_uncertainty(resolution: float, value: float) -> float:
    """Return the relative standard uncertainty from the step of a scale or display.

    Parameters
    ----------
    resolution : float
        Full width of the step that can be read or set.
    value : float
        The value read, same unit, above zero.

    Returns
    -------
    float
        Rectangular: ``r / (2 √3) / X`` (ISO 6789-2:2017 clause 6.2.1, from memory).

    Examples
    --------
    >>> round(100 * resolution_uncertainty(0.5, 20.16), 6)
    0.71596
    """
    return resolution / (2 * math.sqrt(3)) / value


@dataclass(frozen=True, slots=True)
class Lever:
    """What adapter and hand do to the torque.

    Parameters
    ----------
    ratio : float
        Torque at the fastener over torque at the square as calibrated.
    u_rel : float
        Relative standard uncertainty because the hand strays.
    adapter : Adapter or None
    hand : float or None
        Where to pull, mm from the square.
    """

    ratio: float = 1.0
    u_rel: float = 0.0
    adapter: Adapter | None = None
    hand: float | None = None


STRAIGHT = Lever()
"""No adapter, and the hand at the grip mark."""


def lever_of(tool: Tool, adapter: Adapter | None = None, hand: float | None = None) -> Lever:
    """Return what an adapter and the place of the hand do to the torque.

    Parameters
    ----------
    tool : Tool
    adapter : Adapter, optional
    hand : float, optional
        Where the hand pulls, mm from the square; the grip mark if not given.

    Returns
    -------
    Lever

    Raises
    ------
    Missing
        When the tool's length to the grip mark is needed and not known.
    Refused
        When the adapter does not fit the tool's drive.
    OutOfRange
        As in `fastener_ratio`.
    """
    if adapter is None and hand is None:
        return STRAIGHT
    if adapter is not None:
        _check_square(tool, adapter)
        if not adapter.moves_sideways and hand is None:
            return Lever(adapter.gain, adapter.u_gain, adapter)
    if tool.length is None:
        raise Missing(
            words(
                "measure {tool} from its square to its grip mark and write length_mm: "
                "the setting depends on it",
                tool=tool.title,
            ),
            needed="length_mm",
        )
    hand = tool.length if hand is None else hand
    sideways = adapter is not None and adapter.moves_sideways
    reach = adapter.length if adapter is not None and sideways else 0.0
    angle = adapter.angle if adapter is not None and sideways else 0.0
    ratio = fastener_ratio(
        length=hand,
        adapter_length=reach,
        adapter_angle=angle,
        pivot=tool.pivot,
        calibrated_length=tool.length,
    )
    spread = grip_uncertainty(
        length=hand,
        adapter_length=reach,
        adapter_angle=angle,
        pivot=tool.pivot,
        calibrated_length=tool.length,
    )
    if adapter is None:
        return Lever(ratio, spread, None, hand)
    return Lever(ratio * adapter.gain, math.hypot(spread, adapter.u_gain), adapter, hand)


def _check_square(tool: Tool, adapter: Adapter) -> None:
    if adapter.drive != tool.drive:
        raise Refused(
            words(
                "{adapter} takes a {wanted} square; this tool has {drive}",
                adapter=adapter.title,
                wanted=adapter.drive,
                drive=tool.drive,
            )
        )


def torque_uncertainty(tool: Tool, scale: Scale, value: float, trust: Trust, lever: Lever) -> float:
    """Return the uncertainty of the torque at the fastener for one pull.

    Parameters
    ----------
    tool : Tool
    scale : Scale
    value : float
        On the scale, in its unit.
    trust : Trust
    lever : Lever

    Returns
    -------
    float
        Relative standard uncertainty, as a fraction: calibration (or limit), single pulls, reading
        of the scale, place of the hand, as independent parts.
    """
    read = 0.0
    calibration = tool.calibration
    certified = trust.basis in {"certificate", "event"}
    if not (certified and calibration and calibration.includes_resolution):
        read = resolution_uncertainty(tool.settable_step(scale), value)
    return math.hypot(trust.u_rel, read, lever.u_rel)
