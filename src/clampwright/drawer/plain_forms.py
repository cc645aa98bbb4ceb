"""The adapter relation the way it is asked for at the bench: what to set for a wanted torque."""

from __future__ import annotations

from clampwright.drawer.leverage import fastener_ratio
from clampwright.errors import OutOfRange
from clampwright.words import words


def adapter_setting(
    torque: float,
    *,
    length: float,
    adapter_length: float,
    adapter_angle: float = 0.0,
    pivot: float = 0.0,
    calibrated_length: float | None = None,
) -> float:
    """Return what to set on a wrench with an adapter for a torque at the fastener.

    ``S = T / ratio``, see `clampwright.drawer.leverage.fastener_ratio`.

    Parameters
    ----------
    torque : float
        Wanted at the fastener, N·m; 0 or more.
    length : float
        From the wrench's square to the hand, mm.
    adapter_length : float
        From the wrench's square to the fastener's axis, mm.
    adapter_angle : float
        Between adapter and handle line, degrees: 0 straight on, 90 square, 180 pointing back.
    pivot : float
        From the square to where the wrench senses the pull, mm.
    calibrated_length : float, optional
        Where the hand was at calibration, mm; `length` if not given.

    Returns
    -------
    float
        N·m.

    Raises
    ------
    OutOfRange
        As `clampwright.drawer.leverage.fastener_ratio`; a torque below 0.

    Notes
    -----
    US Army TM 9-2350-261-34, TM 1-1500-204-23-9 and TM 9-254; US Navy NAVEDTRA 14315.

    Examples
    --------
    >>> round(adapter_setting(100, length=400, adapter_length=60, adapter_angle=45), 4)
    90.4105
    """
    if not torque >= 0.0:
        raise OutOfRange(
            words("torque is {value:g} N·m; it cannot be below 0 N·m", value=torque),
            value=torque,
            low=0.0,
        )
    return torque / fastener_ratio(
        length=length,
        adapter_length=adapter_length,
        adapter_angle=adapter_angle,
        pivot=pivot,
        calibrated_length=calibrated_length,
    )
