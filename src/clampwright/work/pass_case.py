"""A joint whose fasteners influence each other, from what a person knows of it.

Either the geometry of the parts (a ring, strip or plate on its gasket), or clamp loads measured
after each pull, or both: what was measured goes before what was computed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint import _checks
from clampwright.joint.flexibility import (
    Flanges,
    cover_flexibility,
    plate_flexibility,
    ring_flexibility,
    row_flexibility,
)
from clampwright.joint.foundation import (
    area_foundation,
    beam_stiffness,
    line_foundation,
    plate_stiffness,
)
from clampwright.joint.interaction import (
    MeasuredInteraction,
    checked_matrix,
    interaction_from_pulls,
    interaction_matrix,
)
from clampwright.trace.model import Floats
from clampwright.words import words
from clampwright.work.layout import Layout
from clampwright.work.measured_table import parted, read_table

POISSON = 0.3
"""Of steel and light alloys, near enough (from memory)."""

_PULLED = frozenset({"pulled", "fastener", "pull"})


@dataclass(frozen=True, slots=True)
class Parts:
    """What lies between the fasteners.

    Parameters
    ----------
    thickness : float
        Of the flange, strip or cover, mm.
    gasket_modulus, gasket_thickness : float
        Of the gasket, or of whatever gives most between the faces, MPa and mm.
    width : float or None
        Of ring or strip, and of the gasket below, mm; not used for a plate.
    modulus : float
        Of the flange, MPa.
    flanges : {1, 2}
        One on a rigid part, or two equal ones.
    beyond : float or None
        How far strip or cover reach beyond the outermost fasteners, to free ends or edges, mm;
        without it they go on without ends. A ring has none.
    """

    thickness: float
    gasket_modulus: float
    gasket_thickness: float
    width: float | None
    modulus: float
    flanges: Flanges = 1
    beyond: float | None = None


def computed_interaction(layout: Layout, parts: Parts, *, resilience: float) -> Floats:
    """Interaction matrix of a layout on a gasket.

    Parameters
    ----------
    layout : Layout
        A circle is taken as a ring, a row as a strip, anything else as a plate. With
        `Parts.beyond` strip and plate end there: the plate is the rectangle round the fasteners.
    parts : Parts
    resilience : float
        Of each fastener with what is compressed under its own head, mm/N.

    Returns
    -------
    ndarray, shape (n, n)

    Raises
    ------
    Missing
        The width of a ring or strip is not given.
    OutOfRange
        A measure is not above 0.

    Examples
    --------
    >>> from clampwright.work.layout import circle
    >>> parts = Parts(thickness=20, gasket_modulus=500, gasket_thickness=2, width=30,
    ...               modulus=205_000)
    >>> B = computed_interaction(circle(8, 200.0), parts, resilience=4.35e-6)
    >>> [f"{value:.3f}" for value in B[:3, 0]]
    ['1.000', '-0.016', '0.007']
    """
    G = computed_flexibility(layout, parts)
    return interaction_matrix(bolt_resilience=resilience, flexibility=G)


def computed_flexibility(layout: Layout, parts: Parts) -> Floats:
    """Flexibility of the parts between the fasteners of a layout on a gasket.

    Parameters
    ----------
    layout : Layout
        As in `computed_interaction`.
    parts : Parts

    Returns
    -------
    ndarray, shape (n, n)
        G, mm/N.

    Raises
    ------
    Missing
        The width of a ring or strip is not given.
    OutOfRange
        A measure is not above 0.

    Examples
    --------
    >>> from clampwright.work.layout import circle
    >>> parts = Parts(thickness=20, gasket_modulus=500, gasket_thickness=2, width=30,
    ...               modulus=205_000)
    >>> computed_flexibility(circle(8, 200.0), parts).shape
    (8, 8)
    """
    along = layout.pattern in {"circle", "row"}
    return _along(layout, parts) if along else _across(layout, parts)


def _across(layout: Layout, parts: Parts) -> Floats:
    stiffness = float(plate_stiffness(E=parts.modulus, height=parts.thickness, poisson=POISSON))
    bed = float(area_foundation(E_gasket=parts.gasket_modulus, thickness=parts.gasket_thickness))
    if parts.beyond is None:
        return plate_flexibility(
            layout.positions, plate_stiffness=stiffness, foundation=bed, flanges=parts.flanges
        )
    points = _from_the_edge(np.array(layout.positions), parts.beyond)
    length, width = points.max(axis=0) + parts.beyond
    return cover_flexibility(
        points,
        length=float(length),
        width=float(width),
        plate_stiffness=stiffness,
        foundation=bed,
        poisson=POISSON,
        flanges=parts.flanges,
    )


def _from_the_edge(places: Floats, beyond: float) -> Floats:
    shifted: Floats = places - places.min(axis=0) + _checks.above("beyond", beyond, unit="mm")
    return shifted


def _along(layout: Layout, parts: Parts) -> Floats:
    if parts.width is None:
        raise Missing(words("a ring or strip needs its width"), "width")
    stiffness = float(beam_stiffness(E=parts.modulus, width=parts.width, height=parts.thickness))
    bed = float(
        line_foundation(
            E_gasket=parts.gasket_modulus, width=parts.width, thickness=parts.gasket_thickness
        )
    )
    if layout.pattern == "row":
        places = np.array([x for x, _y in layout.positions])
        length = None
        if parts.beyond is not None:
            places = _from_the_edge(places, parts.beyond)
            length = float(places.max()) + parts.beyond
        return row_flexibility(
            places, beam_stiffness=stiffness, foundation=bed, length=length, flanges=parts.flanges
        )
    if parts.beyond is not None:
        raise ClampwrightError(words("a ring has no free ends; leave out how far it goes beyond"))
    return ring_flexibility(
        layout.count,
        radius=math.hypot(*layout.positions[0]),
        beam_stiffness=stiffness,
        foundation=bed,
        flanges=parts.flanges,
    )


def measured_interaction(data: bytes, name: str, *, u_clamp: float) -> MeasuredInteraction:
    r"""Interaction from a table of clamp loads measured after each pull.

    Parameters
    ----------
    data : bytes
        Column ``pulled`` with the number of the fastener pulled, empty in the first row (before
        the first pull), then one column for each fastener in turn, with its unit.
    name : str
        Name of the file, for messages.
    u_clamp : float
        Standard uncertainty of one reading, N.

    Returns
    -------
    MeasuredInteraction

    Raises
    ------
    BadFile
        It is no such table.
    ClampwrightError
        No pull gained clearly.

    Examples
    --------
    >>> table = b"pulled, 1 [kN], 2 [kN]\n, 10, 10\n1, 20, 8\n2, 18.5, 18\n"
    >>> measured_interaction(table, "passes.csv", u_clamp=100).matrix.round(2).tolist()
    [[1.0, -0.15], [-0.2, 1.0]]
    """
    table = read_table(data, name)
    place = table.find(_PULLED)
    if place is None:
        raise table.bad(
            words("there is no column 'pulled' that says which fastener was pulled each time")
        )
    columns = [at for at in range(len(table.header)) if at != place]
    for fastener, at in enumerate(columns, 1):
        title = parted(table.header[at])[0]
        if title.isdigit() and int(title) != fastener:
            raise table.bad(
                words(
                    "column {title} stands where fastener {fastener} belongs; put the fasteners "
                    "in turn",
                    title=title,
                    fastener=fastener,
                )
            )
    loads = [table.quantities(at, "force") for at in columns]
    if table.rows[0][place].strip() not in {"", "0", "-"}:
        raise table.bad(
            words(
                "the first row must hold the clamp loads before the first pull; leave its "
                "'pulled' empty"
            )
        )
    pulled = [table.number(row, place) for row in range(1, len(table.rows))]
    for value in pulled:
        if not (value.is_integer() and 1 <= value <= len(columns)):
            raise table.bad(
                words(
                    "fastener {value:g} was pulled, but there are columns for 1 to {count}",
                    value=value,
                    count=len(columns),
                )
            )
    return interaction_from_pulls(
        list(zip(*loads, strict=True)), [int(value) for value in pulled], u_clamp=u_clamp
    )


def given_matrix(data: bytes, name: str) -> Floats:
    r"""Interaction matrix as a table of plain numbers.

    Parameters
    ----------
    data : bytes
        n rows of n numbers, 1 on the diagonal; column j belongs to tightening fastener j.
    name : str
        Name of the file, for messages.

    Returns
    -------
    ndarray, shape (n, n)

    Raises
    ------
    BadFile
        It is no table of numbers.
    ClampwrightError
        It is not square.
    OutOfRange
        An element of the diagonal is not 1.

    Examples
    --------
    >>> given_matrix(b"1, -0.2\n-0.1, 1\n", "matrix.csv").tolist()
    [[1.0, -0.2], [-0.1, 1.0]]
    """
    table = read_table(data, name, header=False)
    wide = range(len(table.rows[0]))
    return checked_matrix([[table.number(r, c) for c in wide] for r in range(len(table.rows))])
