"""Worked numbers of uncertainty, each to its printed digits: JCGM 100, from memory."""

import math
from functools import partial

import pytest
from worked import Check, shares

from clampwright.joint.uncertainty import (
    clamp_after_angle,
    clamp_u_rel,
    nut_factor_u_rel,
    rectangular_u,
    scatter_from_tightening_factor,
)


def tool_u() -> float:
    return math.hypot(float(rectangular_u(0.04)), 0.005)


def factor_u(r: float) -> float:
    return float(
        nut_factor_u_rel(shares(), mu_thread_u_rel=0.1, mu_bearing_u_rel=0.1, correlation=r)
    )


def angle_case() -> tuple[float, float]:
    clamp, u = clamp_after_angle(
        8000, 40, clamp_rate=829.66, snug_u_rel=0.15, angle_u=2, rate_u_rel=0.05
    )
    return float(clamp) / 1000, 100 * float(u / clamp)


UNCERTAINTY = [
    Check("W8.1 tool", lambda: 100 * float(rectangular_u(0.04)), "2.309"),
    Check("W8.1 tool and reading", lambda: 100 * tool_u(), "2.363"),
    *(
        Check(f"W8.1 K at r {r}", partial(lambda r: 100 * factor_u(r), r), printed)
        for r, printed in [(0.0, "5.950"), (1.0, "8.414")]
    ),
    *(
        Check(
            f"W8.1 clamp at r {r}",
            partial(
                lambda r: (
                    100
                    * float(
                        clamp_u_rel(
                            torque=37.62, torque_u_rel=tool_u(), nut_factor_u_rel=factor_u(r)
                        )
                    )
                ),
                r,
            ),
            printed,
        )
        for r, printed in [(0.0, "6.402"), (1.0, "8.739")]
    ),
    Check("W4.3 clamp", lambda: angle_case()[0], "41.19"),
    Check("W4.3 uncertainty", lambda: angle_case()[1], "6.40"),
    *(
        Check(
            f"W8.3 {alpha}",
            partial(lambda a: 100 * float(scatter_from_tightening_factor(a)), alpha),
            printed,
        )
        for alpha, printed in [
            (1.2, "9.09"),
            (1.4, "16.67"),
            (1.6, "23.08"),
            (2.0, "33.33"),
            (2.5, "42.86"),
            (4.0, "60.00"),
        ]
    ),
]


@pytest.mark.parametrize("check", UNCERTAINTY, ids=lambda check: check.name.replace(" ", "_"))
def test_printed_figure_comes_back(check: Check) -> None:
    assert check.ok(), f"{float(check.compute()):.8g} against {check.printed}"
