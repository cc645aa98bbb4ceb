"""The recommended rule for one joint: robust limits for its size, and an absolute band."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.joint import _checks, _shapes
from clampwright.joint.outlier_limits import modified_z_limit
from clampwright.joint.outliers import modified_z
from clampwright.words import Words, words

FEWEST = 4
"""Below, only the band is used: the set is too small to tell what is usual."""


@dataclass(frozen=True, slots=True)
class Unusual:
    """A fastener that behaved unlike the others.

    Parameters
    ----------
    number : int
        Which value it is, counted from 1.
    value : float
    deviation : float
        Difference from the joint's median as a share of it.
    z : float or None
        Modified z; None in sets of fewer than 4.
    stands_out : bool
        Whether it lies further off than chance carries the furthest of so many.
    outside_band : bool
        Whether it lies outside the absolute band.
    reason : Words
    """

    number: int
    value: float
    deviation: float
    z: float | None
    stands_out: bool
    outside_band: bool
    reason: Words


@dataclass(frozen=True, slots=True)
class UnusualSet:
    """What was found in one joint.

    Parameters
    ----------
    median : float
    limit : float or None
        Limit of the modified z for this many values; None in sets of fewer than 4.
    band : float
        Half width of the absolute band as a share of the median.
    found : tuple of Unusual
        Furthest first; report them, never delete them.
    """

    median: float
    limit: float | None
    band: float
    found: tuple[Unusual, ...]


def unusual(values: ArrayLike, *, band: float, resolution: float | None = None) -> UnusualSet:
    """Find the fasteners of one joint that behaved unlike the others.

    Parameters
    ----------
    values : array_like, shape (n,)
        Final angle at equal torque, or final torque at equal angle; 2 to 100 values above 0.
    band : float
        Half width of the absolute band as a share of the median, above 0 and up to 1: twice the
        relative scatter that fasteners of this kind have of their own.
    resolution : float, optional
        Step of the readings, in their unit.

    Returns
    -------
    UnusualSet

    Raises
    ------
    OutOfRange
        An argument lies outside its range.
    ClampwrightError
        `values` is no row of numbers.

    References
    ----------
    Modified z with limits for small sets (`clampwright.joint.outlier_limits`); the band: ours.

    Examples
    --------
    >>> angles = [90, 91, 92, 91, 90, 92, 115, 116]
    >>> [one.number for one in unusual(angles, band=0.15).found]
    [8, 7]
    >>> print(unusual(angles, band=0.15).found[0].reason)
    116 is +27% from the joint's median 91.5: outside the band of ±15% and further off than chance
    carries one of 8
    """
    x = _shapes.row("values", values, least=2)
    _checks.above("values", x)
    _checks.above("band", band)
    width = float(_checks.within("band", band, low=0.0, high=1.0, source="share of the median"))
    median = float(np.median(x))
    enough = len(x) >= FEWEST
    z = modified_z(x, resolution=resolution) if enough else np.zeros_like(x)
    limit = modified_z_limit(len(x)).limit if enough else None
    found = []
    for k, value in enumerate(x):
        deviation = float(value) / median - 1.0
        out = abs(deviation) > width
        far = limit is not None and abs(float(z[k])) > limit
        if out or far:
            found.append(
                Unusual(
                    number=k + 1,
                    value=float(value),
                    deviation=deviation,
                    z=float(z[k]) if enough else None,
                    stands_out=far,
                    outside_band=out,
                    reason=_reason(
                        float(value), deviation, median, width, len(x), out=out, far=far
                    ),
                )
            )
    found.sort(key=lambda one: -abs(one.deviation))
    return UnusualSet(median, limit, width, tuple(found))


def _reason(
    value: float,
    deviation: float,
    median: float,
    band: float,
    count: int,
    *,
    out: bool,
    far: bool,
) -> Words:
    if out and far:
        return words(
            "{value:g} is {deviation:+.0%} from the joint's median {median:g}: outside the band of"
            " ±{band:.0%} and further off than chance carries one of {count}",
            value=value,
            deviation=deviation,
            median=median,
            band=band,
            count=count,
        )
    if out:
        return words(
            "{value:g} is {deviation:+.0%} from the joint's median {median:g}: outside the band of"
            " ±{band:.0%}",
            value=value,
            deviation=deviation,
            median=median,
            band=band,
        )
    return words(
        "{value:g} is {deviation:+.1%} from the joint's median {median:g}: further off than chance"
        " carries one of {count}, though inside the band",
        value=value,
        deviation=deviation,
        median=median,
        count=count,
    )
