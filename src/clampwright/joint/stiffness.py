"""How far a bolt stretches and how much clamp load a degree of turning makes.

The parts' side stands in `clampwright.joint.cone`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats
from clampwright.words import words

HeadShape = Literal["hexagon", "socket"]
Counterpart = Literal["nut", "tapped"]

FULL_TURN = 360.0
STEEL = 205_000.0
"""Young's modulus of bolt steel, MPa (VDI 2230-1, from memory)."""

STEEL_SHEAR = 79_000.0
"""Shear modulus of bolt steel, MPa (usual value, from memory)."""

HEAD_LENGTH: dict[str, float] = {"hexagon": 0.5, "socket": 0.4}
ENGAGED_LENGTH = 0.5
COUNTERPART_LENGTH: dict[str, float] = {"nut": 0.4, "tapped": 0.33}
"""Substitute lengths in multiples of d (VDI 2230-1, 5.1.1, from memory)."""


@dataclass(frozen=True, slots=True)
class Segment:
    """A piece of the bolt under load.

    Parameters
    ----------
    part : str
        What it is: head, shank, free thread, engaged thread, nut or tapped hole.
    length : float or ndarray
        Length, mm.
    area : float or ndarray
        Cross-section, mm².
    E : float or ndarray
        Young's modulus, MPa.
    """

    part: str
    length: Floats
    area: Floats
    E: Floats

    @property
    def resilience(self) -> Floats:
        """Stretch per force, mm/N."""
        return self.length / (self.E * self.area)


def bolt_segments(
    *,
    d: ArrayLike,
    d3: ArrayLike,
    shank: Sequence[tuple[ArrayLike, ArrayLike]] = (),
    thread_length: ArrayLike,
    E: ArrayLike = STEEL,
    head: HeadShape = "hexagon",
    counterpart: Counterpart = "nut",
    E_tapped: ArrayLike | None = None,
) -> tuple[Segment, ...]:
    """Return the pieces of a bolt or screw that stretch, from head to nut or tapped hole.

    Parameters
    ----------
    d : array_like
        Nominal diameter, mm.
    d3 : array_like
        Root diameter of the thread, mm.
    shank : sequence of (length, diameter)
        Unthreaded pieces, mm; none for a screw threaded all the way.
    thread_length : array_like
        Length of free loaded thread inside the grip, mm; 0 or more.
    E : array_like
        Young's modulus of the bolt, MPa; steel if not given.
    head : {"hexagon", "socket"}
        Kind of head: substitute length 0.5 d or 0.4 d.
    counterpart : {"nut", "tapped"}
        What the thread engages: substitute length 0.4 d or 0.33 d.
    E_tapped : array_like, optional
        Young's modulus of the tapped part, MPa; needed for "tapped".

    Returns
    -------
    tuple of Segment

    Raises
    ------
    OutOfRange
        A length or modulus is not positive, or the root is as large as the nominal diameter.
    Missing
        A tapped hole without the modulus of its part.
    ClampwrightError
        An unknown head or counterpart.

    References
    ----------
    VDI 2230-1, 5.1.1, from memory.

    Examples
    --------
    >>> parts = bolt_segments(d=10, d3=8.1597, shank=[(28, 10)], thread_length=17)
    >>> [(piece.part, round(float(piece.resilience * 1e6), 4)) for piece in parts]
    [('head', 0.3105), ('shank', 1.7391), ('free thread', 1.5858),
     ('engaged thread', 0.4664), ('nut', 0.2484)]
    """
    nominal = _checks.above("d", d, unit="mm")
    root = _checks.above("d3", d3, unit="mm")
    _checks.smaller("d3", root, "d", nominal)
    modulus = _checks.above("E", E, unit="MPa")
    free = _checks.not_negative("thread_length", thread_length, unit="mm")
    _one_of("head", head, HEAD_LENGTH)
    _one_of("counterpart", counterpart, COUNTERPART_LENGTH)
    full, core = _disc(nominal), _disc(root)
    pieces = [Segment("head", HEAD_LENGTH[head] * nominal, full, modulus)]
    for length, diameter in shank:
        long = _checks.above("shank length", length, unit="mm")
        thick = _checks.above("shank diameter", diameter, unit="mm")
        pieces.append(Segment("shank", long, _disc(thick), modulus))
    pieces.append(Segment("free thread", free, core, modulus))
    pieces.append(Segment("engaged thread", ENGAGED_LENGTH * nominal, core, modulus))
    other = modulus if counterpart == "nut" else _tapped_modulus(E_tapped)
    part = "nut" if counterpart == "nut" else "tapped hole"
    pieces.append(Segment(part, COUNTERPART_LENGTH[counterpart] * nominal, full, other))
    return tuple(pieces)


def bolt_resilience(segments: Sequence[Segment]) -> Floats:
    """Stretch of a whole bolt per force, ``δ_S = Σ l_i / (E_i A_i)``.

    Parameters
    ----------
    segments : sequence of Segment
        The pieces, see `bolt_segments`.

    Returns
    -------
    float or ndarray
        Resilience, mm/N.

    Raises
    ------
    Missing
        There is no piece at all.

    References
    ----------
    VDI 2230-1, 5.1.1, from memory.

    Examples
    --------
    >>> parts = bolt_segments(d=10, d3=8.1597, shank=[(28, 10)], thread_length=17)
    >>> print(f"{bolt_resilience(parts) * 1e6:.4f}e-6 mm/N")
    4.3503e-6 mm/N
    """
    if not segments:
        raise Missing(words("a bolt needs at least one piece that stretches"), "segments")
    total = segments[0].resilience
    for piece in segments[1:]:
        total = total + piece.resilience
    return total


