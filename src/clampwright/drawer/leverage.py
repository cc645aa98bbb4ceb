"""What reaches the fastener when an adapter moves it off the square, or the hand off its mark."""

from __future__ import annotations

import math

from clampwright.errors import OutOfRange
from clampwright.words import Words, words

GRIP_TOLERANCE = 10.0
"""mm. How far a hand strays from the grip mark: the ±10 mm of the load-point test in
ISO 6789-2:2017 (from memory)."""


def fastener_ratio(
    *,
    length: float,
    adapter_length: float = 0.0,
    adapter_angle: float = 0.0,
    pivot: float = 0.0,
    calibrated_length: float | None = None,
) -> float:
    """Return torque at the fastener over torque set on the wrench.

    ``T_fastener / T_set = (L + E cos α)(L0 − a) / [L0 (L − a)]``; without a pivot offset and with
    the hand at the grip mark this is the usual ``(L + E cos α) / L``.

    Parameters
    ----------
    length : float
        L, from the wrench's square to the hand, mm.
    adapter_length : float
        E, from the wrench's square to the fastener's axis, mm; 0 without an adapter and for a
        plain socket extension, which lies on the axis.
    adapter_angle : float
        α, between adapter and handle line, degrees: 0 straight on, 90 square, 180 pointing back
        at the hand.
    pivot : float
        a, from the square to the pivot where the wrench senses the pull, mm; 0 for a wrench that
        measures at its square.
    calibrated_length : float, optional
        L0, where the hand was at calibration (the grip mark), mm; `length` if not given.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        When a length is not above zero, the pivot lies beyond the hand, or the adapter points
        back past the hand.

    Notes
    -----
    Statics of a pull square to the handle. The straight and angled forms are printed in
    US Army TM 9-2350-261-34, TM 1-1500-204-23-9 and TM 9-254 (its multiplication sign is a
    misprint for plus) and in US Navy NAVEDTRA 14315.

    Examples
    --------
    Set 30 for 40 lb·ft with a 12 in wrench and a 4 in adapter (TM 9-2350-261-34):

    >>> round(40 / fastener_ratio(length=12, adapter_length=4), 6)
    30.0
    """
    marked = length if calibrated_length is None else calibrated_length
    reach = length + adapter_length * math.cos(math.radians(adapter_angle))
    if not (length > 0 and marked > 0 and adapter_length >= 0 and pivot >= 0):
        raise _impossible(length, words("lengths from the square must be above zero"))
    if pivot >= min(length, marked):
        raise _impossible(
            length,
            words(
                "the hand at {length:g} mm is not beyond the pivot at {pivot:g} mm",
                length=min(length, marked),
                pivot=pivot,
            ),
        )
    if not reach > 0:
        raise _impossible(
            length,
            words(
                "an adapter of {adapter:g} mm pointing back reaches past the hand at {length:g} mm",
                adapter=adapter_length,
                length=length,
            ),
        )
    return reach * (marked - pivot) / (marked * (length - pivot))


def grip_uncertainty(
    *,
    length: float,
    adapter_length: float = 0.0,
    adapter_angle: float = 0.0,
    pivot: float = 0.0,
    calibrated_length: float | None = None,
) -> float:
    """Return what a hand that strays by `GRIP_TOLERANCE` adds to the torque's uncertainty.

    Parameters
    ----------
    length, adapter_length, adapter_angle, pivot, calibrated_length : float
        As in `fastener_ratio`.

    Returns
    -------
    float
        Relative standard uncertainty (rectangular).

    Notes
    -----
    First order of `fastener_ratio` in L: ``d ln(ratio)/dL = 1/(L + E cos α) − 1/(L − a)``.

    Examples
    --------
    >>> grip_uncertainty(length=400)
    0.0
    >>> round(grip_uncertainty(length=400, adapter_length=60), 5)
    0.00188
    """
    fastener_ratio(
        length=length,
        adapter_length=adapter_length,
        adapter_angle=adapter_angle,
        pivot=pivot,
        calibrated_length=calibrated_length,
    )
    reach = length + adapter_length * math.cos(math.radians(adapter_angle))
    return abs(1 / reach - 1 / (length - pivot)) * GRIP_TOLERANCE / math.sqrt(3)


def _impossible(length: float, message: Words) -> OutOfRange:
    return OutOfRange(message, value=length, low=0.0, source="statics")
