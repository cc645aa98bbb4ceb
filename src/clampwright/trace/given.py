"""What is known about a pull before looking at its trace: limits, joint, tool."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from clampwright.errors import BadFile, ClampwrightError, OutOfRange
from clampwright.intake import json_of
from clampwright.trace.model import ANGLE_MODES, AngleMode
from clampwright.words import words

PROCEDURES = ("torque", "torque_angle")
DIRECTIONS = ("cw", "ccw")


@dataclass(frozen=True, slots=True)
class Nominal:
    """What the joint is expected to do; every value may be unknown.

    Parameters
    ----------
    K : float or None
        Nut factor, T = K d F.
    clamp_rate_N_per_deg : float or None
        Clamp load per degree of nut rotation in the elastic range, N/deg.
    torque_rate_Nm_per_deg : float or None
        Torque per degree in the elastic range, N·m/deg.
    torque_rate_low_Nm_per_deg, torque_rate_high_Nm_per_deg : float or None
        Range of it that the stated friction allows, N·m/deg; the expected rate itself if not given.
    clamp_at_target_N : float or None
        Clamp load when the target is reached, N.
    angle_snug_to_target_deg : float or None
        Rotation from the snug torque to the target torque, degrees.
    combined_yield_clamp_N : float or None
        Clamp load at which the fastener begins to yield under tension and torsion, N.
    """

    K: float | None = None
    clamp_rate_N_per_deg: float | None = None
    torque_rate_Nm_per_deg: float | None = None
    torque_rate_low_Nm_per_deg: float | None = None
    torque_rate_high_Nm_per_deg: float | None = None
    clamp_at_target_N: float | None = None
    angle_snug_to_target_deg: float | None = None
    combined_yield_clamp_N: float | None = None

    def __post_init__(self) -> None:
        _check_numbers(self, tuple(f.name for f in fields(self)), zero=_NONE_LEFT)


@dataclass(frozen=True, slots=True)
class Given:
    """What a person knows about a pull: the stage's limits, the joint and the tool.

    Parameters
    ----------
    procedure : {"torque", "torque_angle"}
        Whether the stage ends at a torque, or at an angle counted from the snug torque.
    target_torque_Nm, snug_torque_Nm : float or None
        N·m. Angle counting starts at the snug torque.
    angle_steps_deg : tuple of float
        The angles of the stage, degrees; their sum is the angle wanted in this trace.
    torque_low, torque_high : float or None
        Limits of the final torque, N·m.
    angle_low, angle_high : float or None
        Limits of the rotation after the snug torque, degrees.
    previous_torque_Nm : float or None
        Torque this fastener was already taken to by an earlier stage, N·m; 0 if it was loose.
    d_mm, P_mm, grip_mm, Rp_MPa : float or None
        Nominal diameter, pitch and clamp length in mm, yield strength in MPa.
    nominal : Nominal
        What the joint is expected to do.
    tool_stiffness_Nm_per_deg : float or None
        Torque per degree of wind-up of wrench, extension and socket, N·m/deg.
    sample_rate_hz : float or None
        Hz.
    angle_mode : {"handle", "accumulated", "output"} or None
        What the angle column is; None takes what the trace says.
    direction : {"cw", "ccw"}
        Which way the fastener tightens: ``ccw`` for a left-hand thread. There a trace whose torque
        or angle was recorded with the sign of a clockwise pull is turned round.

    Raises
    ------
    OutOfRange
        For a value that cannot be (negative, not a number, limits the wrong way round).

    Examples
    --------
    >>> Given(target_torque_Nm=60.0, torque_low=57.0, torque_high=63.0).procedure
    'torque'
    """

    procedure: str = "torque"
    target_torque_Nm: float | None = None
    snug_torque_Nm: float | None = None
    angle_steps_deg: tuple[float, ...] = ()
    torque_low: float | None = None
    torque_high: float | None = None
    angle_low: float | None = None
    angle_high: float | None = None
    previous_torque_Nm: float | None = None
    d_mm: float | None = None
    P_mm: float | None = None
    grip_mm: float | None = None
    Rp_MPa: float | None = None
    nominal: Nominal = field(default_factory=Nominal)
    tool_stiffness_Nm_per_deg: float | None = None
    sample_rate_hz: float | None = None
    angle_mode: AngleMode | None = None
    direction: str = "cw"

    def __post_init__(self) -> None:
        if self.procedure not in PROCEDURES:
            raise ClampwrightError(
                words(
                    "the procedure {value!r} is not known; it is one of {known}",
                    value=str(self.procedure),
                    known=", ".join(PROCEDURES),
                )
            )
        if self.angle_mode is not None and self.angle_mode not in ANGLE_MODES:
            raise ClampwrightError(
                words(
                    "the angle mode {mode!r} is not known; it is one of {known}",
                    mode=str(self.angle_mode),
                    known=", ".join(ANGLE_MODES),
                )
            )
        if self.direction not in DIRECTIONS:
            raise ClampwrightError(
                words(
                    "the direction {direction!r} is not known; it is one of {known}",
                    direction=str(self.direction),
                    known=", ".join(DIRECTIONS),
                )
            )
        _check_numbers(self, _POSITIVE + _NOT_NEGATIVE, zero=_NOT_NEGATIVE)
        for position, angle in enumerate(self.angle_steps_deg, 1):
            _check_number(angle, f"angle_steps_deg[{position}]", zero=False)
        _check_order("torque", self.torque_low, self.torque_high)
        _check_order("angle", self.angle_low, self.angle_high)

    @property
    def wanted_angle(self) -> float | None:
        """Rotation wanted after the snug torque, degrees; None where the stage has none."""
        return float(sum(self.angle_steps_deg)) if self.angle_steps_deg else None


_NONE_LEFT = ("clamp_at_target_N", "angle_snug_to_target_deg")
"""What is 0 where a stage counts from its own target."""
_POSITIVE = (
    "target_torque_Nm",
    "d_mm",
    "P_mm",
    "grip_mm",
    "Rp_MPa",
    "tool_stiffness_Nm_per_deg",
    "sample_rate_hz",
)
_NOT_NEGATIVE = (
    "snug_torque_Nm",
    "previous_torque_Nm",
    "torque_low",
    "torque_high",
    "angle_low",
    "angle_high",
)


def _check_numbers(thing: object, names: tuple[str, ...], zero: tuple[str, ...] = ()) -> None:
    for name in names:
        value = getattr(thing, name)
        if value is not None:
            _check_number(value, name, zero=name in zero)


def _check_number(value: object, name: str, *, zero: bool) -> None:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if number and math.isfinite(value) and (value > 0 or (zero and value == 0)):  # type: ignore[arg-type, operator]  # `number` says it is one
        return
    raise OutOfRange(
        words(
            "{name} must be a number {limit}; it is {value!r}",
            name=name,
            limit="of 0 or more" if zero else "above 0",
            value=value if number else str(value),  # type: ignore[arg-type]  # as above
        ),
        value=float(value) if number else math.nan,  # type: ignore[arg-type]  # as above
        low=0.0,
    )


def _check_order(name: str, low: float | None, high: float | None) -> None:
    if low is not None and high is not None and low > high:
        raise OutOfRange(
            words(
                "{name}_low ({low:g}) must not be above {name}_high ({high:g})",
                name=name,
                low=low,
                high=high,
            ),
            value=low,
            high=high,
        )


def expected_rate(given: Given) -> float | None:
    """Return the expected slope, as given or from nut factor, clamp rate and diameter.

    Parameters
    ----------
    given : Given

    Returns
    -------
    float or None
        N·m/deg.
    """
    nominal = given.nominal
    if nominal.torque_rate_Nm_per_deg is not None:
        return nominal.torque_rate_Nm_per_deg
    if nominal.K and nominal.clamp_rate_N_per_deg and given.d_mm:
        return nominal.K * nominal.clamp_rate_N_per_deg * given.d_mm / 1000.0
    return None


def aimed_torque(given: Given) -> float | None:
    """Return the torque the pull is meant to come near.

    Parameters
    ----------
    given : Given

    Returns
    -------
    float or None
        The target, N·m. A stage that ends at an angle often states no torque but the one it counts
        from; then what the joint is expected to need at that angle, but no more than it takes to
        yield.

    Examples
    --------
    >>> stage = Given(procedure="torque_angle", snug_torque_Nm=10.0, angle_steps_deg=(20.0,),
    ...               nominal=Nominal(torque_rate_Nm_per_deg=1.2))
    >>> aimed_torque(stage)
    34.0
    """
    target, snug = given.target_torque_Nm, given.snug_torque_Nm
    if given.procedure == "torque" or (target and (not snug or target > 1.05 * snug)):
        return target
    rate, wanted = expected_rate(given), given.wanted_angle
    if not rate or wanted is None:
        return target
    most = yield_torque(given)
    aimed = (snug or target or 0.0) + rate * wanted
    return aimed if most is None else min(aimed, most)


def yield_torque(given: Given) -> float | None:
    """Return the torque at which the fastener is expected to yield, N·m.

    Parameters
    ----------
    given : Given

    Returns
    -------
    float or None
    """
    rate, nominal = expected_rate(given), given.nominal
    if rate is None or not nominal.combined_yield_clamp_N or not nominal.clamp_rate_N_per_deg:
        return None
    return nominal.combined_yield_clamp_N * rate / nominal.clamp_rate_N_per_deg


def given_from_json(data: bytes | str | Mapping[str, Any], name: str = "given") -> Given:
    """Read what is given from JSON text, or from an object already parsed.

    Parameters
    ----------
    data : bytes, str or mapping
        One JSON object with the fields of `Given`; ``nominal`` is an object with those of
        `Nominal`.
    name : str
        Name of the file, for messages.

    Returns
    -------
    Given

    Raises
    ------
    BadFile
        If it is not such an object, or a key is not known.
    OutOfRange
        If a value cannot be.

    Examples
    --------
    >>> given_from_json('{"target_torque_Nm": 60, "nominal": {"K": 0.15}}').nominal.K
    0.15
    """
    content = dict(data) if isinstance(data, Mapping) else _parsed(data, name)
    nominal = content.pop("nominal", None)
    _check_keys(content, Given, name)
    if nominal is not None:
        if not isinstance(nominal, Mapping):
            raise BadFile(
                words("{file}: nominal must be an object with named values", file=name),
                file=name,
                expected="an object",
            )
        _check_keys(nominal, Nominal, name)
        content["nominal"] = Nominal(**nominal)
    steps = content.get("angle_steps_deg")
    if steps is None:
        content.pop("angle_steps_deg", None)
    elif not isinstance(steps, list | tuple):
        raise BadFile(
            words("{file}: angle_steps_deg must be a list of degrees", file=name),
            file=name,
            expected="a list of numbers",
        )
    content["angle_steps_deg"] = tuple(steps or ())
    return Given(**content)


def _parsed(data: bytes | str, name: str) -> dict[str, Any]:
    content = json_of(data, "given", name)
    if not isinstance(content, dict):
        raise BadFile(
            words("{file}: one JSON object is expected", file=name),
            file=name,
            line=1,
            expected="one JSON object",
        )
    return content


def _check_keys(content: Mapping[str, Any], form: type, name: str) -> None:
    known = [f.name for f in fields(form)]
    for key in content:
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
            raise BadFile(
                words(
                    "{file}: the key {key!r} is not known; did you mean {advice}?",
                    file=name,
                    key=key,
                    advice=near[0] if near else ", ".join(known),
                ),
                file=name,
                expected=near[0] if near else ", ".join(known),
            )
