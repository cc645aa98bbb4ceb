"""One published figure beside the computed one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from clampwright.standards.printed import half_last_digit

SLACK = 1.0 + 1e-9
"""Half a digit printed exactly must not fail by the last bit of a float."""


@dataclass(frozen=True, slots=True)
class Row:
    """A published figure, and what the library computes in its place.

    Parameters
    ----------
    id : str
        Name of the row, once in the whole.
    topic : str
        Table or chapter it belongs to.
    quantity : str
        What it is.
    computed : float
        In `unit`.
    printed : str
        The figure as published, in `unit`.
    unit : str
    tolerance : float
        Largest difference that the printed digits (or the source's own rounding) allow.
    source : str
        Published source, with its basis where the figure was not seen in it.
    explained : str or None
        Why the published figure itself is wrong, where it is known to be.
    note : str
        Anything else the table says of the figure.
    """

    id: str
    topic: str
    quantity: str
    computed: float
    printed: str
    unit: str
    tolerance: float
    source: str
    explained: str | None = None
    note: str = ""

    @property
    def published(self) -> float:
        """The published figure as a number."""
        return float(self.printed)

    @property
    def difference(self) -> float:
        """Computed less published."""
        return self.computed - self.published

    @property
    def ok(self) -> bool:
        """Whether the two agree within the tolerance."""
        return math.isfinite(self.computed) and abs(self.difference) <= self.tolerance * SLACK

    @property
    def red(self) -> bool:
        """Whether it neither agrees nor is explained."""
        return not self.ok and self.explained is None


def tolerance(printed: str, written: str) -> float:
    """Return how far a computed figure may lie from a printed one.

    Parameters
    ----------
    printed : str
        The figure.
    written : str
        Nothing for half a unit of the last printed digit; ``0.1 %`` of the figure; or a number.

    Returns
    -------
    float

    Examples
    --------
    >>> tolerance("37.620", ""), tolerance("200", "0.5 %"), tolerance("14", "0")
    (0.0005, 1.0, 0.0)
    """
    if not written:
        return half_last_digit(printed)
    number, percent, _ = written.partition("%")
    if percent:
        return abs(float(Decimal(printed) * Decimal(number.strip()) / 100))
    return float(number)
