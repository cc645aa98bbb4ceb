"""Flexibility of the parts between the fasteners of a joint: who moves when one is tightened.

``G[i, j]`` is the movement between the bearing faces at fastener i per clamp load at fastener j,
mm/N. What compresses only under a fastener's own head belongs to the fastener's own resilience, not
here.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint.finite_beam import finite_beam_deflection
from clampwright.joint.foundation import beam_deflection, plate_deflection, ring_deflection
from clampwright.joint.free_plate import free_plate_deflection
from clampwright.words import words

Flanges = Literal[1, 2]
"""1: one flange, head or cover on its gasket, the other part rigid. 2: two equal flanges with one
gasket between them; each sees half the gasket, twice as stiff."""

MOST = 1000
"""Most fasteners of a joint; larger ones are cut into parts (ours)."""

_SAME = 1e-6  # share of the joint's size below which two places are one


def row_flexibility(
    positions: ArrayLike,
    *,
    beam_stiffness: float,
    foundation: float,
    length: float | None = None,
    flanges: Flanges = 1,
) -> Floats:
    """Flexibility of a strip, head or cap with fasteners in one line.

    Parameters
    ----------
    positions : array_like, shape (n,)
        Places of the fasteners along the line, mm.
    beam_stiffness : float
        EI of the strip (of one flange), N·mm².
    foundation : float
        k of the gasket, N/mm per mm.
    length : float, optional
        Length of the strip, mm: free ends at 0 and `length`. Without it the strip has no ends.
    flanges : {1, 2}
        One flange on a rigid part, or two equal flanges.

    Returns
    -------
    ndarray, shape (n, n)
        G, mm/N.

    Raises
    ------
    OutOfRange
        As `clampwright.joint.foundation.beam_deflection` and
        `clampwright.joint.finite_beam.finite_beam_deflection`.
    ClampwrightError
        Two fasteners stand at the same place, or `flanges` is neither 1 nor 2.

    References
    ----------
    Hetényi, *Beams on Elastic Foundation*, from memory.

    Examples
    --------
    >>> G = row_flexibility([0, 80, 160], beam_stiffness=8.2e9, foundation=1800)
    >>> [f"{value * 1e6:.4f}" for value in G[0]]
    ['4.2515', '1.5996', '-0.0481']
    """
    x = _shapes.row("positions", positions)
    _apart(np.column_stack([x, np.zeros_like(x)]))
    share, bed = _halves(flanges, foundation)
    if length is not None:
        return share * finite_beam_deflection(
            x, length=length, beam_stiffness=beam_stiffness, foundation=bed
        )
    one, other = np.triu_indices(len(x))
    moved = beam_deflection(x[one] - x[other], beam_stiffness=beam_stiffness, foundation=bed)
    return share * _mirrored(len(x), moved)


def ring_flexibility(
    angles: ArrayLike | int,
    *,
    radius: float,
    beam_stiffness: float,
    foundation: float,
    flanges: Flanges = 1,
) -> Floats:
    """Flexibility of a flange ring with its fasteners on a circle.

    Parameters
    ----------
    angles : array_like, shape (n,), or int
        Angles of the fasteners round the circle, degrees; or how many there are, evenly spaced.
    radius : float
        Radius of the circle, mm.
    beam_stiffness : float
        EI of the ring's section (of one flange), N·mm².
    foundation : float
        k of the gasket, N/mm per mm of circumference.
    flanges : {1, 2}
        One flange on a rigid part, or two equal flanges.

    Returns
    -------
    ndarray, shape (n, n)
        G, mm/N.

    Raises
    ------
    OutOfRange
        As `clampwright.joint.foundation.ring_deflection`.
    ClampwrightError
        Two fasteners stand at the same place, or `flanges` is neither 1 nor 2.

    References
    ----------
    Hetényi's beam, unrolled; see `clampwright.joint.foundation.ring_deflection`.

    Examples
    --------
    >>> G = ring_flexibility(8, radius=100, beam_stiffness=8.2e9, foundation=1800)
    >>> G.shape, bool(np.allclose(G, G.T))
    ((8, 8), True)
    """
    at = _angles(angles)
    around = np.radians(at)
    _apart(float(radius) * np.column_stack([np.cos(around), np.sin(around)]))
    share, bed = _halves(flanges, foundation)
    one, other = np.triu_indices(len(around))
    moved = ring_deflection(
        (around[one] - around[other]) * float(radius),
        radius=radius,
        beam_stiffness=beam_stiffness,
        foundation=bed,
    )
    return share * _mirrored(len(around), moved)


def plate_flexibility(
    points: ArrayLike,
    *,
    plate_stiffness: float,
    foundation: float,
    flanges: Flanges = 1,
) -> Floats:
    """Flexibility of a wide cover or block with fasteners anywhere on it.

    Parameters
    ----------
    points : array_like, shape (n, 2)
        Places of the fasteners, mm.
    plate_stiffness : float
        D of the plate (of one of two), N·mm.
    foundation : float
        k_f of the gasket, N/mm³.
    flanges : {1, 2}
        One plate on a rigid part, or two equal ones.

    Returns
    -------
    ndarray, shape (n, n)
        G, mm/N.

    Raises
    ------
    OutOfRange
        As `clampwright.joint.foundation.plate_deflection`.
    ClampwrightError
        `points` is no list of pairs, two fasteners stand at the same place, or `flanges` is
        neither 1 nor 2.

    Notes
    -----
    The plate has no edges: good for fasteners further inside than about 2 ℓ. Nearer the edge:
    `cover_flexibility`.

    References
    ----------
    Timoshenko and Woinowsky-Krieger, *Theory of Plates and Shells*, from memory.

    Examples
    --------
    >>> G = plate_flexibility([(0, 0), (80, 0)], plate_stiffness=1.50183e8, foundation=30)
    >>> [f"{value * 1e6:.3f}" for value in G[0]]
    ['1.862', '0.658']
    """
    places = _points(points)
    _apart(places)
    share, bed = _halves(flanges, foundation)
    one, other = np.triu_indices(len(places))
    away = np.hypot(*(places[one] - places[other]).T)
    moved = plate_deflection(away, plate_stiffness=plate_stiffness, foundation=bed)
    return share * _mirrored(len(places), moved)


def cover_flexibility(
    points: ArrayLike,
    *,
    length: float,
    width: float,
    plate_stiffness: float,
    foundation: float,
    poisson: float = 0.3,
    flanges: Flanges = 1,
) -> Floats:
    """Flexibility of a rectangular cover with free edges, fasteners near them or not.

    Parameters
    ----------
    points : array_like, shape (n, 2)
        Places of the fasteners from one corner of the cover, mm.
    length, width : float
        Lengths of the cover along x and y, mm; up to 12 times its characteristic length.
    plate_stiffness : float
        D of the cover (of one of two), N·mm.
    foundation : float
        k_f of the gasket, N/mm³, taken as lying under the whole cover.
    poisson : float
        Poisson's ratio, 0 to below 0.5.
    flanges : {1, 2}
        One cover on a rigid part, or two equal plates.

    Returns
    -------
    ndarray, shape (n, n)
        G, mm/N.

    Raises
    ------
    OutOfRange
        As `clampwright.joint.free_plate.free_plate_deflection`.
    ClampwrightError
        `points` is no list of pairs, two fasteners stand at the same place, or `flanges` is
        neither 1 nor 2.

    References
    ----------
    See `clampwright.joint.free_plate`.

    Examples
    --------
    >>> G = cover_flexibility([(15, 15), (120, 15)], length=240, width=160,
    ...                       plate_stiffness=1.50183e8, foundation=30)
    >>> [f"{value * 1e6:.1f}" for value in (G[0, 0], G[1, 1], G[0, 1])]
    ['9.6', '4.8', '1.2']
    """
    places = _points(points)
    _apart(places)
    share, bed = _halves(flanges, foundation)
    return share * free_plate_deflection(
        places,
        sides=(length, width),
        plate_stiffness=plate_stiffness,
        foundation=bed,
        poisson=poisson,
    )


def _mirrored(count: int, upper: Floats) -> Floats:
    """Return the symmetric matrix with the given upper triangle, row by row."""
    matrix = np.empty((count, count))
    matrix[np.triu_indices(count)] = upper
    matrix.T[np.triu_indices(count)] = upper
    return matrix


def _halves(flanges: Flanges, foundation: float) -> tuple[float, float]:
    """Return how often one flange's movement counts, and the foundation that it sees."""
    _shapes.one_of("flanges", flanges, (1, 2))
    bed = float(_checks.above("foundation", foundation))
    return float(flanges), bed * flanges


