"""Passes over a joint whose fasteners influence each other: who holds what after which pull.

A torque-controlled pull turns a fastener until it holds what its torque gives; one that already
holds as much does not move, and is not loosened. Every pull changes the others by a column of the
interaction matrix (`clampwright.joint.interaction`).

Linear: a fastener that loses all its clamp load again has gone slack, which this model cannot
follow; the results say so (`slack`). One that holds nothing yet is taken as touching: its load may
stand below zero until its turn. `clampwright.joint.slack` follows fasteners that are loose.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.errors import Missing
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint._shapes import Numbers
from clampwright.joint.interaction import checked_matrix
from clampwright.words import words

MOST_PASSES = 50
"""Passes after which a repetition is given up (ours)."""

MOST_RESTART = 0.5
"""Largest extra torque to restart a fastener that is taken (ours; 2 to 10 % is usual)."""


@dataclass(frozen=True, slots=True)
class Pass:
    """One trip through an order, to be done.

    Parameters
    ----------
    order : sequence of int
        Fastener numbers from 1 in the order of tightening; an `Order` will do. Some may be left
        out or come twice.
    target : array_like
        Clamp load aimed at, N: one number, or one per fastener.
    gain : array_like, shape (n,) or (samples, n)
        What each fastener really gets over what is aimed at: friction scatter, see
        `clampwright.joint.scatter.clamp_factors`.

    Examples
    --------
    >>> Pass((1, 3, 2), 20_000).target
    20000
    """

    order: Numbers
    target: ArrayLike
    gain: ArrayLike = 1.0


@dataclass(frozen=True, slots=True)
class PassResult:
    """A pass that was done.

    Parameters
    ----------
    order : tuple of int
        Fastener numbers in the order they were taken.
    target : ndarray, shape (n,)
        Clamp load aimed at, N.
    clamp : ndarray, shape (..., n)
        Clamp loads after the pass, N; a row for each sample of scatter.
    gained : ndarray, shape (..., pulls)
        What each pull added to its own fastener, N; 0 where it did not move.
    slack : ndarray of bool, shape (..., n)
        Whether a fastener lost all the clamp load it had: it went slack, and the linear model went
        too far.
    history : ndarray, shape (pulls + 1, n), or None
        Clamp loads before the first and after each pull, N; None where samples were given.
    """

    order: tuple[int, ...]
    target: Floats
    clamp: Floats
    gained: Floats
    slack: NDArray[np.bool_]
    history: Floats | None

    @property
    def evenness(self) -> Floats:
        """Smallest clamp load of the joint over its largest, for each sample; 1 is even."""
        least, most = self.clamp.min(axis=-1), self.clamp.max(axis=-1)
        even: Floats = (least / np.where(most > 0.0, most, np.inf))[()]
        return even

    @property
    def shortfall(self) -> Floats:
        """Largest share by which a fastener falls short of its target, for each sample."""
        short: Floats = ((self.target - self.clamp) / self.target).max(axis=-1)[()]
        return short


def tighten(
    matrix: ArrayLike,
    order: Numbers,
    target: ArrayLike,
    *,
    start: ArrayLike = 0.0,
    gain: ArrayLike = 1.0,
    restart: float = 0.0,
) -> PassResult:
    """One torque-controlled pass.

    For each fastener j in turn: if ``F_j < t_j`` then ``F += B[:, j] (t_j − F_j)``.

    Parameters
    ----------
    matrix : array_like, shape (n, n)
        Interaction matrix B.
    order : sequence of int
        Fastener numbers from 1; some may be left out or come twice.
    target : array_like
        Clamp load aimed at, N: one number or one per fastener.
    start : array_like, shape (n,) or (samples, n)
        Clamp loads before the pass, N; none if not given.
    gain : array_like, shape (n,) or (samples, n)
        What each fastener really gets over what is aimed at.
    restart : float
        Extra torque, as a share, that it takes to start a standing fastener: one that holds more
        than ``t / (1 + restart)`` does not move.

    Returns
    -------
    PassResult

    Raises
    ------
    OutOfRange
        A number is NaN, a target or gain not positive, a fastener number outside 1 to n.
    ClampwrightError
        The matrix is not square, or rows do not have one number per fastener.

    References
    ----------
    Derived; see `clampwright.joint.interaction`.

    Examples
    --------
    >>> B = [[1, -0.2, 0.04], [-0.2, 1, -0.2], [0.04, -0.2, 1]]
    >>> done = tighten(B, [1, 2, 3], 20_000)
    >>> [round(float(clamp)) for clamp in done.clamp]
    [16160, 15200, 20000]
    >>> round(float(done.evenness), 3)
    0.76
    """
    B = checked_matrix(matrix)
    count = len(B)
    places = _shapes.fasteners("order", order, count, each_once=False)
    aim = _shapes.per_fastener("target", _checks.above("target", target, unit="N"), count)
    aim = _shapes.row("target", aim)
    begin = _shapes.per_fastener("start", start, count)
    factor = _shapes.per_fastener("gain", _checks.above("gain", gain), count)
    held = _checks.within("restart", restart, low=0.0, high=MOST_RESTART, source="ours")
    shape = _checks.shapes_fit(start=begin, gain=factor)
    # Fasteners first, so that one fastener over all samples is one stretch of memory.
    clamp = np.array(np.moveaxis(np.broadcast_to(begin, shape), -1, 0), order="C")
    stop = np.moveaxis(np.broadcast_to(aim * factor, shape), -1, 0)
    slack, clamped = np.zeros(clamp.shape, dtype=bool), clamp > 0.0
    history = np.empty((len(places) + 1, count)) if clamp.ndim == 1 else None
    if history is not None:
        history[0] = clamp
    gained = np.zeros((len(places), *clamp.shape[1:]))
    columns = np.ascontiguousarray(B.T)
    for pull, place in enumerate(places):
        moves = clamp[place] * (1.0 + held) < stop[place]
        gained[pull] = np.where(moves, stop[place] - clamp[place], 0.0)
        clamp += np.multiply.outer(columns[place], gained[pull])
        clamped[place] |= moves
        slack |= clamped & (clamp < 0.0)
        if history is not None:
            history[pull + 1] = clamp
    return PassResult(
        order=tuple(place + 1 for place in places),
        target=aim,
        clamp=np.moveaxis(clamp, 0, -1),
        gained=np.moveaxis(gained, 0, -1),
        slack=np.moveaxis(slack, 0, -1),
        history=history,
    )


def tighten_passes(
    matrix: ArrayLike,
    passes: Sequence[Pass],
    *,
    start: ArrayLike = 0.0,
    restart: float = 0.0,
) -> tuple[PassResult, ...]:
    """Several passes, each from where the one before has left the joint.

    Parameters
    ----------
    matrix : array_like, shape (n, n)
        Interaction matrix B.
    passes : sequence of Pass
        What to do, in turn.
    start : array_like
        Clamp loads before the first pass, N.
    restart : float
        As in `tighten`.

    Returns
    -------
    tuple of PassResult

    Raises
    ------
    Missing
        There is no pass.
    OutOfRange
        As `tighten`.
    ClampwrightError
        As `tighten`.

    References
    ----------
    As `tighten`.

    Examples
    --------
    >>> B = [[1, -0.2, 0.04], [-0.2, 1, -0.2], [0.04, -0.2, 1]]
    >>> steps = [Pass((1, 3, 2), share * 20_000) for share in (0.3, 0.6, 1.0)]
    >>> [round(float(done.evenness), 3) for done in tighten_passes(B, steps)]
    [0.722, 0.851, 0.882]
    """
    if not passes:
        raise Missing(words("a plan of passes needs at least one pass"), "passes")
    done: list[PassResult] = []
    clamp: ArrayLike = start
    for one in passes:
        done.append(
            tighten(matrix, one.order, one.target, start=clamp, gain=one.gain, restart=restart)
        )
        clamp = done[-1].clamp
    return tuple(done)


@dataclass(frozen=True, slots=True)
class Repetition:
    """The same pass repeated until nothing turned any more.

    Parameters
    ----------
    passes : tuple of PassResult
        The last one is the pass in which nothing turned, if `still`.
    still : bool
        Whether it came to rest; False if it was given up before.
    """

    passes: tuple[PassResult, ...]
    still: bool


def until_still(
    matrix: ArrayLike,
    one: Pass,
    *,
    tolerance: float,
    start: ArrayLike = 0.0,
    restart: float = 0.0,
    most: int = MOST_PASSES,
) -> Repetition:
    """Repeat a pass until no fastener turns on by more than a small share of its target.

    Parameters
    ----------
    matrix : array_like, shape (n, n)
        Interaction matrix B.
    one : Pass
        The pass to repeat.
    tolerance : float
        Share of the target below which a gain counts as "did not turn"; above 0.
    start : array_like
        Clamp loads before, N.
    restart : float
        As in `tighten`.
    most : int
        Passes after which to give up.

    Returns
    -------
    Repetition

    Raises
    ------
    OutOfRange
        As `tighten`; a tolerance not above 0.
    ClampwrightError
        As `tighten`.

    Notes
    -----
    The practice "circular until no nut turns". With samples of scatter it goes on until none of
    them turns.

    References
    ----------
    ASME PCC-1, circular passes, from memory.

    Examples
    --------
    >>> B = [[1, -0.2, 0.04], [-0.2, 1, -0.2], [0.04, -0.2, 1]]
    >>> rest = until_still(B, Pass((1, 2, 3), 20_000), tolerance=0.01)
    >>> rest.still, [round(float(done.evenness), 3) for done in rest.passes]
    (True, [0.76, 0.946, 0.996, 1.0])
    """
    small = _checks.above("tolerance", tolerance)
    limit = _shapes.whole("most", most, low=1, high=1000)
    done: list[PassResult] = []
    clamp: ArrayLike = start
    for _ in range(limit):
        result = tighten(matrix, one.order, one.target, start=clamp, gain=one.gain, restart=restart)
        done.append(result)
        clamp = result.clamp
        aim = result.target[[number - 1 for number in result.order]]
        if not (result.gained > small * aim).any():
            return Repetition(tuple(done), still=True)
    return Repetition(tuple(done), still=False)
