"""Published figures as they were printed, and how closely a computed one must meet them.

The tables in ``published/`` keep every figure as text, so that its last printed digit is known.
"""

from __future__ import annotations

from decimal import Decimal

from clampwright.standards.tables import Row, rows


def published(name: str) -> tuple[Row, ...]:
    """Return a table of published figures.

    Parameters
    ----------
    name : str
        Of a file in ``published/``, such as ``units`` or ``threads_metric``.

    Returns
    -------
    tuple of dict

    Examples
    --------
    >>> published("threads_metric")[0]["As_published_mm2"]
    '5.03'
    """
    return rows(f"published/{name}")


def half_last_digit(printed: str, *, least_places: int | None = None) -> float:
    """Return half a unit in the last printed place.

    Parameters
    ----------
    printed : str
        The figure as printed, such as ``24.6``.
    least_places : int, optional
        Decimals the source prints in this column, where the copy has dropped last zeros.

    Returns
    -------
    float

    Examples
    --------
    >>> half_last_digit("24.6")
    0.05
    >>> half_last_digit("0.02", least_places=4)
    5e-05
    """
    exponent = int(Decimal(printed).as_tuple().exponent)
    if least_places is not None:
        exponent = min(exponent, -least_places)
    return float(Decimal(5).scaleb(exponent - 1))
