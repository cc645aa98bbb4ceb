"""Many settings at once, for looking back over long histories. Needs NumPy, and only here."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.errors import OutOfRange
from clampwright.words import words


def deviations_at(
    torques: ArrayLike, set_torques: ArrayLike, deviations: ArrayLike
) -> NDArray[np.float64]:
    """Return deviations at many settings, straight lines between the calibrated points.

    Parameters
    ----------
    torques : array_like
        Settings, N·m.
    set_torques, deviations : array_like, shape (n,)
        Calibrated points: settings in N·m, rising, and a_s in percent.

    Returns
    -------
    ndarray
        Percent, of the shape of `torques`; not a number outside the points, where nothing is known.

    Raises
    ------
    OutOfRange
        When there is no point, or the points do not rise.

    Examples
    --------
    >>> deviations_at([10.0, 60.0], [20.0, 100.0], [-1.0, -3.0]).tolist()
    [nan, -2.0]
    """
    points = np.asarray(set_torques, dtype=float)
    if points.size == 0 or np.any(np.diff(points) <= 0):
        raise OutOfRange(
            words("calibrated points must rise from one to the next"), value=float(points.size)
        )
    wanted, known = (np.asarray(values, dtype=float) for values in (torques, deviations))
    found = np.interp(wanted, points, known, left=np.nan, right=np.nan)
    return np.asarray(found, dtype=float)
