"""Dimensions and strength of a named fastener under the names that the relations use.

So that a person writes ``thread=M10`` instead of five dimensions. Nothing is filled in that was not
named, and friction never is.
"""

from __future__ import annotations

from clampwright.errors import Missing
from clampwright.standards.geometry import head as head_of
from clampwright.standards.geometry import hole as hole_of
from clampwright.standards.strength import strength as strength_of
from clampwright.standards.thread import thread as thread_of
from clampwright.words import words

NAMES = ("thread", "strength", "bolt", "hole_series")
"""What can be named: a thread, a strength class, a bolt standard, a series of clearance holes."""


def named_values(
    *,
    thread: str | None = None,
    strength: str | None = None,
    bolt: str | None = None,
    hole_series: str | None = None,
) -> dict[str, float]:
    """Return the values that named parts of a fastener have.

    Parameters
    ----------
    thread : str, optional
        Such as ``M10``; gives d, P, d2, d3 (mm) and stress_area (mm²).
    strength : str, optional
        Such as ``8.8``; gives yield_stress, tensile_strength and bolt_strength (MPa).
    bolt : str, optional
        Bolt or screw standard, such as ``ISO 4014``; gives bearing_outer (mm).
    hole_series : str, optional
        ``fine``, ``medium`` or ``coarse``; gives bearing_inner and hole (mm), and with `bolt`
        also bearing_diameter.

    Returns
    -------
    dict of str to float

    Raises
    ------
    Missing
        A bolt or hole without a thread; a size that the tables do not have.
    Ambiguous, OutOfRange, Unreadable
        As the tables themselves.

    Examples
    --------
    >>> found = named_values(thread="M10", bolt="ISO 4014", hole_series="medium")
    >>> found["P"], round(found["bearing_diameter"], 3)
    (1.5, 12.815)
    """
    found: dict[str, float] = {}
    size = thread_of(thread) if thread is not None else None
    if size is not None:
        found |= {"d": size.d, "P": size.P, "d2": size.d2, "d3": size.d3}
        found["stress_area"] = size.stress_area
    if strength is not None:
        known = strength_of(strength, d=None if size is None else size.d)
        found |= {"yield_stress": known.Rp, "tensile_strength": known.Rm, "bolt_strength": known.Rm}
    if (bolt or hole_series) and thread is None:
        raise Missing(words("bolt and hole_series need a thread, such as thread=M10"), "thread")
    if bolt and thread:
        found["bearing_outer"] = head_of(bolt, thread).bearing_diameter
    if hole_series and thread:
        found["bearing_inner"] = found["hole"] = hole_of(thread, hole_series).diameter
    if bolt and hole_series:
        # The standards' choice of friction diameter: the mean of the face's two diameters.
        found["bearing_diameter"] = (found["bearing_outer"] + found["bearing_inner"]) / 2.0
    return found
