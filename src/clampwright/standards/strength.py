"""Strength of bolts: ISO 898-1 and ISO 3506-1 classes, SAE J429 grades, some ASTM bolts."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from clampwright.errors import Ambiguous, Missing, OutOfRange
from clampwright.standards.tables import Row, cited, nearest, rows
from clampwright.units import Unreadable, convert, parse_fraction
from clampwright.units.text import plain, shown
from clampwright.words import words

_SLACK = 1e-6  # mm; nominal diameters in inches do not come out whole in binary


@dataclass(frozen=True, slots=True)
class StrengthClass:
    """Least strength of the bolts of one class, for a range of sizes.

    Parameters
    ----------
    name : str
        ``8.8``, ``A2-70``, ``SAE J429 grade 5``, ``ASTM A325`` …
    Rp, Rm : float
        Least yield and tensile strength, MPa.
    proof_stress : float or None
        MPa; None where the standard has none.
    yield_kind : str
        ``ReL``, ``Rp0.2``, ``Rpf`` or ``yield``.
    source, flag : str
        Where the row comes from, and what is doubtful about it.
    d_low, d_high : float
        Nominal diameters for which it holds, mm.
    above_low : bool
        True when `d_low` itself belongs to the row before.
    """

    name: str
    Rp: float
    Rm: float
    proof_stress: float | None
    yield_kind: str
    source: str
    flag: str
    d_low: float
    d_high: float
    above_low: bool

    def holds_for(self, d: float) -> bool:
        """Tell whether a nominal diameter (mm) lies in the range of sizes."""
        least = self.d_low + _SLACK if self.above_low else self.d_low - _SLACK
        return least <= d <= self.d_high + _SLACK


@lru_cache(maxsize=1)
def strength_classes() -> tuple[StrengthClass, ...]:
    """Return all rows of the strength tables, those for several ranges of sizes included.

    Returns
    -------
    tuple of StrengthClass

    Examples
    --------
    >>> [(c.Rp, c.d_high) for c in strength_classes() if c.name == "8.8"]
    [(640.0, 16.0), (660.0, 39.0)]
    """
    metric = tuple(_metric(row) for row in rows("strength_metric"))
    return metric + tuple(_inch(row) for row in rows("strength_inch"))


def _metric(row: Row) -> StrengthClass:
    return StrengthClass(
        name=row["name"],
        Rp=float(row["yield_MPa"]),
        Rm=float(row["tensile_MPa"]),
        proof_stress=float(row["proof_MPa"]) if row["proof_MPa"] else None,
        yield_kind=row["yield_kind"],
        source=cited(row),
        flag=row["flag"],
        d_low=float(row["over_mm"]),
        d_high=float(row["up_to_mm"]),
        above_low=row["over_excluded"] == "yes",
    )


def _inch(row: Row) -> StrengthClass:
    return StrengthClass(
        name=row["name"],
        Rp=_mpa(row["yield_psi"]),
        Rm=_mpa(row["tensile_psi"]),
        proof_stress=_mpa(row["proof_psi"]) if row["proof_psi"] else None,
        yield_kind=row["yield_kind"],
        source=cited(row),
        flag=row["flag"],
        d_low=_mm(row["over_in"]),
        d_high=_mm(row["up_to_in"]),
        above_low=row["over_excluded"] == "yes",
    )


def _mpa(psi: str) -> float:
    return convert(float(psi), "psi", "MPa")


def _mm(inches: str) -> float:
    return float(parse_fraction(inches) * Fraction(254, 10))


def strength(name: str, d: float | None = None) -> StrengthClass:
    """Return the strength of a class or grade at a size.

    Parameters
    ----------
    name : str
        ``8.8``, ``class 10.9``, ``A2-70``, ``SAE grade 5``, ``Gr. 8``, ``A325`` …
    d : float, optional
        Nominal diameter, mm; needed where the figures depend on it.

    Returns
    -------
    StrengthClass

    Raises
    ------
    Missing
        No such class in the tables, or its figures depend on the size and `d` is not given.
    Ambiguous
        A bare figure such as ``8`` that names a bolt grade and a nut class.
    OutOfRange
        The standard does not cover this size.
    Unreadable
        The name is empty.

    Examples
    --------
    >>> strength("8.8", d=20).Rp
    660.0
    >>> round(strength("grade 5", d=9.525).proof_stress)
    586
    >>> strength("A4-80", d=10).Rp, strength("A4-80", d=10).proof_stress
    (600.0, None)
    """
    key = _canonical(name)
    found = [c for c in strength_classes() if _key(c.name) == key]
    if not found:
        raise _unknown(name)
    if d is None:
        if len(found) > 1:
            raise Missing(
                words(
                    "the strength of {name} depends on the size; give the nominal diameter",
                    name=found[0].name,
                ),
                needed="nominal diameter",
            )
        return found[0]
    fitting = [c for c in found if c.holds_for(d)]
    if not fitting:
        raise _outside(found, d)
    return fitting[0]


def _outside(found: Sequence[StrengthClass], d: float) -> OutOfRange:
    ranges = ", ".join(f"{c.d_low:g}–{c.d_high:g} mm" for c in found)
    return OutOfRange(
        words(
            "{name} is given for nominal diameters {ranges}, not for {d:g} mm ({source})",
            name=found[0].name,
            ranges=ranges,
            d=d,
            source=found[0].source,
        ),
        value=d,
        low=min(c.d_low for c in found),
        high=max(c.d_high for c in found),
        source=found[0].source,
    )


def _key(name: str) -> str:
    return re.sub(r"[\s\-]+", "", name).casefold()


_GRADE = re.compile(r"(?:sae)?(?:j429)?(?:grade|gr|g)?(\d)")


_STAINLESS = re.compile(r"(a[1-5])\s?[-\s]\s?(50|70|80)")
_STAINLESS_WORDS = r"\b(?:iso|3506-1|3506|property|class|stainless|austenitic|steel|bolt)\b|[.:,]"


def _canonical(name: str) -> str:
    """Return the key under which the tables hold a class, however it was written."""
    text = plain(name).casefold().replace(",", ".")
    if match := re.search(r"(?<![\d.])(\d{1,2}\.\d)(?![\d.])", text):
        rest = (text[: match.start()] + text[match.end() :]).strip()
        if not re.sub(
            r"\b(?:iso|898-1|898|property|class|grade|gr|steel|bolt)\b|[\s.:-]", "", rest
        ):
            return match[1]
    if match := _STAINLESS.fullmatch(re.sub(_STAINLESS_WORDS, " ", text).strip()):
        return f"{match[1]}{match[2]}"
    squeezed = re.sub(r"[\s.\-]+", "", text)
    if re.fullmatch("[0-9]", squeezed):
        raise Ambiguous(
            words(
                "{name!r} alone may be an inch bolt grade or a metric nut class; "
                "write SAE grade {name}, or a bolt class such as 8.8",
                name=shown(name.strip()),
            ),
            (f"SAE J429 grade {squeezed}", f"ISO 898-2 nut class {squeezed}"),
        )
    if match := _GRADE.fullmatch(squeezed):
        return f"saej429grade{match[1]}"
    if squeezed in {"b7", "a193b7", "a193gradeb7", "a193grb7", "astma193b7"}:
        return "astma193b7"
    if re.fullmatch(r"a\d{3}", squeezed):
        return f"astm{squeezed}"
    return squeezed


def _unknown(name: str) -> Missing | Unreadable:
    known = tuple(dict.fromkeys(c.name for c in strength_classes()))
    if not name.strip():
        return Unreadable(words("the strength class is missing; write one such as 8.8"), name)
    near = nearest(name, known) or known
    return Missing(
        words(
            "the tables have no strength class {name!r}; near it are {known}",
            name=shown(name),
            known=", ".join(near),
        ),
        needed=name,
    )
