"""Worked numbers of stiffness, each to its printed digits: VDI 2230-1, 5.1, from memory."""

from collections.abc import Callable
from functools import partial

import pytest
from worked import M10, PAIR, Check, factor, joint_rate, through_bolt, through_cone

from clampwright.joint import (
    cone,
    stiffness,
)


def tapped_bolt() -> float:
    return float(stiffness.bolt_resilience(stiffness.bolt_segments(
        d=10, d3=M10.d3, thread_length=30, counterpart="tapped", E_tapped=70_000)))  # fmt: skip


def tapped_cone() -> cone.Cone:
    return cone.parts_resilience(
        grip=30, bearing_outer=14.63, hole=11, outside=40, E=70_000, joint="tapped"
    )


STIFFNESS = [
    *(
        Check(
            f"W3.1 {part}", partial(lambda k: 1e6 * float(through_bolt()[k].resilience), k), printed
        )
        for k, (part, printed) in enumerate(
            [
                ("head", "0.3105"),
                ("shank", "1.7391"),
                ("free thread", "1.5858"),
                ("engaged thread", "0.4664"),
                ("nut", "0.2484"),
            ]
        )
    ),
    Check("W3.1 bolt", lambda: 1e6 * float(stiffness.bolt_resilience(through_bolt())), "4.3503"),
    *(
        Check(
            f"W3.2 tan {outside}",
            partial(lambda o: float(through_cone(o).tan_angle), outside),
            printed,
        )
        for outside, printed in [(60, "0.5917"), (25, "0.45775"), (18, "0.40749")]
    ),
    *(
        Check(
            f"W3.2 limit {outside}",
            partial(lambda o: float(through_cone(o).limit_diameter), outside),
            printed,
        )
        for outside, printed in [(60, "41.256"), (25, "35.229"), (18, "32.967")]
    ),
    *(
        Check(
            f"W3.2 parts {outside}",
            partial(lambda o: 1e6 * float(through_cone(o).resilience), outside),
            printed,
        )
        for outside, printed in [(60, "0.67183"), (25, "0.89833"), (18, "1.49315"), (14, "3.72655")]
    ),
    Check("W3.3 tan", lambda: float(tapped_cone().tan_angle), "0.55146"),
    Check("W3.3 limit", lambda: float(tapped_cone().limit_diameter), "47.717"),
    Check("W3.3 parts", lambda: 1e6 * float(tapped_cone().resilience), "1.12804"),
    Check("W3.3 bolt", lambda: 1e6 * tapped_bolt(), "4.1757"),
    Check("W4.1 clamp rate", joint_rate, "829.66"),
    Check(
        "W4.1 torque rate",
        lambda: float(
            stiffness.torque_rate(clamp_rate=joint_rate(), d=10, nut_factor=factor(PAIR))
        ),
        "1.2485",
    ),
    Check("W4.1 angle to 25 kN", lambda: 25_000 / joint_rate(), "30.13"),
    Check(
        "W4.1 shank twist",
        lambda: float(stiffness.shank_twist(21.6, pieces=[(28, 10), (22, M10.d3)])),
        "1.239",
    ),
]


@pytest.mark.parametrize("check", STIFFNESS, ids=lambda check: check.name.replace(" ", "_"))
def test_printed_figure_comes_back(check: Check) -> None:
    assert check.ok(), f"{float(check.compute()):.8g} against {check.printed}"


@pytest.mark.parametrize("key", ["constant", "length", "width"])
@pytest.mark.parametrize("fit", [cone.THROUGH, cone.TAPPED], ids=["through", "tapped"])
def test_a_cone_figure_off_by_one_per_cent_turns_figures_red(
    fit: dict[str, float], key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(fit, key, 1.01 * fit[key])
    assert any(not check.ok() for check in STIFFNESS)


CONSTANTS: dict[str, Callable[[pytest.MonkeyPatch], None]] = {
    "head length": lambda m: m.setitem(stiffness.HEAD_LENGTH, "hexagon", 1.01 * 0.5),
    "engaged length": lambda m: m.setattr(stiffness, "ENGAGED_LENGTH", 1.01 * 0.5),
    "nut length": lambda m: m.setitem(stiffness.COUNTERPART_LENGTH, "nut", 1.01 * 0.4),
    "tapped length": lambda m: m.setitem(stiffness.COUNTERPART_LENGTH, "tapped", 1.01 * 0.33),
    "full turn": lambda m: m.setattr(stiffness, "FULL_TURN", 1.01 * 360.0),
}


@pytest.mark.parametrize("constant", CONSTANTS)
def test_a_constant_off_by_one_per_cent_turns_figures_red(
    constant: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    CONSTANTS[constant](monkeypatch)
    assert any(not check.ok() for check in STIFFNESS)
