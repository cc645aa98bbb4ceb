"""Passes in which a fastener may be loose: it carries nothing until it touches.

`clampwright.joint.passes` is linear: a fastener not yet tightened already stiffens the joint, and
one that is let go of may end up pushing. Here each fastener either holds (F > 0, no gap) or is
loose (F = 0, a gap): a linear complementarity problem with ``gap = (D + G) F − u``, solved exactly
after each pull. This is what the first pass over an untouched joint does.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.errors import Missing
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint.interaction import joint_compliance
from clampwright.joint.passes import Pass, PassResult
from clampwright.words import words

_ROUNDING = 1e-12  # share of the largest load that is no more than rounding
_BLOCKS = 10  # block steps that may fail to improve before single steps, which cannot cycle


def tighten_with_slack(
    passes: Sequence[Pass],
    *,
    bolt_resilience: ArrayLike,
    flexibility: ArrayLike,
    start: ArrayLike = 0.0,
) -> tuple[PassResult, ...]:
    """Torque-controlled passes over fasteners that may be loose.

    Parameters
    ----------
    passes : sequence of Pass
        What to do, in turn; `gain` with one number per fastener at most.
    bolt_resilience : array_like
        As `clampwright.joint.interaction.influence`, mm/N.
    flexibility : array_like, shape (n, n)
        G, mm/N.
    start : array_like
        Clamp loads before the first pass, N; a fastener with none just touches.

    Returns
    -------
    tuple of PassResult
        `slack` marks those that hold nothing after the pass.

    Raises
    ------
    Missing
        There is no pass.
    OutOfRange
        A number is NaN, a target or gain not positive, a start below zero.
    ClampwrightError
        As `clampwright.joint.interaction.influence`; rows without one number per fastener.

    Notes
    -----
    The parts themselves never separate, and friction does not scatter within a pass.

    References
    ----------
    Derived; solution by block principal pivoting (Júdice and Pires 1994, from memory). Checked by
    hand for two fasteners and against the linear model where nothing is loose.

    Examples
    --------
    >>> G = [[1e-6, 5e-7], [5e-7, 1e-6]]
    >>> (done,) = tighten_with_slack([Pass((1, 2), 20_000)], bolt_resilience=4e-6, flexibility=G)
    >>> [round(float(clamp)) for clamp in done.clamp]
    [18000, 20000]
    """
    if not passes:
        raise Missing(words("a plan of passes needs at least one pass"), "passes")
    Q = joint_compliance(bolt_resilience=bolt_resilience, flexibility=flexibility)
    clamp = _checks.not_negative("start", start, unit="N")
    clamp = _shapes.row("start", _shapes.per_fastener("start", clamp, len(Q)))
    drawn_in = Q @ clamp  # u: how far each nut has been turned past first contact, as a length
    done: list[PassResult] = []
    for one in passes:
        result, drawn_in = _one_pass(Q, one, clamp, drawn_in)
        done.append(result)
        clamp = result.clamp
    return tuple(done)


def _one_pass(Q: Floats, one: Pass, clamp: Floats, drawn_in: Floats) -> tuple[PassResult, Floats]:
    count = len(Q)
    places = _shapes.fasteners("order", one.order, count, each_once=False)
    aim = _shapes.per_fastener("target", _checks.above("target", one.target, unit="N"), count)
    aim = _shapes.row("target", aim)
    factor = _shapes.per_fastener("gain", _checks.above("gain", one.gain), count)
    stop = aim * _shapes.row("gain", factor)
    history, gained = [clamp], np.zeros(len(places))
    drawn_in = drawn_in.copy()
    for pull, place in enumerate(places):
        if clamp[place] < stop[place]:
            gained[pull] = stop[place] - clamp[place]
            clamp = _held_at(Q, drawn_in, clamp, place, float(stop[place]))
            drawn_in[place] = Q[place] @ clamp
        history.append(clamp)
    result = PassResult(
        order=tuple(place + 1 for place in places),
        target=aim,
        clamp=clamp,
        gained=gained,
        slack=clamp <= 0.0,
        history=np.array(history),
    )
    return result, drawn_in


def _held_at(Q: Floats, drawn_in: Floats, clamp: Floats, place: int, load: float) -> Floats:
    """Return all clamp loads when one fastener holds a given load and no other nut has turned."""
    others = np.arange(len(Q)) != place
    after = np.empty_like(clamp)
    after[place] = load
    after[others] = _complementary(
        Q[np.ix_(others, others)],
        drawn_in[others] - Q[others, place] * load,
        clamp[others] > 0.0,
        _ROUNDING * load,
    )
    return after


def _complementary(Q: Floats, free: Floats, holding: NDArray[np.bool_], small: float) -> Floats:
    """Return F >= 0 with gap = Q F - free >= 0 where either F or the gap is zero.

    `holding` is a first guess of the fasteners that hold. A guess with fewer contradictions than
    any before is taken whole; else, from the tenth time on, only its last contradiction is mended,
    which ends for every positive definite Q (Murty's rule).
    """
    holding = holding.copy()
    fewest, patience = len(Q) + 1, _BLOCKS
    scale = float(np.abs(Q).max()) if len(Q) else 0.0
    while True:
        force = np.zeros_like(free)
        force[holding] = np.linalg.solve(Q[np.ix_(holding, holding)], free[holding])
        gap = Q @ force - free
        wrong = np.where(holding, force < -small, gap < -small * scale)
        count = int(wrong.sum())
        if count == 0:
            return np.maximum(force, 0.0)
        if count < fewest:
            fewest, patience = count, _BLOCKS
        else:
            patience -= 1
        if patience > 0:
            holding ^= wrong
        else:
            last = int(np.flatnonzero(wrong)[-1])
            holding[last] ^= True
