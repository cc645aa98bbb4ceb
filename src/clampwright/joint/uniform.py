"""The inverse: what to set so that the last pull leaves every fastener with the same clamp load.

``F_final = F_0 + B x``, so the gains ``x = B⁻¹ (F* − F_0)`` do **not** depend on the order. The
load to set fastener j to when its turn comes does: ``t_j = F_0,j + Σ B_jk x_k`` over all k up to
and with j in the order. The last fastener always gets exactly the target.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint._shapes import Numbers
from clampwright.joint.interaction import checked_matrix
from clampwright.words import Words, words

_ROUNDING = 1e-9  # shares of the target that are no more than rounding


@dataclass(frozen=True, slots=True)
class UniformPass:
    """One pass with a setting of its own for each fastener.

    Parameters
    ----------
    order : tuple of int
        Fastener numbers in the order they are taken.
    target : ndarray, shape (n,)
        Clamp load that each holds in the end, N.
    gains : ndarray, shape (n,)
        x: what each pull adds to its own fastener, N; the same for every order.
    settings : ndarray, shape (n,)
        t: clamp load to tighten each fastener to when its turn comes, N, by fastener.
    history : ndarray, shape (n + 1, n)
        Clamp loads before the first and after each pull, N.
    problems : tuple of Words
        Why the pass cannot be done as it is; empty if it can.
    """

    order: tuple[int, ...]
    target: Floats
    gains: Floats
    settings: Floats
    history: Floats
    problems: tuple[Words, ...]

    @property
    def feasible(self) -> bool:
        """Whether the pass can be done."""
        return not self.problems


def uniform_pass(
    matrix: ArrayLike,
    order: Numbers,
    target: ArrayLike,
    *,
    start: ArrayLike = 0.0,
    limit: ArrayLike | None = None,
) -> UniformPass:
    """Clamp loads to set in one pass so that it leaves every fastener at its target.

    Parameters
    ----------
    matrix : array_like, shape (n, n)
        Interaction matrix B.
    order : sequence of int
        Every fastener number from 1 to n once.
    target : array_like
        F*, N: one number or one per fastener.
    start : array_like
        F_0, N: computed, or measured after a real pass.
    limit : array_like, optional
        Largest clamp load that each fastener, and the gasket under it, may ever see, N.

    Returns
    -------
    UniformPass
        With the reasons why it cannot be done, if any: a setting above the limit, a fastener that
        goes slack on the way, or one that would have to be loosened. Then take several passes:
        `uniform_passes`.

    Raises
    ------
    OutOfRange
        A number is NaN, a target or limit not positive, a start below zero.
    ClampwrightError
        The matrix is not square or cannot be inverted; the order lacks a fastener.

    Notes
    -----
    Linear, without friction scatter: each gain carries the scatter of its own friction. Gasket
    hysteresis is not in it. A fastener that holds nothing yet is taken as touching: the model lets
    its load go below zero until its turn, which is not counted as going slack.

    References
    ----------
    Derived; method of elastic interaction coefficients: Bibel and Ezell 1992; Goddard and Bibel
    1994, from memory (their figures not checked).

    Examples
    --------
    >>> B = [[1, -0.2, 0.04], [-0.2, 1, -0.2], [0.04, -0.2, 1]]
    >>> plan = uniform_pass(B, [1, 2, 3], 20_000)
    >>> [round(float(load)) for load in plan.settings]
    [25000, 25000, 20000]
    >>> [round(float(load)) for load in plan.history[-1]]
    [20000, 20000, 20000]
    """
    B = checked_matrix(matrix)
    count = len(B)
    places = _shapes.fasteners("order", order, count, each_once=True)
    aim = _checks.above("target", target, unit="N")
    aim = _shapes.row("target", _shapes.per_fastener("target", aim, count))
    begin = _checks.not_negative("start", start, unit="N")
    begin = _shapes.row("start", _shapes.per_fastener("start", begin, count))
    gains = _solved(B, aim - begin)
    steps = (B * gains)[:, places].T  # what each pull, in its turn, does to all
    history = begin + np.vstack([np.zeros(count), np.cumsum(steps, axis=0)])
    settings = np.empty(count)
    settings[list(places)] = history[1:][np.arange(count), list(places)]
    ceiling = None
    if limit is not None:
        ceiling = _checks.above("limit", limit, unit="N")
        ceiling = _shapes.row("limit", _shapes.per_fastener("limit", ceiling, count))
    plan = UniformPass(
        order=tuple(place + 1 for place in places),
        target=aim,
        gains=gains,
        settings=settings,
        history=history,
        problems=(),
    )
    return _with_problems(plan, ceiling)


def uniform_passes(
    matrix: ArrayLike,
    order: Numbers,
    target: ArrayLike,
    *,
    shares: Sequence[float],
    start: ArrayLike = 0.0,
    limit: ArrayLike | None = None,
) -> tuple[UniformPass, ...]:
    """Several passes with a setting for each fastener, raising the joint evenly step by step.

    Parameters
    ----------
    matrix : array_like, shape (n, n)
        Interaction matrix B.
    order : sequence of int
        Every fastener number from 1 to n once.
    target : array_like
        Clamp load in the end, N.
    shares : sequence of float
        Share of the target that each pass leaves, rising; the last is usually 1.
    start, limit : array_like
        As in `uniform_pass`.

    Returns
    -------
    tuple of UniformPass

    Raises
    ------
    Missing
        No share is given.
    OutOfRange
        As `uniform_pass`; a share not above 0 or above 1.
    ClampwrightError
        As `uniform_pass`; shares that do not rise.

    References
    ----------
    As `uniform_pass`.

    Examples
    --------
    >>> B = [[1, -0.2, 0.04], [-0.2, 1, -0.2], [0.04, -0.2, 1]]
    >>> for one in uniform_passes(B, [1, 3, 2], 20_000, shares=(0.5, 1.0)):
    ...     print([round(float(load)) for load in one.settings])
    [12500, 10000, 13000]
    [22500, 20000, 23000]
    """
    if not len(shares):
        raise Missing(words("a plan of passes needs at least one pass"), "shares")
    part = _checks.above("shares", _shapes.row("shares", shares))
    _checks.within("shares", part, low=0.0, high=1.0, source="share of the target")
    if (np.diff(part) <= 0.0).any():
        raise ClampwrightError(words("shares must rise from pass to pass"))
    aim = _checks.above("target", target, unit="N")
    begin: ArrayLike = start
    done: list[UniformPass] = []
    for share in part:
        one = uniform_pass(matrix, order, share * aim, start=begin, limit=limit)
        done.append(one)
        begin = one.target
    return tuple(done)


def _solved(B: Floats, wanted: Floats) -> Floats:
    try:
        gains = np.asarray(np.linalg.solve(B, wanted), dtype=np.float64)
    except np.linalg.LinAlgError:
        gains = np.full_like(wanted, np.nan)
    # A matrix that is singular but for rounding gives huge gains that cancel.
    if not np.isfinite(gains).all() or np.abs(gains).max() > 1e6 * np.abs(wanted).max():
        raise ClampwrightError(
            words("the interaction matrix cannot be inverted: its columns depend on each other")
        )
    return gains


def _with_problems(plan: UniformPass, limit: Floats | None) -> UniformPass:
    small = _ROUNDING * plan.target
    found = [
        words(
            "fastener {number} would have to be loosened by {amount:.0f} N",
            number=int(k) + 1,
            amount=float(-plan.gains[k]),
        )
        for k in np.flatnonzero(plan.gains < -small)
    ]
    found += [
        words("fastener {number} would go slack on the way", number=int(k) + 1)
        for k in np.flatnonzero(_goes_slack(plan, small))
    ]
    if limit is not None:
        highest = plan.history.max(axis=0)
        found += [
            words(
                "fastener {number} would reach {load:.0f} N; its limit is {limit:.0f} N",
                number=int(k) + 1,
                load=float(highest[k]),
                limit=float(limit[k]),
            )
            for k in np.flatnonzero(highest > limit + small)
        ]
    return replace(plan, problems=tuple(found))


def _goes_slack(plan: UniformPass, small: Floats) -> NDArray[np.bool_]:
    """Tell which fasteners lose all clamp load after they had some."""
    turn = np.empty(len(plan.order), dtype=np.intp)
    turn[[number - 1 for number in plan.order]] = np.arange(1, len(plan.order) + 1)
    after = np.arange(len(plan.history))[:, np.newaxis] >= turn
    clamped = after | (plan.history[0] > 0.0)
    slack: NDArray[np.bool_] = ((plan.history < -small) & clamped).any(axis=0)
    return slack