def clamp_rate(*, P: ArrayLike, bolt_resilience: ArrayLike, parts_resilience: ArrayLike) -> Floats:
    """Clamp load per degree of turning while everything is elastic.

    ``c = P / [360 (δ_S + δ_P)]``

    Parameters
    ----------
    P : array_like
        Pitch, mm.
    bolt_resilience : array_like
        Resilience of the bolt δ_S, mm/N.
    parts_resilience : array_like
        Resilience of the clamped parts δ_P, mm/N; 0 for rigid parts.

    Returns
    -------
    float or ndarray
        Clamp rate, N per degree between bolt and nut.

    Raises
    ------
    OutOfRange
        An argument is NaN, or not positive.

    Notes
    -----
    Holds once the parts are in firm contact. The angle is that between bolt and nut: twist of the
    shank (`shank_twist`) and of the tool come on top of what is read at the handle.

    References
    ----------
    Derived: one turn moves the nut by one pitch.

    Examples
    --------
    >>> rate = clamp_rate(P=1.5, bolt_resilience=4.3503e-6, parts_resilience=0.67183e-6)
    >>> print(f"{rate:.1f} N/deg")
    829.7 N/deg
    """
    pitch = _checks.above("P", P, unit="mm")
    bolt = _checks.above("bolt_resilience", bolt_resilience, unit="mm/N")
    parts = _checks.not_negative("parts_resilience", parts_resilience, unit="mm/N")
    _checks.shapes_fit(P=pitch, bolt_resilience=bolt, parts_resilience=parts)
    return pitch / (FULL_TURN * (bolt + parts))


def torque_rate(*, clamp_rate: ArrayLike, d: ArrayLike, nut_factor: ArrayLike) -> Floats:
    """Torque per degree of turning while everything is elastic, ``dT/dθ = K d c``.

    Parameters
    ----------
    clamp_rate : array_like
        Clamp rate c, N per degree.
    d : array_like
        Nominal diameter, mm.
    nut_factor : array_like
        Nut factor K.

    Returns
    -------
    float or ndarray
        Torque rate, N·m per degree.

    Raises
    ------
    OutOfRange
        An argument is NaN, not positive, or K is above 1.

    References
    ----------
    Derived from T = K d F and F = c θ.

    Examples
    --------
    >>> print(f"{torque_rate(clamp_rate=829.66, d=10, nut_factor=0.15048):.4f} N·m/deg")
    1.2485 N·m/deg
    """
    rate = _checks.above("clamp_rate", clamp_rate, unit="N/deg")
    arm = _arms.checked_nut_factor_arm(d, nut_factor)
    _checks.shapes_fit(clamp_rate=rate, d_and_nut_factor=arm)
    return rate * arm / _arms.N_MM_PER_N_M


def shank_twist(
    thread_torque: ArrayLike,
    *,
    pieces: Sequence[tuple[ArrayLike, ArrayLike]],
    G: ArrayLike = STEEL_SHEAR,
) -> Floats:
    """Angle by which the bolt itself twists; it is in the reading when the head is turned.

    ``Δθ = T_th Σ l_i / (G J_i)``, ``J = π d⁴/32``

    Parameters
    ----------
    thread_torque : array_like
        Torque in the shank, N·m (see `clampwright.joint.torque_tension.thread_torque`).
    pieces : sequence of (length, diameter)
        Round pieces between head and engaged thread, mm; root diameter for threaded ones.
    G : array_like
        Shear modulus, MPa; steel if not given.

    Returns
    -------
    float or ndarray
        Twist, degrees.

    Raises
    ------
    OutOfRange
        An argument is NaN, or not positive.
    Missing
        There is no piece.

    References
    ----------
    Torsion of round bars.

    Examples
    --------
    >>> print(f"{shank_twist(21.6, pieces=[(28, 10), (22, 8.1597)]):.3f} deg")
    1.239 deg
    """
    torque = _checks.not_negative("thread_torque", thread_torque, unit="N·m")
    shear = _checks.above("G", G, unit="MPa")
    if not pieces:
        raise Missing(words("a twisted shank needs at least one piece"), "pieces")
    lengths = [_checks.above("piece length", length, unit="mm") for length, _ in pieces]
    thick = [_checks.above("piece diameter", diameter, unit="mm") for _, diameter in pieces]
    parts = [length / (math.pi / 32.0 * d**4) for length, d in zip(lengths, thick, strict=True)]
    total = parts[0]
    for part in parts[1:]:
        total = total + part
    return np.degrees(torque * _arms.N_MM_PER_N_M / shear * total)


def _disc(diameter: Floats) -> Floats:
    return math.pi / 4.0 * diameter**2


def _tapped_modulus(E_tapped: ArrayLike | None) -> Floats:
    if E_tapped is None:
        raise Missing(words("a tapped hole needs E_tapped, the modulus of its part"), "E_tapped")
    return _checks.above("E_tapped", E_tapped, unit="MPa")


def _one_of(argument: str, given: str, known: dict[str, float]) -> None:
    if given not in known:
        raise ClampwrightError(
            words(
                "{argument} is {given}; it must be one of: {known}",
                argument=argument,
                given=repr(given),
                known=", ".join(known),
            )
        )