def _angles(angles: ArrayLike | int) -> Floats:
    if isinstance(angles, int):
        count = _shapes.whole("angles", angles, low=1, high=MOST)
        return np.arange(count, dtype=np.float64) * (360.0 / count)
    return _shapes.row("angles", angles)


def _points(points: ArrayLike) -> Floats:
    places = _checks.number("points", points)
    if places.ndim != 2 or places.shape[1] != 2:
        raise ClampwrightError(
            words(
                "points must be a list of pairs (x, y) in mm, not of shape {shape}",
                shape=str(places.shape),
            )
        )
    return places


def _apart(places: Floats) -> None:
    """Refuse joints that are too large, and two fasteners at one place."""
    _shapes.whole("number of fasteners", len(places), low=1, high=MOST)
    scale = float(np.ptp(places, axis=0).sum()) or 1.0
    cells = np.round(places / (_SAME * scale))
    order = np.lexsort(cells.T)
    same = (np.diff(cells[order], axis=0) == 0.0).all(axis=1)
    if same.any():
        first = int(np.argmax(same))
        raise ClampwrightError(
            words(
                "fasteners {first} and {second} stand at the same place",
                first=int(min(order[first : first + 2])) + 1,
                second=int(max(order[first : first + 2])) + 1,
            )
        )
