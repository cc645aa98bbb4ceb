"""What tightening one fastener does to the clamp load of the others: the interaction matrix.

A joint without separation is linear: ``(D + G) F = u`` with the fasteners' own resiliences D, the
flexibility G of the parts between them and the shortening u that turning imposes. So tightening
fastener j alone changes all clamp loads in the proportion of column j of ``C = (D + G)⁻¹``:

``B[i, j] = C[i, j] / C[j, j]``, the change at i per newton gained at j, **by columns**.

B comes from geometry (`interaction_matrix`) or from clamp loads measured during a pass
(`interaction_from_pulls`); measured columns go before computed ones (`with_measured`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint._shapes import Numbers
from clampwright.words import words

SYMMETRIC = 1e-9
"""Largest difference between G and its transpose, as a share of its largest element."""

CLEAR_GAIN = 3.0
"""A pull counts as a measurement when the fastener gained this many standard uncertainties of the
difference of two readings (ours)."""


def joint_compliance(*, bolt_resilience: ArrayLike, flexibility: ArrayLike) -> Floats:
    """Shortening that clamp loads take up, ``D + G``, checked to be that of an elastic joint.

    Parameters
    ----------
    bolt_resilience : array_like
        As `influence`, mm/N.
    flexibility : array_like, shape (n, n)
        G, mm/N.

    Returns
    -------
    ndarray, shape (n, n)
        mm/N.

    Raises
    ------
    OutOfRange
        As `influence`.
    ClampwrightError
        As `influence`.

    References
    ----------
    As `influence`.

    Examples
    --------
    >>> G = [[2e-6, 5e-7], [5e-7, 2e-6]]
    >>> joint_compliance(bolt_resilience=4e-6, flexibility=G).tolist()
    [[6e-06, 5e-07], [5e-07, 6e-06]]
    """
    G = _shapes.square("flexibility", flexibility)
    own = _checks.above("bolt_resilience", bolt_resilience, unit="mm/N")
    own = _shapes.per_fastener("bolt_resilience", own, len(G))
    if own.ndim != 1:
        _shapes.row("bolt_resilience", own)
    largest = float(np.abs(G).max())
    if np.abs(G - G.T).max() > SYMMETRIC * largest:
        raise ClampwrightError(
            words("flexibility must be symmetric: what j does to i, i does to j; check the matrix")
        )
    whole = G + np.diag(own)
    try:
        np.linalg.cholesky(whole)
    except np.linalg.LinAlgError:
        raise ClampwrightError(
            words(
                "bolt_resilience and flexibility belong to no elastic joint:"
                " some clamp load would give work back; check their units (mm/N)"
            )
        ) from None
    return whole


def influence(*, bolt_resilience: ArrayLike, flexibility: ArrayLike) -> Floats:
    """Clamp load per imposed shortening, ``C = (D + G)⁻¹``.

    Parameters
    ----------
    bolt_resilience : array_like
        Resilience of each fastener with what is compressed under its own head only, δ_S +
        δ_P,local, mm/N: one number or one per fastener.
    flexibility : array_like, shape (n, n)
        G, mm/N, see `clampwright.joint.flexibility`.

    Returns
    -------
    ndarray, shape (n, n)
        C, N/mm; symmetric.

    Raises
    ------
    OutOfRange
        A resilience is not positive.
    ClampwrightError
        G is not square, not symmetric, or so far from any elastic joint that the equations have
        no stable solution.

    References
    ----------
    Derived; method of elastic interaction coefficients: Van Campen 1969; Bibel and Ezell,
    J. Pressure Vessel Technol. 114 (1992), from memory.

    Examples
    --------
    >>> C = influence(bolt_resilience=4e-6, flexibility=[[1e-6, 5e-7], [5e-7, 1e-6]])
    >>> print(f"{C[0, 0]:.0f} and {C[0, 1]:.0f} N/mm")
    202020 and -20202 N/mm
    """
    whole = joint_compliance(bolt_resilience=bolt_resilience, flexibility=flexibility)
    return np.asarray(np.linalg.inv(whole), dtype=np.float64)


def interaction_matrix(*, bolt_resilience: ArrayLike, flexibility: ArrayLike) -> Floats:
    """Change of each clamp load per newton gained at the fastener being tightened.

    ``B[i, j] = C[i, j] / C[j, j]``, ``C = (D + G)⁻¹``

    Parameters
    ----------
    bolt_resilience : array_like
        Resilience of each fastener with what is compressed under its own head only, mm/N: one
        number or one per fastener.
    flexibility : array_like, shape (n, n)
        G, mm/N, see `clampwright.joint.flexibility`.

    Returns
    -------
    ndarray, shape (n, n)
        B without unit: column j belongs to tightening fastener j; 1 on the diagonal, neighbours
        negative. Not symmetric in general.

    Raises
    ------
    OutOfRange
        A resilience is not positive.
    ClampwrightError
        As `influence`.

    Notes
    -----
    Linear: no separation, no slack fastener, no gasket hysteresis. From geometry right to about
    ±50 % of the off-diagonal elements (ours).

    References
    ----------
    As `influence`.

    Examples
    --------
    >>> from clampwright.joint.flexibility import row_flexibility
    >>> G = row_flexibility([0, 80, 160, 240, 320], beam_stiffness=8.2e9, foundation=1800)
    >>> B = interaction_matrix(bolt_resilience=4.3503e-6, flexibility=G)
    >>> [f"{value:.4f}" for value in B[0]]
    ['1.0000', '-0.1864', '0.0384', '0.0087', '-0.0018']
    """
    C = influence(bolt_resilience=bolt_resilience, flexibility=flexibility)
    return C / np.diagonal(C)


@dataclass(frozen=True, slots=True)
class MeasuredInteraction:
    """Columns of the interaction matrix that measured pulls tell.

    Parameters
    ----------
    matrix : ndarray, shape (n, n)
        B; columns of fasteners without a clear pull hold NaN.
    u : ndarray, shape (n, n)
        Standard uncertainty of each element from the readings alone.
    known : ndarray of bool, shape (n,)
        Which columns are there.
    """

    matrix: Floats
    u: Floats
    known: NDArray[np.bool_]


def interaction_from_pulls(
    clamps: ArrayLike, pulled: Numbers, *, u_clamp: float
) -> MeasuredInteraction:
    """Interaction matrix from clamp loads measured on all fasteners after each pull.

    Column j is ``ΔF / ΔF_j`` over a pull on fastener j.

    Parameters
    ----------
    clamps : array_like, shape (pulls + 1, n)
        Clamp loads of all fasteners before the first pull and after each, N.
    pulled : sequence of int
        Number (from 1) of the fastener pulled each time; repeats are welcome.
    u_clamp : float
        Standard uncertainty of one reading, N; 0 if the readings are taken as exact.

    Returns
    -------
    MeasuredInteraction

    Raises
    ------
    ClampwrightError
        Shapes and the list of pulls do not fit each other, or no pull at all gained clearly.
    OutOfRange
        A number is NaN, a fastener number outside 1 to n, or `u_clamp` negative.

    Notes
    -----
    Where a fastener was pulled several times its last clear gain counts: while others were still
    loose the contact was another one. Pulls that gained less than three standard uncertainties
    are passed over.

    References
    ----------
    Method of elastic interaction coefficients, see `influence`; uncertainty by JCGM 100:2008,
    5.1 (from memory).

    Examples
    --------
    >>> found = interaction_from_pulls(
    ...     [[10_000, 10_000], [20_000, 8_000], [18_500, 18_000]], [1, 2], u_clamp=100
    ... )
    >>> [[round(float(b), 2) for b in row] for row in found.matrix]
    [[1.0, -0.15], [-0.2, 1.0]]
    >>> round(float(found.u[1, 0]), 4)
    0.0144
    """
    loads = _checks.number("clamps", clamps)
    if loads.ndim != 2 or loads.shape[0] != len(pulled) + 1:
        raise ClampwrightError(
            words(
                "clamps must have one row before the first pull and one after each of the {pulls}"
                " pulls, one column for each fastener, not shape {shape}",
                pulls=len(pulled),
                shape=str(loads.shape),
            )
        )
    u = float(_checks.not_negative("u_clamp", u_clamp, unit="N"))
    count = loads.shape[1]
    places = _shapes.fasteners("pulled", pulled, count, each_once=False)
    matrix, spread = np.full((count, count), np.nan), np.full((count, count), np.nan)
    for change, place in zip(np.diff(loads, axis=0), places, strict=True):
        gain = float(change[place])
        if gain <= CLEAR_GAIN * np.sqrt(2.0) * u:
            continue
        column = change / gain
        matrix[:, place] = column
        spread[:, place] = np.sqrt(2.0 * (1.0 + column**2)) * u / gain
        spread[place, place] = 0.0  # 1 by definition
    known = np.isfinite(matrix).all(axis=0)
    if not known.any():
        raise ClampwrightError(
            words("no pull raised its fastener clearly; the clamp loads tell no interaction")
        )
    return MeasuredInteraction(matrix, spread, known)


def with_measured(matrix: ArrayLike, measured: MeasuredInteraction) -> Floats:
    """Return a computed interaction matrix with its columns overwritten where measured ones exist.

    Parameters
    ----------
    matrix : array_like, shape (n, n)
        B from geometry.
    measured : MeasuredInteraction

    Returns
    -------
    ndarray, shape (n, n)

    Raises
    ------
    ClampwrightError
        The two have different sizes.

    References
    ----------
    That measured columns go before computed ones is ours; geometry alone is right to about half.

    Examples
    --------
    >>> found = interaction_from_pulls([[10, 10], [20, 8]], [1], u_clamp=0)
    >>> with_measured([[1, -0.1], [-0.1, 1]], found).tolist()
    [[1.0, -0.1], [-0.2, 1.0]]
    """
    B = checked_matrix(matrix)
    if B.shape != measured.matrix.shape:
        raise ClampwrightError(
            words(
                "the measured pulls belong to {measured} fasteners, the matrix to {computed}",
                measured=len(measured.matrix),
                computed=len(B),
            )
        )
    return np.where(measured.known, measured.matrix, B)


def checked_matrix(matrix: ArrayLike) -> Floats:
    """Return an interaction matrix, checked: square, finite, ones on its diagonal.

    Parameters
    ----------
    matrix : array_like, shape (n, n)

    Returns
    -------
    ndarray, shape (n, n)

    Raises
    ------
    ClampwrightError
        It is not square.
    OutOfRange
        An element is not finite, or a diagonal one is not 1.

    References
    ----------
    That a fastener does to itself what it is set to, 1, is what the matrix means; see `influence`.

    Examples
    --------
    >>> checked_matrix([[1, -0.2], [-0.2, 1]]).shape
    (2, 2)
    """
    B = _shapes.square("matrix", matrix)
    diagonal = np.diagonal(B)
    wrong = np.abs(diagonal - 1.0) > 1e-9
    if wrong.any():
        value = float(diagonal[wrong][0])
        raise OutOfRange(
            words(
                "the interaction matrix has {value:g} on its diagonal; 1 is needed:"
                " divide each column of C by its own diagonal element",
                value=value,
            ),
            value=value,
            low=1.0,
            high=1.0,
        )
    return B
