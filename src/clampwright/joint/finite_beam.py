"""A beam with two free ends on an elastic foundation: the strip, head or bearing cap as it is.

The infinite beam of `clampwright.joint.foundation` is cut at the ends: waves that start at each end
are added until neither moment nor shear force is left there (end-conditioning).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.errors import OutOfRange
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint.foundation import beam_deflection, beam_wave
from clampwright.words import words

STUBBY = 0.2
"""Below this λL the beam moves as one rigid piece and the waves of both ends merge; refused,
because the equations for them lose their digits (ours; tests compare with a rigid beam above)."""

Complex = NDArray[np.complex128]

_WAVE = -1.0 + 1.0j  # e^{(−1+i)u} decays along u; its derivatives are powers of this


def finite_beam_deflection(
    positions: ArrayLike, *, length: float, beam_stiffness: float, foundation: float
) -> Floats:
    """Movement of a beam with free ends on an elastic foundation, place by place.

    Parameters
    ----------
    positions : array_like, shape (n,)
        Places along the beam from its left end, mm; within the beam.
    length : float
        Length of the beam, mm.
    beam_stiffness : float
        EI, N·mm².
    foundation : float
        k, N/mm per mm.

    Returns
    -------
    ndarray, shape (n, n)
        Movement at place i per load at place j, mm/N; symmetric.

    Raises
    ------
    OutOfRange
        A place lies outside the beam, a stiffness or the length is not positive, or the beam is so
        short and stiff (λL below 0.2) that it moves as one piece.
    ClampwrightError
        `positions` is no row of numbers.

    References
    ----------
    Hetényi, *Beams on Elastic Foundation*, end-conditioning, from memory; checked against finite
    differences, and against a rigid beam on springs for a short one.

    Examples
    --------
    >>> G = finite_beam_deflection([0, 160], length=320, beam_stiffness=8.2e9, foundation=1800)
    >>> print(f"end {G[0, 0] * 1e6:.2f}, middle {G[1, 1] * 1e6:.2f} (1e-6 mm/N)")
    end 17.01, middle 4.46 (1e-6 mm/N)
    """
    whole = _checks.above("length", length, unit="mm")
    x = _shapes.row("positions", positions)
    _checks.within("positions", x, low=0.0, high=float(whole), unit="mm", source="ends of the beam")
    wave = beam_wave(beam_stiffness=beam_stiffness, foundation=foundation)
    slender = float(wave * whole)
    if slender < STUBBY:
        raise OutOfRange(
            words(
                "the beam is too short and stiff for bending to matter: λL is {value:.2g},"
                " it must be at least {low:g}",
                value=slender,
                low=STUBBY,
            ),
            value=slender,
            low=STUBBY,
            source="this form of the solution (ours)",
        )
    apart = x[:, np.newaxis] - x
    infinite = beam_deflection(apart, beam_stiffness=beam_stiffness, foundation=foundation)
    u = wave * x
    scale = wave / (2.0 * foundation)
    added = scale * _end_waves(u, slender) @ _amplitudes(u, slender)
    both: Floats = infinite + added
    return 0.5 * (both + both.T)


def _end_waves(u: Floats, slender: float) -> Floats:
    """Return the four end waves (columns) at places u = λx (rows)."""
    left, right = np.exp(_WAVE * u), np.exp(_WAVE * (slender - u))
    return np.stack([left.real, left.imag, right.real, right.imag], axis=-1)


def _amplitudes(u: Floats, slender: float) -> Floats:
    """Return the amplitudes of the four waves (rows) that free both ends, for loads at u."""
    start, end = _Bent.at(np.zeros(())), _Bent.at(np.asarray(slender))
    # Rows: moment at the left and right end, shear force at the left and right end. A wave from
    # the right end runs against x, which turns the sign of its odd derivative.
    left = (start.moment, end.moment, start.shear, end.shear)
    right = (end.moment, start.moment, -end.shear, -start.shear)
    matrix = np.array([[a.real, a.imag, b.real, b.imag] for a, b in zip(left, right, strict=True)])
    to_left, to_right = _Bent.at(u), _Bent.at(slender - u)
    load = 1.0 - 1.0j  # cos u + sin u = Re[(1 − i) e^{iu}]
    wanted = np.array(
        [
            (load * to_left.moment).real,
            (load * to_right.moment).real,
            -(load * to_left.shear).real,  # towards the left end the wave runs against x
            (load * to_right.shear).real,
        ]
    )
    return np.linalg.solve(matrix, -wanted)


class _Bent(NamedTuple):
    """Second and third derivative (in u) of the decaying wave, some way along it."""

    moment: Complex
    shear: Complex

    @classmethod
    def at(cls, u: Floats) -> _Bent:
        wave = np.exp(_WAVE * u)
        return cls(_WAVE**2 * wave, _WAVE**3 * wave)
