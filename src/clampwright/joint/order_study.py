"""Orders and plans of passes side by side: what each leaves behind, with and without scatter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import Missing
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint._shapes import Numbers
from clampwright.joint.interaction import checked_matrix
from clampwright.joint.passes import Pass, PassResult, tighten_passes
from clampwright.words import words


@dataclass(frozen=True, slots=True)
class OrderRow:
    """What one order leaves behind.

    Parameters
    ----------
    name : str
    order : tuple of int
    evenness : tuple of float
        Smallest clamp load over largest after each pass, without scatter.
    least : float
        Smallest clamp load in the end over the target, without scatter.
    least_band : tuple of float
        5 %, 50 % and 95 % points of the same with friction scatter; three equal figures without.
    slack : tuple of int
        Fasteners that lost all clamp load on the way.
    passes : tuple of PassResult
        The passes without scatter.
    """

    name: str
    order: tuple[int, ...]
    evenness: tuple[float, ...]
    least: float
    least_band: tuple[float, float, float]
    slack: tuple[int, ...]
    passes: tuple[PassResult, ...]


def compare_orders(
    matrix: ArrayLike,
    orders: Mapping[str, Numbers],
    target: ArrayLike,
    *,
    shares: Sequence[float] = (1.0,),
    closing: Numbers | None = None,
    gain: ArrayLike = 1.0,
) -> tuple[OrderRow, ...]:
    """Run the same plan of passes in several orders, best first.

    Parameters
    ----------
    matrix : array_like, shape (n, n)
        Interaction matrix B.
    orders : mapping of str to sequence of int
        Name and order of each candidate.
    target : array_like
        Clamp load aimed at, N: one number or one per fastener.
    shares : sequence of float
        Share of the target in each pass, such as (0.3, 0.6, 1.0).
    closing : sequence of int, optional
        Order of one more pass at the full target, such as once round the circle.
    gain : array_like, shape (samples, n)
        Friction scatter, see `clampwright.joint.scatter.clamp_factors`; the same samples for each
        order, so that differences are the order's own.

    Returns
    -------
    tuple of OrderRow
        Best first: by the 5 % point of the smallest clamp load.

    Raises
    ------
    Missing
        There is no order or no share.
    OutOfRange
        As `clampwright.joint.passes.tighten`.
    ClampwrightError
        As `clampwright.joint.passes.tighten`.

    References
    ----------
    Passes as in `clampwright.joint.passes`; ranking by the 5 % point is ours.

    Examples
    --------
    >>> B = [[1, -0.2, 0.04], [-0.2, 1, -0.2], [0.04, -0.2, 1]]
    >>> for row in compare_orders(B, {"along": (1, 2, 3), "middle first": (2, 1, 3)}, 20_000):
    ...     print(row.name, [round(even, 3) for even in row.evenness])
    along [0.76]
    middle first [0.506]
    """
    if not orders:
        raise Missing(words("a comparison needs at least one order"), "orders")
    B = checked_matrix(matrix)
    part = _checks.above("shares", _shapes.row("shares", shares))
    aim = _shapes.per_fastener("target", _checks.above("target", target, unit="N"), len(B))
    factor = _shapes.per_fastener("gain", gain, len(B))
    rows = []
    for name, order in orders.items():
        plan = [(order, share * aim) for share in part]
        if closing is not None:
            plan.append((closing, aim))
        rows.append(_row(B, name, plan, factor))
    return tuple(sorted(rows, key=lambda row: -row.least_band[0]))


def _row(B: Floats, name: str, plan: Sequence[tuple[Numbers, Floats]], gain: Floats) -> OrderRow:
    exact = tighten_passes(B, [Pass(order, target) for order, target in plan])
    scattered = tighten_passes(B, [Pass(order, target, gain) for order, target in plan])
    last, varied = exact[-1], scattered[-1]
    least = (varied.clamp / varied.target).min(axis=-1)
    low, middle, high = np.quantile(least, (0.05, 0.5, 0.95))
    gone = np.any([done.slack for done in exact], axis=0)
    return OrderRow(
        name=name,
        order=exact[0].order,
        evenness=tuple(float(done.evenness) for done in exact),
        least=float((last.clamp / last.target).min()),
        least_band=(float(low), float(middle), float(high)),
        slack=tuple(int(k) + 1 for k in np.flatnonzero(gone)),
        passes=exact,
    )
