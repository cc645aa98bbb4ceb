"""Printed assembly preloads and torques, every row computed from thread, class and friction."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import numpy as np

from clampwright.joint.assembly import Assembly, assembly
from clampwright.joint.stress import Torsion
from clampwright.standards import profile
from clampwright.standards.printed import published
from clampwright.standards.tables import Row as Printed
from clampwright.validation.row import Row
from clampwright.validation.tables import misprints

DIGIT = 0.6
"""Of the last printed digit: half is the rounding, the rest is for tables that round their inputs
first (16 figures of 628 miss half a digit, by at most 0.08)."""

STAINLESS = 0.03
"""Relative: those tables round their torques to what a wrench can be set to (their own flag)."""

OLD_FORM = 0.025
"""Relative: printed to two figures where small and in steps of five where large."""


def assembly_rows() -> Iterator[Row]:
    """Compute the printed assembly tables.

    Yields
    ------
    Row
    """
    lines = published("vdi2230_table_a1")
    for torsion in ("plastic", "elastic"):
        some = [line for line in lines if _torsion(line) == torsion]
        found = _assembly(some, torsion)
        for line, clamp, torque in zip(some, found.clamp, found.torque, strict=True):
            if line["FM_Tab_kN"]:
                yield _figure(line, "FM_Tab_kN", float(clamp) / 1000.0, "kN", found.edition)
            if line["MA_Nm"]:
                yield _figure(line, "MA_Nm", float(torque), "N·m", found.edition)


def _torsion(line: Printed) -> Torsion:
    return "elastic" if line["table"] == "old-form-torque" else "plastic"


def _assembly(lines: list[Printed], torsion: Torsion) -> Assembly:
    """Compute all rows of one edition at once."""
    d, P, mu, limit, bearing = (
        np.array([float(line[name]) for line in lines])
        for name in ("d_mm", "P_mm", "mu_G_equals_mu_K", "Rp02_min_MPa", "DKm_mm")
    )
    sizes = list(zip(d.tolist(), P.tolist(), strict=True))
    return assembly(
        yield_stress=limit,
        stress_area=[profile.metric_stress_area(*size) for size in sizes],
        P=P,
        d2=[profile.pitch_diameter(*size) for size in sizes],
        bearing_diameter=bearing,
        mu_thread=mu,
        mu_bearing=mu,
        torsion=torsion,
    )


def _figure(line: Printed, column: str, computed: float, unit: str, edition: str) -> Row:
    printed = line[column]
    name = f"{line['thread']} {line['property_class']} {line['mu_G_equals_mu_K']}"
    row = f"{name} {line['edition']}"
    recalled = line["basis_FM" if column == "FM_Tab_kN" else "basis_MA"] == "memory"
    source = line["source"]
    if recalled and not any(word in source for word in ("recalled", "memory")):
        source = f"{source} (from memory)"
    return Row(
        id=f"{line['table']}/{row}/{column}",
        topic="assembly tables",
        quantity=f"{'preload' if unit == 'kN' else 'torque'}, {name} ({edition})",
        computed=computed,
        printed=printed,
        unit=unit,
        tolerance=_tolerance(line, printed),
        source=source,
        explained=misprints().get(("vdi2230_table_a1", row, column)),
        note=line["flag"],
    )


def _tolerance(line: Printed, printed: str) -> float:
    if line["table"].startswith("stainless"):
        return STAINLESS * float(printed)
    if line["table"] == "old-form-torque":
        return OLD_FORM * float(printed)
    return DIGIT * 10.0 ** int(Decimal(printed).as_tuple().exponent)
