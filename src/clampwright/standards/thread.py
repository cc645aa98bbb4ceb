"""Threads by name: ISO metric and unified inch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from clampwright.errors import Ambiguous, Missing
from clampwright.standards import profile
from clampwright.standards.designation import Designation, read_designation
from clampwright.standards.tables import Row, cited, optional, rows
from clampwright.units.text import shown
from clampwright.words import words

System = Literal["metric", "unified"]


@dataclass(frozen=True, slots=True)
class Thread:
    """An external thread with its basic dimensions.

    Parameters
    ----------
    name : str
        ``M10``, ``M10x1.25``, ``3/8-16 UNC``, ``#10-24 UNC``.
    series : str
        ``coarse``, ``fine``, ``UNC`` or ``UNF``.
    system : str
        ``metric`` or ``unified``.
    d, P : float
        Nominal diameter and pitch, mm.
    d2, d1, d3 : float
        Pitch diameter, minor diameter of the nut thread, root diameter of the bolt thread, mm;
        computed from the basic profile and not rounded.
    stress_area : float
        mm², computed from the profile and not rounded.
    stress_area_printed : float or None
        mm², as the standard prints it (to 3 or 4 figures); None where no print was seen.
    threads_per_inch : int or None
    source, flag : str
        Where the row comes from, and what is doubtful about it.
    """

    name: str
    series: str
    system: System
    d: float
    P: float
    d2: float
    d1: float
    d3: float
    stress_area: float
    source: str
    stress_area_printed: float | None = None
    threads_per_inch: int | None = None
    flag: str = ""


@lru_cache(maxsize=1)
def threads() -> tuple[Thread, ...]:
    """Return all threads of the tables: metric coarse and fine, then UNC and UNF.

    Returns
    -------
    tuple of Thread

    Examples
    --------
    >>> [t.name for t in threads() if t.d == 10]
    ['M10', 'M10x1.25', 'M10x1']
    """
    metric = tuple(_metric(row) for row in rows("threads_metric"))
    return metric + tuple(_unified(row) for row in rows("threads_unified"))


def _metric(row: Row) -> Thread:
    d, P = float(row["d_mm"]), float(row["P_mm"])
    return Thread(
        name=row["name"],
        series=row["series"],
        system="metric",
        d=d,
        P=P,
        d2=profile.pitch_diameter(d, P),
        d1=profile.minor_diameter(d, P),
        d3=profile.metric_root_diameter(d, P),
        stress_area=profile.metric_stress_area(d, P),
        source=cited(row),
        stress_area_printed=optional(row["stress_area_printed_mm2"]),
        flag=row["flag"],
    )


def _unified(row: Row) -> Thread:
    inches, n = float(row["d_in"]), int(row["threads_per_inch"])
    d, P = inches * profile.MM_PER_INCH, profile.MM_PER_INCH / n
    printed = optional(row["stress_area_printed_in2"])
    square = profile.MM_PER_INCH**2
    return Thread(
        name=row["name"],
        series=row["series"],
        system="unified",
        d=d,
        P=P,
        d2=profile.pitch_diameter(d, P),
        d1=profile.minor_diameter(d, P),
        d3=profile.unified_root_diameter(d, P),
        stress_area=profile.unified_stress_area(inches, n) * square,
        source=cited(row),
        stress_area_printed=None if printed is None else printed * square,
        threads_per_inch=n,
        flag=row["flag"],
    )


@lru_cache(maxsize=1)
def _by_size() -> dict[tuple[System, Fraction], tuple[Thread, ...]]:
    """Return the threads of each nominal size (mm, or inch), coarse first."""
    found: dict[tuple[System, Fraction], tuple[Thread, ...]] = {}
    columns = (("metric", "threads_metric", "d_mm"), ("unified", "threads_unified", "d_in"))
    by_name = {t.name: t for t in threads()}
    for system, table, column in columns:
        for row in rows(table):
            key: tuple[System, Fraction] = (
                "metric" if system == "metric" else "unified",
                Fraction(row[column]),
            )
            found[key] = (*found.get(key, ()), by_name[row["name"]])
    return found


def thread(name: str) -> Thread:
    """Return the thread that a name means.

    Parameters
    ----------
    name : str
        ``M10`` (coarse pitch), ``M10x1.25``, ``m 10 × 1,25``, ``3/8-16``, ``3/8 UNC``,
        ``No. 10-24``, with or without tolerance class.

    Returns
    -------
    Thread

    Raises
    ------
    Ambiguous
        The name fits several threads of the tables (``3/8``, ``M10 fine``); carries their names.
    Missing
        The tables have no such thread; says which there are.
    Unreadable
        It is not a thread's name.

    Examples
    --------
    >>> thread("m10 x 1,25").name, thread("No. 10-24").name
    ('M10x1.25', '#10-24 UNC')
    """
    wanted = read_designation(name)
    of_size = _by_size().get((wanted.system, wanted.size), ())
    if not of_size:
        raise _no_such_size(name, wanted)
    fitting = [t for t in of_size if _fits(t, wanted)]
    if wanted.system == "metric" and wanted.pitch is None and wanted.series is None:
        fitting = [t for t in fitting if t.series == "coarse"]
    if not fitting:
        raise _no_such_thread(name, of_size)
    if len(fitting) > 1:
        raise _several(name, fitting)
    return fitting[0]


def _fits(candidate: Thread, wanted: Designation) -> bool:
    if wanted.series is not None and candidate.series != wanted.series:
        return False
    if wanted.pitch is None:
        return True
    if candidate.threads_per_inch is not None:
        return candidate.threads_per_inch == wanted.pitch
    return abs(candidate.P - float(wanted.pitch)) < 1e-9


def _several(name: str, fitting: Sequence[Thread]) -> Ambiguous:
    readings = tuple(t.name for t in fitting)
    return Ambiguous(
        words(
            "{name!r} fits {readings}; write the pitch too",
            name=shown(name),
            readings=", ".join(readings),
        ),
        readings,
    )


def _no_such_thread(name: str, of_size: Sequence[Thread]) -> Missing:
    return Missing(
        words(
            "the tables have no thread {name!r}; of this size they have {known}",
            name=shown(name),
            known=", ".join(t.name for t in of_size),
        ),
        needed=name,
    )


def _no_such_size(name: str, wanted: Designation) -> Missing:
    of_system = {
        size: found for (system, size), found in _by_size().items() if system == wanted.system
    }
    near = sorted(of_system, key=lambda size: abs(size - wanted.size))[:2]
    return Missing(
        words(
            "the tables have no thread of the size of {name!r}; nearest in size are {near}",
            name=shown(name),
            near=", ".join(t.name for size in sorted(near) for t in of_system[size]),
        ),
        needed=name,
    )
