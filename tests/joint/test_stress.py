"""Stress while tightening: against a plain second way, and by property."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint.assembly import assembly
from clampwright.joint.power_screw import torque_from_clamp_power_screw
from clampwright.joint.stress import (
    Torsion,
    combined_factor,
    stress_after_release,
    tightening_stress,
    yield_clamp,
)

M10: dict[str, Any] = {"stress_area": 57.99, "P": 1.5, "d2": 9.0257}
TORSIONS: list[Torsion] = ["plastic", "elastic"]


@pytest.mark.parametrize(("torsion", "divisor"), [("plastic", 12.0), ("elastic", 16.0)])
def test_stress_is_force_and_thread_torque_over_the_section(
    torsion: Torsion, divisor: float
) -> None:
    # Second way: textbook section modulus π d³/16 (elastic) or π d³/12 (fully plastic).
    force, mu = 29_600.0, 0.12
    thick = math.sqrt(4.0 * 57.99 / math.pi)
    moment = force * (9.0257 / 2.0) * (1.5 / (math.pi * 9.0257) + 1.155 * mu)
    shear = moment / (math.pi * thick**3 / divisor)
    found = tightening_stress(force, **M10, mu_thread=mu, torsion=torsion)
    assert float(found.torsion) == pytest.approx(shear, rel=1e-12)
    assert float(found.equivalent) == pytest.approx(math.hypot(force / 57.99, math.sqrt(3) * shear))
    assert ("2001 and later" in found.edition) == (torsion == "plastic")


@given(mu=st.floats(0.0, 0.5), yield_stress=st.floats(200, 1200), torsion=st.sampled_from(TORSIONS))
def test_at_the_onset_of_yield_the_equivalent_stress_is_the_yield_stress(
    mu: float, yield_stress: float, torsion: Torsion
) -> None:
    clamp = yield_clamp(yield_stress=yield_stress, **M10, mu_thread=mu, torsion=torsion)
    found = tightening_stress(clamp, **M10, mu_thread=mu, torsion=torsion)
    assert float(found.equivalent) == pytest.approx(yield_stress, rel=1e-12)
    assert clamp < yield_stress * 57.99


@given(mu=st.floats(0.0, 0.49))
def test_less_thread_friction_yields_later_and_the_elastic_reading_earlier(mu: float) -> None:
    at = [yield_clamp(yield_stress=940, **M10, mu_thread=m) for m in (mu, mu + 0.01)]
    assert at[0] > at[1]
    assert at[0] > yield_clamp(yield_stress=940, **M10, mu_thread=mu, torsion="elastic")


@given(mu=st.floats(0.02, 0.3), kept=st.floats(0.0, 1.0))
def test_release_takes_stress_away_between_tension_and_all(mu: float, kept: float) -> None:
    on = tightening_stress(30_000, **M10, mu_thread=mu)
    after = stress_after_release(30_000, **M10, mu_thread=mu, kept_torsion=kept)
    assert on.tension * (1 - 1e-12) <= after <= on.equivalent * (1 + 1e-12)


def test_release_brings_a_yielded_bolt_below_yield_by_a_tenth_or_so() -> None:
    # VDI 2230-1 with half of the torsion kept: 5 to 12 % for μ 0.08 to 0.16 (worked apart).
    mu = np.array([0.08, 0.16])
    clamp = yield_clamp(yield_stress=940, **M10, mu_thread=mu)
    drop = 1.0 - stress_after_release(clamp, **M10, mu_thread=mu) / 940
    assert drop[0] == pytest.approx(0.05, abs=0.01)
    assert drop[1] == pytest.approx(0.12, abs=0.01)


def test_assembly_is_yield_clamp_and_torque_of_the_named_edition() -> None:
    kw: dict[str, Any] = {**M10, "mu_thread": 0.12}
    found = assembly(yield_stress=940, bearing_diameter=12.815, mu_bearing=0.12, **kw)
    clamp = yield_clamp(yield_stress=940, utilisation=0.9, thread_form="power_screw", **kw)
    assert found.clamp == clamp
    torque = torque_from_clamp_power_screw(
        clamp, P=1.5, d2=9.0257, bearing_diameter=12.815, mu_thread=0.12, mu_bearing=0.12
    )
    assert float(found.torque) == pytest.approx(float(torque), rel=3e-4)  # 1.155 for 1.1547
    assert "elastic" in assembly(
        yield_stress=940, bearing_diameter=12.815, mu_bearing=0.12, torsion="elastic", **kw
    ).edition  # fmt: skip


def test_a_table_of_rows_equals_row_by_row() -> None:
    mu = np.linspace(0.05, 0.3, 40)
    rp = np.array([640.0, 940.0, 1100.0])[:, None]
    whole = assembly(yield_stress=rp, **M10, bearing_diameter=12.815, mu_thread=mu, mu_bearing=mu)
    assert whole.clamp.shape == whole.torque.shape == (3, 40)
    one = assembly(
        yield_stress=940, **M10, bearing_diameter=12.815, mu_thread=mu[7], mu_bearing=mu[7]
    )
    assert (whole.clamp[1, 7], whole.torque[1, 7]) == (one.clamp, one.torque)


@given(scale=st.floats(0.01, 100.0), mu=st.floats(0.0, 0.5))
def test_any_unit_of_length_gives_the_same_factor(scale: float, mu: float) -> None:
    scaled: dict[str, Any] = {
        "stress_area": 57.99 * scale**2,
        "P": 1.5 * scale,
        "d2": 9.0257 * scale,
    }
    assert float(combined_factor(**scaled, mu_thread=mu)) == pytest.approx(
        float(combined_factor(**M10, mu_thread=mu)), rel=1e-12
    )


@pytest.mark.parametrize(
    ("name", "value"),
    [("yield_stress", 0.0), ("yield_stress", math.nan), ("stress_area", -1.0), ("P", 0.0),
     ("mu_thread", 2.0), ("utilisation", 0.0), ("utilisation", 1.1)],
)  # fmt: skip
def test_a_bad_number_is_refused_by_name(name: str, value: float) -> None:
    keywords: dict[str, Any] = {
        "yield_stress": 940.0,
        **M10,
        "mu_thread": 0.12,
        "utilisation": 0.9,
    } | {name: value}
    with pytest.raises(OutOfRange, match=rf"\b{name}\b"):
        yield_clamp(**keywords)


def test_an_unknown_edition_or_form_is_refused() -> None:
    with pytest.raises(ClampwrightError, match="torsion is 'vdi'; it must be one of: plastic, ela"):
        combined_factor(**M10, mu_thread=0.1, torsion="vdi")  # type: ignore[arg-type]  # on purpose
    with pytest.raises(ClampwrightError, match="thread_form is 'exact'"):
        combined_factor(**M10, mu_thread=0.1, thread_form="exact")  # type: ignore[arg-type]  # same
