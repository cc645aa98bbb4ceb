"""The tightening factor α_A, and published scatter of tightening methods.

What multiple of the standard deviation the published figures are is not said in their sources; two
standard deviations is a fair reading (ours).
"""

from __future__ import annotations

from dataclasses import dataclass

from numpy.typing import ArrayLike

from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.joint._tables import rows
from clampwright.standards.tables import cited, optional

SPAN = "definition of the tightening factor"


def tightening_factor(scatter: ArrayLike) -> Floats:
    """Tightening factor that a scatter ± stands for, ``α_A = (1 + s)/(1 − s)``.

    Parameters
    ----------
    scatter : array_like
        Half the span over the middle, 0 to below 1 (0.23 is ±23 %).

    Returns
    -------
    float or ndarray
        F_max/F_min. The way back: `clampwright.joint.uncertainty.scatter_from_tightening_factor`.

    Raises
    ------
    OutOfRange
        The scatter lies outside its range.

    References
    ----------
    Definition of the factor in VDI 2230-1, from memory.

    Examples
    --------
    >>> round(float(tightening_factor(0.2308)), 2)
    1.6
    """
    half = _checks.not_negative("scatter", scatter)
    rest = _checks.above("1 − scatter", 1.0 - half)
    return (1.0 + half) / rest


def least_preload(largest: ArrayLike, *, alpha: ArrayLike) -> Floats:
    """Smallest preload to reckon with, ``F_M min = F_M max / α_A``.

    Parameters
    ----------
    largest : array_like
        Largest preload, for which the bolt is chosen, N.
    alpha : array_like
        Tightening factor, 1 or more.

    Returns
    -------
    float or ndarray
        N.

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    VDI 2230-1, from memory.

    Examples
    --------
    >>> round(float(least_preload(41_900, alpha=1.8)))
    23278
    """
    force = _checks.not_negative("largest", largest, unit="N")
    factor = _checks.within("alpha", alpha, low=1.0, high=float("inf"), source=SPAN)
    _checks.shapes_fit(largest=force, alpha=factor)
    return force / factor


@dataclass(frozen=True, slots=True)
class MethodScatter:
    """Published scatter of a tightening method.

    Parameters
    ----------
    scheme : str
        Whose table it stands in.
    method : str
    alpha_low, alpha_high : float or None
        Tightening factor; None where the source gives a percentage only.
    scatter_low, scatter_high : float
        ± as a fraction.
    source : str
    flag : str
        What is doubtful about the row.
    """

    scheme: str
    method: str
    alpha_low: float | None
    alpha_high: float | None
    scatter_low: float
    scatter_high: float
    source: str
    flag: str


def published_scatter() -> tuple[MethodScatter, ...]:
    """Return the published scatter of tightening methods, table by table.

    Returns
    -------
    tuple of MethodScatter

    References
    ----------
    Each row names its own; see `MethodScatter`.

    Examples
    --------
    >>> by_feel = next(row for row in published_scatter() if row.method == "by feel")
    >>> by_feel.scheme, by_feel.scatter_high
    ("Machinery's Handbook", 0.35)
    """
    return tuple(
        MethodScatter(
            scheme=row["scheme"],
            method=row["method"],
            alpha_low=optional(row["alpha_min"]),
            alpha_high=optional(row["alpha_max"]),
            scatter_low=float(row["scatter_percent_min"]) / 100.0,
            scatter_high=float(row["scatter_percent_max"]) / 100.0,
            source=cited(row),
            flag=row["flag"],
        )
        for row in rows("tightening_scatter")
    )
