"""Linear propagation against the uncertainties package and by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import correlated_values, ufloat  # type: ignore[import-untyped]  # no stubs

from clampwright.errors import OutOfRange
from clampwright.joint.torque_tension import torque_shares
from clampwright.joint.uncertainty import (
    clamp_after_angle,
    clamp_u_rel,
    nut_factor_u_rel,
    rectangular_u,
    scatter_from_tightening_factor,
)


@given(
    r=st.floats(-0.99, 0.99), u_thread=st.floats(0.001, 0.1), u_bearing=st.floats(0.001, 0.1),
    u_torque=st.floats(0.001, 0.1), prevailing=st.floats(0.5, 5.0),
)  # fmt: skip
def test_clamp_by_torque_agrees_with_the_uncertainties_package(
    r: float, u_thread: float, u_bearing: float, u_torque: float, prevailing: float
) -> None:
    s_th, s_b = 0.12 * u_thread, 0.10 * u_bearing
    thread, bearing = correlated_values(
        (0.12, 0.10), [[s_th**2, r * s_th * s_b], [r * s_th * s_b, s_b**2]]
    )
    torque, running = ufloat(40.0, 40.0 * u_torque), ufloat(prevailing, 0.2)
    lever = 1.5 / (2 * math.pi) + 9.0257 / math.sqrt(3) * thread + 12.815 / 2 * bearing
    clamp = 1000 * (torque - running) / lever
    shares = torque_shares(
        P=1.5, d2=9.0257, bearing_diameter=12.815, mu_thread=0.12, mu_bearing=0.10
    )
    found = clamp_u_rel(
        torque=40.0, torque_u_rel=u_torque, prevailing_torque=prevailing, prevailing_torque_u=0.2,
        nut_factor_u_rel=nut_factor_u_rel(
            shares, mu_thread_u_rel=u_thread, mu_bearing_u_rel=u_bearing, correlation=r
        ),
    )  # fmt: skip
    assert float(found) == pytest.approx(clamp.std_dev / clamp.nominal_value, rel=1e-6)


def test_clamp_by_angle_agrees_with_the_uncertainties_package() -> None:
    snug, angle, rate = ufloat(8000, 1200), ufloat(40, 2), ufloat(829.66, 0.05 * 829.66)
    expected = snug + rate * angle
    clamp, u = clamp_after_angle(
        8000, 40, clamp_rate=829.66, snug_u_rel=0.15, angle_u=2, rate_u_rel=0.05
    )
    assert float(clamp) == pytest.approx(expected.nominal_value)
    assert float(u) == pytest.approx(expected.std_dev)


def test_opposite_frictions_cancel_but_never_below_nothing() -> None:
    shares = torque_shares(P=1.5, d2=9.0, bearing_diameter=12.0, mu_thread=0.1, mu_bearing=0.1)
    u = nut_factor_u_rel(
        shares, mu_thread_u_rel=0.1, mu_bearing_u_rel=0.1 * shares.thread / shares.bearing,
        correlation=-1.0,
    )  # fmt: skip
    assert float(u) == pytest.approx(0.0, abs=1e-8)


def test_ranges_are_kept() -> None:
    shares = torque_shares(P=1.5, d2=9.0, bearing_diameter=12.0, mu_thread=0.1, mu_bearing=0.1)
    with pytest.raises(OutOfRange, match="correlation"):
        nut_factor_u_rel(shares, mu_thread_u_rel=0.1, mu_bearing_u_rel=0.1, correlation=1.1)
    with pytest.raises(OutOfRange, match="torque − prevailing_torque"):
        clamp_u_rel(torque=5, torque_u_rel=0.1, nut_factor_u_rel=0.1, prevailing_torque=5)
    with pytest.raises(OutOfRange, match="half_width"):
        rectangular_u(-1.0)
    with pytest.raises(OutOfRange, match=r"alpha is 0\.9"):
        scatter_from_tightening_factor(0.9)
    assert float(scatter_from_tightening_factor(1.0)) == 0.0
