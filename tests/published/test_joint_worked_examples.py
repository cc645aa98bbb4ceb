"""Worked numbers of books and standards, each to its printed digits."""

import math
from functools import partial

import pytest
from worked import INCH, LBF, LBF_IN, M10, Check, Size, both

from clampwright.joint import (
    nut_factor,
    power_screw,
    stiffness,
    stress,
)
from clampwright.joint.assembly import assembly
from clampwright.joint.evaluation import (
    total_friction,
)


def root_inch() -> float:
    return math.sqrt(4.0 * 0.351 / math.pi)


def book_torque() -> float:
    """Shigley, 9th ed., Example 8-3(c): mean of major and root diameter, collar 1.25 d."""
    mean = (0.75 + root_inch()) / 2.0
    torque = power_screw.torque_from_clamp_power_screw(
        25_000 * LBF,
        P=INCH / 16,
        d2=mean * INCH,
        bearing_diameter=1.25 * 0.75 * INCH,
        **both(0.15),
    )
    return float(torque) / LBF_IN


def pair_friction(size: Size, kn: float, nm: float) -> float:
    return float(total_friction(nm, kn * 1000, **size.lengths))


def table_entry(mu: float, torsion: stress.Torsion, size: Size, rp: float) -> tuple[float, float]:
    found = assembly(
        yield_stress=rp,
        stress_area=size.area,
        P=size.P,
        d2=size.d2,
        bearing_diameter=size.bearing,
        mu_thread=mu,
        mu_bearing=mu,
        torsion=torsion,
    )
    return float(found.clamp) / 1000, float(found.torque)


FINE = Size(10, 1.25, 14.63, 11.0)
M16 = Size(16, 2.0, 22.49, 17.5)

EXAMPLES = [
    # Shigley's Mechanical Engineering Design, 9th ed. (2011), Example 8-3(b), (c), p. 440: 0.1 %
    Check(
        "WE-02 torque at K 0.2",
        lambda: (
            float(nut_factor.torque_from_nut_factor(25_000 * LBF, d=0.75 * INCH, nut_factor=0.2))
            / LBF_IN
        ),
        "3750",
        3.75,
    ),
    Check("WE-02 root diameter", root_inch, "0.6685"),
    Check(
        "WE-02 lead angle",
        lambda: math.degrees(math.atan(1 / 16 / (math.pi * (0.75 + root_inch()) / 2))),
        "1.6066",
        0.0016,
    ),
    Check("WE-02 full equation", book_torque, "3551", 3.55),
    # Speck, Mechanical Fastening, Joining, and Assembly, ch. 3, p. 85: 0.1 lbf·in
    *(
        Check(
            f"WE-07 K {k}",
            partial(
                lambda k: (
                    float(
                        nut_factor.torque_from_nut_factor(1275 * LBF, d=0.190 * INCH, nut_factor=k)
                    )
                    / LBF_IN
                ),
                k,
            ),
            printed,
            0.1,
        )
        for k, printed in [
            (0.30, "72.7"),
            (0.25, "60.6"),
            (0.20, "48.5"),
            (0.15, "36.3"),
            (0.10, "24.2"),
        ]
    ),
    # ISO 16047 form on pairs of the VDI 2230:2001 fine-thread table: 1.5 %
    *(
        Check(
            f"WE-11 {label}",
            partial(lambda a: pair_friction(*a), args),
            printed,
            0.015 * float(printed),
        )
        for label, args, printed in [
            ("M8x1", (Size(8, 1.0, 11.63, 9.0), 20.7, 22.8), "0.1"),
            ("M10x1.25", (Size(10, 1.25, 14.63, 11.0), 46.4, 75.0), "0.12"),
            ("M12x1.25", (Size(12, 1.25, 16.63, 13.5), 70.5, 133.0), "0.12"),
            ("M16x1.5", (Size(16, 1.5, 22.49, 17.5), 85.5, 244.0), "0.14"),
            ("M20x1.5", (Size(20, 1.5, 28.19, 22.0), 241.0, 852.0), "0.14"),
        ]
    ),
    # VDI 2230 Part 1 (2001), M10x1.25 10.9: half the last printed digit
    Check("WE-12 preload 0.12", lambda: table_entry(0.12, "plastic", FINE, 940)[0], "46.4"),
    Check("WE-12 torque 0.12", lambda: table_entry(0.12, "plastic", FINE, 940)[1], "75"),
    Check("WE-12 preload 0.14", lambda: table_entry(0.14, "plastic", FINE, 940)[0], "45.2"),
    Check("WE-12 torque 0.14", lambda: table_entry(0.14, "plastic", FINE, 940)[1], "83"),
    # Torque appendix of a machine manual, older form: 1.5 %
    Check("WE-13 M10", lambda: table_entry(0.14, "elastic", M10, 640)[1], "49", 0.735),
    Check("WE-13 M16", lambda: table_entry(0.14, "elastic", M16, 640)[1], "210", 3.15),
    Check("WE-13 M10 now", lambda: table_entry(0.14, "plastic", M10, 640)[1], "54"),
    # Own calculation on the stiffnesses of Shigley, Example 8-4: no published result, 1 %
    Check(
        "WE-19 angle",
        lambda: (
            14_400
            * LBF
            / float(
                stiffness.clamp_rate(
                    P=INCH / 11,
                    bolt_resilience=INCH / (5.21e6 * LBF),
                    parts_resilience=INCH / (8.95e6 * LBF),
                )
            )
        ),
        "17.3165",
        0.173,
    ),
]


@pytest.mark.parametrize("check", EXAMPLES, ids=lambda check: check.name.replace(" ", "_"))
def test_printed_figure_comes_back(check: Check) -> None:
    assert check.ok(), f"{float(check.compute()):.8g} against {check.printed}"
