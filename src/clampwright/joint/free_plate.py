"""A rectangular cover with free edges on its gasket, as covers are: fasteners stand near the edge.

The infinite plate of `clampwright.joint.foundation` is too stiff there: at a free edge a cover
moves three to four times as far as inside, at a corner ten times. Here the energy of plate and
foundation is made least over products of Legendre polynomials; free edges then come by themselves.
"""

from __future__ import annotations

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.joint.foundation import plate_length
from clampwright.words import words

LARGEST = 12.0
"""Longest side over the plate's characteristic length ℓ: beyond, more polynomials would be needed
than are taken, and fasteners on opposite sides no longer feel each other anyway."""

FEWEST_TERMS, PER_LENGTH = 12, 2.0
"""Polynomials along a side: 12, and 2 more for each ℓ. More of them change the movement at a load
by less than 2 % (tests)."""


def free_plate_deflection(
    points: ArrayLike,
    *,
    sides: tuple[float, float],
    plate_stiffness: float,
    foundation: float,
    poisson: float = 0.3,
) -> Floats:
    """Movement of a rectangular plate with free edges on an elastic foundation.

    Parameters
    ----------
    points : array_like, shape (n, 2)
        Places on the plate from one of its corners, mm.
    sides : pair of float
        Lengths of the plate along x and y, mm; up to 12 ℓ.
    plate_stiffness : float
        D, N·mm.
    foundation : float
        k_f, N/mm³.
    poisson : float
        Poisson's ratio of the plate, 0 to below 0.5.

    Returns
    -------
    ndarray, shape (n, n)
        Movement at place i per load at place j, mm/N; symmetric.

    Raises
    ------
    OutOfRange
        A place lies outside the plate, a stiffness or side is not positive, or a side is longer
        than 12 ℓ.
    ClampwrightError
        `points` is no list of pairs.

    References
    ----------
    Energy of thin plates (Timoshenko and Woinowsky-Krieger, from memory), method of Ritz. Checked
    against a rigid plate, a beam with free ends, the infinite plate, and twice as many terms.

    Examples
    --------
    >>> w = free_plate_deflection([(0, 0), (120, 0), (120, 80)], sides=(240, 160),
    ...                           plate_stiffness=1.5018e8, foundation=30)
    >>> [f"{w[k, k] * 1e6:.1f}" for k in range(3)]
    ['19.4', '7.6', '2.2']
    """
    places = _checks.number("points", points)
    if places.ndim != 2 or places.shape[1] != 2:
        raise ClampwrightError(
            words(
                "points must be a list of pairs (x, y) in mm, not of shape {shape}",
                shape=str(places.shape),
            )
        )
    length = float(plate_length(plate_stiffness=plate_stiffness, foundation=foundation))
    ratio = float(
        _checks.within("poisson", poisson, low=0.0, high=0.499, source="elastic material")
    )
    terms, shapes = [], []
    for axis, side in enumerate(sides):
        long = float(_checks.above("sides", side, unit="mm"))
        _within_reach(long, length)
        at = _checks.within(
            "points", places[:, axis], low=0.0, high=long, unit="mm", source="edges of the plate"
        )
        terms.append(_Side(long, FEWEST_TERMS + int(PER_LENGTH * long / length)))
        shapes.append(terms[-1].at(at))
    stiffness = _energy(terms[0], terms[1], plate_stiffness, ratio)
    stiffness += foundation * np.kron(terms[0].plain, terms[1].plain)
    both = np.einsum("ia,ib->iab", *shapes).reshape(len(places), -1)
    # Polynomials of high order are far stiffer than the rest: scaled so that digits are kept.
    scale = 1.0 / np.sqrt(np.diagonal(stiffness))
    loads = (both * scale).T
    moved = loads.T @ np.linalg.solve(stiffness * np.outer(scale, scale), loads)
    return np.asarray(0.5 * (moved + moved.T), dtype=np.float64)


class _Side:
    """Legendre polynomials along one side, and the integrals of their products."""

    def __init__(self, length: float, count: int) -> None:
        self.length, self.count = length, count
        t, weight = legendre.leggauss(count + 1)
        value, slope, curve = (self._derived(t, order) for order in range(3))
        share = weight * length / 2.0
        self.plain = (value * share) @ value.T
        self.sloped = (slope * share) @ slope.T
        self.curved = (curve * share) @ curve.T
        self.mixed = (curve * share) @ value.T

    def at(self, x: Floats) -> Floats:
        """Return the polynomials (columns) at places (rows)."""
        return self._derived(2.0 * x / self.length - 1.0, 0).T

    def _derived(self, t: Floats, order: int) -> Floats:
        coefficients: Floats = np.eye(self.count)
        if order:
            coefficients = np.asarray(legendre.legder(coefficients, order, axis=1), np.float64)
        values = legendre.legval(t, coefficients.T)
        return np.asarray(values * (2.0 / self.length) ** order, dtype=np.float64)


def _energy(x: _Side, y: _Side, D: float, poisson: float) -> Floats:
    """Return the bending energy of the plate as a quadratic form."""
    crossed = np.kron(x.mixed, y.mixed.T)
    bent = np.kron(x.curved, y.plain) + np.kron(x.plain, y.curved)
    twisted = np.kron(x.sloped, y.sloped)
    form: Floats = D * (bent + poisson * (crossed + crossed.T) + 2.0 * (1.0 - poisson) * twisted)
    return form


def _within_reach(side: float, length: float) -> None:
    if side > LARGEST * length:
        raise OutOfRange(
            words(
                "a side of {side:g} mm is {ratio:.1f} times the plate's characteristic length;"
                " up to {most:g} is possible: take the part around the fasteners",
                side=side,
                ratio=side / length,
                most=LARGEST,
            ),
            value=side / length,
            low=0.0,
            high=LARGEST,
            source="number of polynomials taken",
        )
