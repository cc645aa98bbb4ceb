"""Texts by somebody who had not seen the reader, with what a mechanic takes them to mean.

Own texts, invented; each was misread once.
"""

from typing import Any

import pytest

from clampwright.procedure.reader import read

MEANT = [
    ("en", "Tighten nut 2 to 50-55 lb-ft.", "ok", ["torque 50..55 @2"]),
    ("en", "Tighten bolts 1 to 4 to 30 to 35 Nm.", "ok", ["torque 30..35 @1,2,3,4"]),
    ("en", "Tighten bolts 1-6 to 45-50 Nm.", "ok", ["torque 45..50 @1,2,3,4,5,6"]),
    ("en", "Tighten bolts 1 and 2 to 30 to 35 Nm.", "ok", ["torque 30..35 @1,2"]),
    ("en", "Use 5/8 spanner, tighten bolt 3 to 45-50 in-lb.", "ok", ["torque 45..50 @3"]),
    ("fr", "Serrer la vis 3 à 45-50 Nm.", "ok", ["torque 45..50 @3"]),
    ("es", "Apretar el tornillo 3 a 45-50 Nm.", "ok", ["torque 45..50 @3"]),
    ("it", "Serrare la vite 3 a 45-50 Nm.", "ok", ["torque 45..50 @3"]),
    ("pt", "Apertar o parafuso 3 a 45-50 Nm.", "ok", ["torque 45..50 @3"]),
    (
        "en",
        "Bolts A to D: 20 Nm; bolts E to H: 25 Nm.",
        "ok",
        ["torque 20 @A, B, C, D", "torque 25 @E, F, G, H"],
    ),
    ("en", "Turn 90 degrees in two steps of 45 degrees.", "ok", ["angle 45", "angle 45"]),
    ("de", "Schrauben 90° weiterdrehen, in 2 Schritten à 45°.", "ok", ["angle 45", "angle 45"]),
    (
        "es",
        "Apriete a 30 Nm, después gire 90° más en dos pasos de 45°.",
        "ok",
        ["torque 30", "angle 45", "angle 45"],
    ),
    (
        "en",
        "30 Nm + 90° + 2 x 45°",
        "ok",
        ["torque 30", "angle 90", "angle 45", "angle 45"],
    ),
    ("en", "Tighten evenly a half turn at a time to 18 Nm.", "ok", ["torque 18"]),
    ("en", "Check clearance of 0.05 mm, then torque to 9 Nm.", "ok", ["torque 9"]),
    (
        "de",
        "Zylinderkopfschrauben in 3 Stufen anziehen: 25 Nm, 50 Nm, danach 90° weiterdrehen.",
        "ok",
        ["torque 25", "torque 50", "angle 90"],
    ),
    ("de", "Reibmoment 2,0–2,5 Nm (neue Lager), 1,0–1,2 Nm (gebrauchte Lager)", "ambiguous", []),
    (
        "en",
        "Rotating torque 2.0-2.5 Nm (new bearings), 1.0-1.2 Nm (used bearings)",
        "ambiguous",
        [],
    ),
    (
        "de",
        "Anziehen: 20 Nm (Schraube 1), 30 Nm (Schraube 2)",
        "ok",
        ["torque 20 @1", "torque 30 @2"],
    ),
    (
        "en",
        "Torque to 20 Nm (bolts 1 to 3), then 90°.",
        "ok",
        ["torque 20 @1,2,3", "angle 90 @1,2,3"],
    ),
    (
        "de",
        "M6: 10 Nm M8: 25 Nm M10: 50 Nm",
        "ok",
        ["torque 10 @M6", "torque 25 @M8", "torque 50 @M10"],
    ),
]


def told(stage: dict[str, Any]) -> str:
    low, high = stage["tolerance_low"], stage["tolerance_high"]
    value = f"{stage['value']:g}" if low is None else f"{low:g}..{high:g}"
    fasteners = stage["fasteners"]
    where = ""
    if fasteners != "all":
        listed = isinstance(fasteners, list)
        where = " @" + (",".join(map(str, fasteners)) if listed else str(fasteners))
    return f"{stage['kind']} {value}{where}"


@pytest.mark.parametrize(("locale", "text", "status", "stages"), MEANT)
def test_it_is_read_as_it_is_meant(locale: str, text: str, status: str, stages: list[str]) -> None:
    found: dict[str, Any] = read(text, locale).as_json()
    assert found["status"] == status
    assert [told(stage) for stage in found["stages"]] == stages


def test_what_is_left_of_a_number_of_steps_is_said() -> None:
    found = read("Torque the main cap bolts in three even steps to 88 lb-ft.", "en").as_json()
    assert found["warnings"] == ["intermediate_values_not_stated"]
