"""Assembly torques of sizes that no table beside the program prints.

VDI 2230-1, Table A1 (2003 and later), property class 8.8, hexagon head, friction 0.12 in both
places, 90 % of the yield stress: torques in N·m recalled from the guideline, not seen. Heads are
those of ISO 4014, holes the medium ones of ISO 273, both recalled too: they prove each other. A
torque printed in two or three digits is rounded; sizes past M27 are turned with grade B faces.
"""

import pytest

from clampwright.joint.assembly import assembly
from clampwright.standards.named import named_values

RECALLED = {
    "M4": 3.0, "M5": 5.9, "M6": 10.1, "M8": 24.6, "M10": 48.0, "M12": 84.0, "M14": 133.0,
    "M16": 206.0, "M18": 295.0, "M20": 415.0, "M22": 567.0, "M24": 714.0, "M27": 1050.0,
    "M30": 1420.0, "M33": 1930.0, "M36": 2482.0, "M39": 3208.0,
    "M8x1": 26.1, "M10x1.25": 51.0, "M12x1.25": 90.0, "M12x1.5": 87.0, "M14x1.5": 142.0,
    "M16x1.5": 218.0, "M18x1.5": 327.0, "M20x1.5": 454.0, "M22x1.5": 613.0, "M24x2": 769.0,
}  # fmt: skip


@pytest.mark.parametrize("thread", RECALLED)
def test_torque_at_ninety_per_cent_of_yield(thread: str) -> None:
    known = named_values(thread=thread, strength="8.8", bolt="ISO 4014", hole_series="medium")
    found = assembly(
        yield_stress=known["yield_stress"],
        stress_area=known["stress_area"],
        P=known["P"],
        d2=known["d2"],
        bearing_diameter=known["bearing_diameter"],
        mu_thread=0.12,
        mu_bearing=0.12,
    )
    assert float(found.torque) == pytest.approx(RECALLED[thread], rel=0.012, abs=0.06)
