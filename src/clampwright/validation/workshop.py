"""Tables of tools and orders: permissible deviation, wrench sizes, adapters, aircraft torques."""

from __future__ import annotations

from collections.abc import Iterator

from clampwright.drawer.leverage import fastener_ratio
from clampwright.drawer.permissible import permissible_deviation
from clampwright.joint.order import circle_order
from clampwright.standards.printed import published
from clampwright.standards.tables import Row as Printed
from clampwright.units import convert
from clampwright.validation.row import Row, tolerance
from clampwright.validation.tables import EXACT, misprints

UNITS = {"lb-in": "in·lbf", "lb-ft": "ft·lbf", "N.m": "N·m"}

SHEAR_OVER_TENSION = 0.6
"""Heading of the table: bolt stresses 24 000 over 40 000 psi, 54 000 over 90 000 psi."""

WORKED = "1e-7"
"""Figures worked apart from this program carry nine digits."""

RATIO = 0.03
"""How far the table's own ratio may be off by rounding of its torques."""

CROSS_PATTERN = (
    "1 3 2 4",
    "1 5 3 7 2 6 4 8",
    "1 7 4 10 2 8 5 11 3 9 6 12",
    "1 9 5 13 3 11 7 15 2 10 6 14 4 12 8 16",
    "1 11 6 16 3 13 8 18 5 15 10 20 2 12 7 17 4 14 9 19",
    "1 13 7 19 4 16 10 22 2 14 8 20 5 17 11 23 3 15 9 21 6 18 12 24",
)
"""Legacy cross pattern of ASME PCC-1, from memory."""


def permissible() -> Iterator[Row]:
    """Permissible deviation by type, class and size of tool, looked up.

    Yields
    ------
    Row
    """
    columns = (("mpd_percent_max_torque_le_10Nm", 10.0), ("mpd_percent_max_torque_gt_10Nm", 10.1))
    for line in published("permissible_deviation"):
        for column, largest in columns:
            value = permissible_deviation(line["type"], line["class"], largest_torque=largest)
            yield _row("permissible_deviation", f"{line['type']} {line['class']}", column, line,
                       value=value, unit="%", topic="permissible deviation",
                       source="ISO 6789-1:2017, clause 5.1.5 (from memory)")  # fmt: skip


def adapters() -> Iterator[Row]:
    """Compute settings with an adapter, as manuals print them and as worked out.

    Yields
    ------
    Row
    """
    for line in published("adapter_examples"):
        ratio = fastener_ratio(
            length=float(line["L"]),
            adapter_length=float(line["E"]),
            adapter_angle=float(line["angle_deg"]),
        )
        setting = float(line["desired_torque"]) / ratio
        unit = UNITS[line["unit"]]
        for column, written in (("setting_printed", ""), ("setting_exact", WORKED)):
            if line[column]:
                yield Row(
                    id=f"adapter_examples/{line['id']}/{column}",
                    topic="adapters",
                    quantity=f"setting for {line['desired_torque']} {line['unit']}, {column}",
                    computed=setting,
                    printed=line[column],
                    unit=unit,
                    tolerance=tolerance(line[column], written),
                    source=line["source"],
                )


def wrench_sizes() -> Iterator[Row]:
    """Metric column of a size guide, computed from its inch column.

    Yields
    ------
    Row
    """
    for line in published("wrench_sizes"):
        if not line["metric_printed"]:
            continue
        value = convert(float(line["required_max"]), UNITS[line["unit"]], "kgf·m")
        yield _row("wrench_sizes", f"{line['required_max']} {line['unit']}", "metric_printed",
                   line, value=value, unit="kgf·m", topic="wrench sizes", source=line["source"],
                   written="")  # fmt: skip


def aircraft() -> Iterator[Row]:
    """Torque table of AC 43.13-1B: shear nuts take 0.6 of what tension nuts take.

    Yields
    ------
    Row
    """
    pairs = (
        ("shear_nut_min_inlb", "tension_nut_min_inlb"),
        ("shear_nut_max_inlb", "tension_nut_max_inlb"),
        ("shear_nut_absolute_max_inlb", "tension_nut_absolute_max_inlb"),
    )
    for line in published("aircraft_torques"):
        for column, base in pairs:
            whole = float(line[base])
            yield Row(
                id=f"aircraft_torques/{line['series']} {line['thread']}/{column}",
                topic="aircraft torques",
                quantity=f"{line['thread']}, {column}: 0.6 of {base}",
                computed=SHEAR_OVER_TENSION * whole,
                printed=line[column],
                unit="in·lbf",
                tolerance=max(RATIO * whole, tolerance(line[column], "")),
                source="FAA AC 43.13-1B, table 7-1, three copies compared",
                explained=misprints().get(
                    ("aircraft_torques", f"{line['series']} {line['thread']}", column)
                ),
                note=line["note"],
            )


def orders() -> Iterator[Row]:
    """Cross pattern round a circle, place by place.

    Yields
    ------
    Row
    """
    for text in CROSS_PATTERN:
        printed = text.split()
        found = circle_order(len(printed)).numbers
        for place, (number, wanted) in enumerate(zip(found, printed, strict=True), 1):
            yield Row(
                id=f"cross pattern/{len(printed)}/{place}",
                topic="tightening orders",
                quantity=f"fastener taken as number {place} of {len(printed)}",
                computed=float(number),
                printed=wanted,
                unit="",
                tolerance=0.0,
                source="ASME PCC-1, legacy cross pattern (from memory)",
            )


def _row(
    table: str, name: str, column: str, line: Printed, *, value: float, unit: str, topic: str,
    source: str, written: str | None = None,
) -> Row:  # fmt: skip
    return Row(
        id=f"{table}/{name}/{column}",
        topic=topic,
        quantity=f"{name}, {column}",
        computed=value,
        printed=line[column],
        unit=unit,
        tolerance=EXACT * abs(value) if written is None else tolerance(line[column], written),
        source=source,
        explained=misprints().get((table, name, column)),
        note=line.get("flag", ""),
    )
