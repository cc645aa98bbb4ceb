"""What passes leave behind when fasteners influence each other, in one piece for a person."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from clampwright.joint.order_study import OrderRow, compare_orders
from clampwright.joint.passes import Pass, Repetition, until_still
from clampwright.joint.scatter import clamp_factors
from clampwright.joint.uniform import UniformPass, uniform_passes
from clampwright.trace.model import Floats

STILL = 0.01
"""A fastener that gains less than this share of its target "did not turn" (ours)."""
SAMPLES = 2000
_SEED = 20_260


@dataclass(frozen=True, slots=True)
class PassStudy:
    """Orders side by side, one of them repeated, and what to set so that all end equal.

    Parameters
    ----------
    matrix : ndarray, shape (n, n)
        Interaction matrix.
    target : float
        Clamp load aimed at, N.
    shares : tuple of float
        Share of the target in each pass.
    scatter : float
        Relative standard deviation between fasteners; 0 for none.
    rows : tuple of OrderRow
        Best first.
    repeated : Repetition
        The chosen order at the full target, until nothing turns any more.
    settings : tuple of UniformPass
        The chosen order with a clamp load of its own for each fastener.
    """

    matrix: Floats
    target: float
    shares: tuple[float, ...]
    scatter: float
    rows: tuple[OrderRow, ...]
    repeated: Repetition
    settings: tuple[UniformPass, ...]

    @property
    def chosen(self) -> OrderRow:
        """The order that is repeated and has settings."""
        order = self.settings[0].order
        return next(row for row in self.rows if row.order == order)

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data; forces in N."""
        return {
            "target_N": self.target,
            "shares": list(self.shares),
            "scatter": self.scatter,
            "matrix": self.matrix.tolist(),
            "orders": [_row_json(row) for row in self.rows],
            "repeated": {
                "order": list(self.repeated.passes[0].order),
                "evenness": [float(done.evenness) for done in self.repeated.passes],
                "still": self.repeated.still,
            },
            "settings": [
                {
                    "share": share,
                    "order": list(one.order),
                    "clamp_N": one.settings.tolist(),
                    "problems": [str(problem) for problem in one.problems],
                }
                for share, one in zip(self.shares, self.settings, strict=True)
            ],
        }


def study_passes(
    matrix: Floats,
    orders: Mapping[str, Sequence[int]],
    target: float,
    *,
    shares: Sequence[float],
    closing: Sequence[int] | None = None,
    scatter: float = 0.0,
) -> PassStudy:
    """Compare orders, repeat the first one, and turn the question round.

    Parameters
    ----------
    matrix : ndarray, shape (n, n)
        Interaction matrix.
    orders : mapping of str to sequence of int
        The first is the one that is repeated and for which settings are worked out.
    target : float
        Clamp load aimed at, N.
    shares : sequence of float
        Share of the target in each pass, rising to 1.
    closing : sequence of int, optional
        Order of one more pass at the full target.
    scatter : float
        Relative standard deviation between fasteners, 0 to 0.5.

    Returns
    -------
    PassStudy

    Raises
    ------
    ClampwrightError
        As the functions of `clampwright.joint` that do the work.

    Examples
    --------
    >>> import numpy as np
    >>> B = np.array([[1, -0.2, 0.04], [-0.2, 1, -0.2], [0.04, -0.2, 1]])
    >>> study = study_passes(B, {"along": (1, 2, 3), "outer first": (1, 3, 2)}, 20_000,
    ...                      shares=(0.5, 1.0))
    >>> [row.name for row in study.rows], len(study.repeated.passes)
    (['along', 'outer first'], 4)
    >>> study.settings[-1].settings.round().tolist()
    [22500.0, 22500.0, 20000.0]
    """
    chosen = next(iter(orders.values()))
    gain: Any = 1.0
    if scatter:
        gain = clamp_factors(
            len(matrix),
            samples=SAMPLES,
            common_u_rel=0.0,
            individual_u_rel=scatter,
            seed=_SEED,
        )
    rows = compare_orders(matrix, orders, target, shares=shares, closing=closing, gain=gain)
    return PassStudy(
        matrix=matrix,
        target=target,
        shares=tuple(shares),
        scatter=scatter,
        rows=rows,
        repeated=until_still(matrix, Pass(chosen, target), tolerance=STILL),
        settings=uniform_passes(matrix, chosen, target, shares=shares),
    )


def _row_json(row: OrderRow) -> dict[str, Any]:
    low, middle, high = row.least_band
    return {
        "name": row.name,
        "order": list(row.order),
        "evenness": list(row.evenness),
        "least": row.least,
        "least_p05": low,
        "least_p50": middle,
        "least_p95": high,
        "slack": list(row.slack),
        "clamp_N": row.passes[-1].clamp.tolist(),
    }
