"""Friction by the condition of the surfaces, always a range and never a default."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from clampwright.errors import Missing, OutOfRange
from clampwright.extensions import any_installed
from clampwright.standards.tables import Row, cited, nearest, optional, rows
from clampwright.units.text import plain, shown
from clampwright.words import Words, words

TITLES: MappingProxyType[str, Words] = MappingProxyType(
    {
        "class_a": words("friction class A: solid lubricant in varnish, top coat or paste; wax"),
        "class_b": words("friction class B: greases, oils, solid lubricants, waxes"),
        "class_c": words("friction class C: as delivered, lightly oiled; dry zinc"),
        "class_d": words("friction class D: dry zinc, hot-dip galvanised; oiled stainless"),
        "class_e": words("friction class E: dry stainless, dry light alloy"),
        "as_delivered": words("steel as delivered, with the maker's light oil"),
        "dry": words("steel, cleaned and dry"),
        "oiled": words("oiled on the threads and under the head"),
        "oiled_threads": words("oiled on the threads only"),
        "greased": words("greased on the threads and under the head"),
        "solid_lubricant_paste": words("anti-seize paste with solid lubricant, both faces"),
        "zinc_dry": words("zinc plated, dry"),
        "zinc_oiled": words("zinc plated, oiled"),
        "zinc_flake_lubricated": words("zinc flake coating with lubricating top coat"),
        "galvanised_dry": words("hot-dip galvanised, dry"),
        "thread_locker_wet": words("thread locker, still wet"),
        "stainless_dry": words("stainless steel, dry"),
        "stainless_oiled": words("stainless steel, oiled"),
        "stainless_paste": words("stainless steel with anti-seize paste"),
        "light_alloy_oiled": words("aluminium or magnesium alloy, oiled"),
        "light_alloy_dry": words("aluminium or magnesium alloy, dry"),
    }
)

CLIMBS = words(
    "friction of zinc plate climbs each time the fastener is tightened: "
    "the same torque then leaves less clamp load"
)
"""W. Eccles, thesis, Univ. of Central Lancashire 2010 (abstract); Z. Liu et al., Tribology
International 151 (2020) 106486 (abstract)."""


@dataclass(frozen=True, slots=True)
class FrictionCondition:
    """The range of the friction coefficient for one condition of thread and bearing face.

    Parameters
    ----------
    name : str
        Such as ``oiled``.
    title : Words
        The condition in words.
    low, high : float
        Range of the coefficient, the same for thread and bearing face, at room temperature.
    typical : float or None
        None where the source names no typical value.
    source : str
        Where the range comes from, and where the mapping to the condition is our own.
    flag : str
        What is doubtful about it.
    caution : Words or None
        What changes the range in use.
    """

    name: str
    title: Words
    low: float
    high: float
    typical: float | None
    source: str
    flag: str = ""
    caution: Words | None = None


@dataclass(frozen=True, slots=True)
class OpenCondition:
    """A condition for which the source gives a least coefficient and no largest one.

    No clamp load follows from it; it is listed so that nobody takes it for forgotten.
    """

    name: str
    title: Words
    low: float
    source: str
    flag: str = ""


@dataclass(frozen=True, slots=True)
class NutFactor:
    """A published nut factor K for T = K d F; a single figure or a band."""

    name: str
    low: float | None
    high: float | None
    typical: float | None
    source: str
    flag: str = ""


@lru_cache(maxsize=1)
def friction_conditions() -> tuple[FrictionCondition, ...]:
    """Return the conditions that have a range with two ends.

    Returns
    -------
    tuple of FrictionCondition

    Examples
    --------
    >>> [c.name for c in friction_conditions() if c.high <= 0.16]
    ['class_a', 'class_b', 'oiled', 'greased', 'solid_lubricant_paste', 'zinc_oiled',
    'zinc_flake_lubricated', 'light_alloy_oiled']
    """
    return tuple(_condition(row) for row in rows("friction") if row["high"])


@lru_cache(maxsize=1)
def open_conditions() -> tuple[OpenCondition, ...]:
    """Return the conditions whose range has no upper end.

    Returns
    -------
    tuple of OpenCondition

    Examples
    --------
    >>> [(one.name, one.low) for one in open_conditions()]
    [('class_e', 0.3), ('stainless_dry', 0.3), ('light_alloy_dry', 0.3)]
    """
    return tuple(
        OpenCondition(row["name"], TITLES[row["name"]], float(row["low"]), cited(row), row["flag"])
        for row in rows("friction")
        if not row["high"]
    )


def _condition(row: Row) -> FrictionCondition:
    return FrictionCondition(
        name=row["name"],
        title=TITLES[row["name"]],
        low=float(row["low"]),
        high=float(row["high"]),
        typical=None,
        source=cited(row),
        flag=row["flag"],
        caution=CLIMBS if row["climbs_with_reuse"] == "yes" else None,
    )


def _key(text: str) -> str:
    return re.sub(r"[\W_]+", "_", plain(text).casefold()).strip("_")


def friction(name: str) -> FrictionCondition:
    """Return the range of friction for a condition.

    Parameters
    ----------
    name : str
        ``oiled``, ``dry``, ``zinc plated, dry``, ``anti-seize`` …; there is no default.

    Returns
    -------
    FrictionCondition

    Raises
    ------
    Missing
        The condition is not said or not known; lists those there are.
    OutOfRange
        The source gives only a lower bound for it, so that no clamp load follows.

    Examples
    --------
    >>> condition = friction("oiled")
    >>> condition.low, condition.high
    (0.08, 0.16)
    """
    key = _key(name)
    for row in rows("friction"):
        if key == row["name"] or key in row["also"].split():
            if not row["high"]:
                raise _no_upper_end(row)
            return next(c for c in friction_conditions() if c.name == row["name"])
    if added := _added_named(key):
        return added
    raise _unknown(name, key)


def every_name() -> frozenset[str]:
    """Return every name and further name of the tables: no package can bring one of them."""
    return frozenset(
        word for row in rows("friction") for word in (row["name"], *row["also"].split())
    )


def in_tables(name: str) -> bool:
    """Return whether the tables have a condition of this name, or by this further name.

    Examples
    --------
    >>> in_tables("oiled"), in_tables("anti-seize"), in_tables("bench-paste-m10")
    (True, True, False)
    """
    return _key(name) in every_name()


def _added_named(key: str) -> FrictionCondition | None:
    """Return the condition of this name that an installed package brings."""
    if not any_installed():
        return None
    from clampwright.standards.added import added_conditions  # noqa: PLC0415 - it checks by us

    found = added_conditions()
    if why := found.why_not(key):
        raise Missing(why, needed="friction condition")
    one = found.named(key)
    return None if one is None else one.value


def _no_upper_end(row: Row) -> OutOfRange:
    return OutOfRange(
        words(
            "for {title} the source gives friction of {low} or more and no upper end: no clamp "
            "load can be told from torque; lubricate, or ask the maker ({source})",
            title=str(TITLES[row["name"]]),
            low=row["low"],
            source=row["source"],
        ),
        value=float(row["low"]),
        low=optional(row["low"]),
        source=row["source"],
    )


def _unknown(name: str, key: str) -> Missing:
    known = [row["name"] for row in rows("friction")]
    if not key:
        return Missing(
            words(
                "the condition of threads and faces is not said; there are {known}",
                known=", ".join(known),
            ),
            needed="friction condition",
        )
    also = {word: row["name"] for row in rows("friction") for word in row["also"].split()}
    near = nearest(key, [*known, *also], 1)
    if near:
        return Missing(
            words(
                "{name!r} is no known condition of threads and faces; did you mean {near}? "
                "There are {known}",
                name=shown(name),
                near=also.get(near[0], near[0]),
                known=", ".join(known),
            ),
            needed="friction condition",
        )
    return Missing(
        words(
            "{name!r} is no known condition of threads and faces; there are {known}",
            name=shown(name),
            known=", ".join(known),
        ),
        needed="friction condition",
    )


@lru_cache(maxsize=1)
def nut_factors() -> tuple[NutFactor, ...]:
    """Return published nut factors, for comparison: they hold for the parts they were measured on.

    Returns
    -------
    tuple of NutFactor

    Examples
    --------
    >>> min(k.typical for k in nut_factors() if k.typical)
    0.12
    """
    return tuple(
        NutFactor(
            row["name"],
            optional(row["low"]),
            optional(row["high"]),
            optional(row["typical"]),
            cited(row),
            row["flag"],
        )
        for row in rows("nut_factors")
    )
