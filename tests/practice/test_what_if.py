"""What would happen if: against the joint room's own bands, and against the elastic equations."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.joint.band import clamp_bands
from clampwright.joint.passes import Pass, tighten_passes
from clampwright.joint.torque_angle import Step
from clampwright.practice.what_if import JointParts, Setup, outcome
from clampwright.practice.what_if_request import CHANGES, FIELDS, WhatIfRequest
from clampwright.units import Unreadable
from clampwright.work.fastener import Named, fastening_of
from clampwright.work.layout import circle
from clampwright.work.pass_case import Parts, computed_flexibility

BOLT = Named("M10", "8.8", "ISO 4014/4017", friction="oiled")
COVER = Parts(thickness=25, gasket_modulus=120, gasket_thickness=2, width=30, modulus=205_000)
RING = circle(8, 200.0)
ROUND = tuple(range(1, 9))
ASKED: dict[str, str] = {
    "circle": "8", "diameter": "200 mm", "thread": "M10", "strength": "8.8",
    "head": "ISO 4014/4017", "grip": "30 mm", "friction": "oiled", "torque": "35 N·m",
    "shares": "30,60,100", "thickness": "25 mm", "width": "30 mm",
    "gasket_modulus": "120 MPa", "gasket_thickness": "2 mm",
}  # fmt: skip


def parts(*, soft: bool) -> JointParts:
    plain = fastening_of(BOLT)
    assert plain is not None
    bolt = plain.with_simple_joint(grip=30, shank_length=15, outside=50, E_parts=205_000)
    return JointParts(RING, bolt, computed_flexibility(RING, COVER) if soft else None)


def setup(**more: object) -> Setup:
    condition = BOLT.condition()
    assert condition is not None
    return replace(Setup(condition, 35.0, ROUND), **more)  # type: ignore[arg-type]  # fields by name


def test_without_influence_each_fastener_has_the_band_of_one() -> None:
    joint, how = parts(soft=False), setup()
    found = outcome(joint, how)
    band = clamp_bands(joint.fastening, [Step("torque", 35.0)], friction=how.friction,
                       torque_u_rel=0.02)[0]  # fmt: skip
    assert found.nominal == pytest.approx(np.full(8, band.nominal))
    assert found.p05 == pytest.approx(np.full(8, band.p05), rel=0.03)
    assert found.p95 == pytest.approx(np.full(8, band.p95), rel=0.03)


def test_passes_are_those_of_the_joint_room() -> None:
    joint, how = parts(soft=True), setup(shares=(0.3, 0.6, 1.0), order=(1, 5, 3, 7, 2, 6, 4, 8))
    C = joint.influence()
    found = outcome(joint, how)
    steps = [Pass(how.order, share * found.alone) for share in how.shares]
    want = tighten_passes(C / np.diag(C), steps)[-1].clamp
    assert found.nominal == pytest.approx(want)


def test_an_angle_adds_what_the_elastic_equations_say_in_any_order() -> None:
    """All turned by θ: ΔF = C·(P θ/360)·1, whatever the order, for the joint is linear."""
    joint = parts(soft=True)
    before = outcome(joint, setup(torque=10.0)).nominal
    want = before + joint.influence() @ np.full(8, 1.5 * 20.0 / 360.0)
    for order in (ROUND, (1, 5, 3, 7, 2, 6, 4, 8)):
        snug = outcome(joint, setup(torque=10.0, order=order)).nominal
        turned = outcome(joint, setup(torque=10.0, angle=20.0, order=order)).nominal
        assert turned - snug == pytest.approx(want - before)


def test_yield_is_where_the_clamp_load_stays() -> None:
    joint = parts(soft=False)
    far = outcome(joint, setup(torque=20.0, angle=200.0))
    assert far.yielded == pytest.approx(np.ones(8))
    mu = far.setup.friction.at(np.zeros(1))
    onset = float(np.asarray(joint.fastening.yield_clamp(mu_thread=mu))[0])
    assert far.nominal == pytest.approx(np.full(8, onset))
    friction_only = outcome(joint, setup())
    assert (far.p95 - far.p05).max() < (friction_only.p95 - friction_only.p05).min()


def test_asking_twice_gives_the_same() -> None:
    joint, how = parts(soft=True), setup()
    assert outcome(joint, how).as_json() == outcome(joint, how).as_json()


def test_once_round_leaves_it_less_even_than_crosswise_in_three_passes() -> None:
    found = WhatIfRequest(ASKED | {"if_order": "1,2,3,4,5,6,7,8", "if_shares": "100"}).study()
    assert found.changed.evenness < found.planned.evenness
    assert found.planned.setup.order[:2] != (1, 2)
    assert "loosest fastener" in str(found.says()[0])


def test_oil_on_a_dry_plan_raises_clamp_load_and_yield_is_told() -> None:
    dry = ASKED | {"friction": "dry", "torque": "60 N·m", "if_friction": "oiled"}
    found = WhatIfRequest({k: v for k, v in dry.items() if "gasket" not in k and k != "thickness"})
    study = found.study()
    assert study.changed.alone > 1.5 * study.planned.alone
    assert "yield" in str(study.says()[0])
    assert study.as_json()["interaction"] is False


@pytest.mark.parametrize("name", CHANGES)
def test_what_is_left_empty_stays_as_planned(name: str) -> None:
    value = {"friction": "dry", "torque": "30 N·m", "angle": "15", "order": "8,7,6,5,4,3,2,1",
             "shares": "50,100", "wrench": "6"}[name]  # fmt: skip
    found = WhatIfRequest(ASKED | {f"if_{name}": value}).study()
    attribute = {"friction": "condition", "wrench": "torque_u_rel"}.get(name, name)
    for field in ("condition", "torque", "angle", "order", "shares", "torque_u_rel"):
        same = getattr(found.planned.setup, field) == getattr(found.changed.setup, field)
        assert same is (field != attribute)


@pytest.mark.parametrize(
    ("change", "kind", "says"),
    [
        ({"circle": ""}, Missing, "say where the fasteners are"),
        ({"circle": "60"}, OutOfRange, "cannot be told apart"),
        ({"friction": ""}, Missing, "friction is needed"),
        ({"if_friction": "butter"}, Missing, "butter"),
        ({"friction": "stainless_dry"}, OutOfRange, "no upper"),
        ({"torque": "35"}, ClampwrightError, "no unit"),
        ({"torque": "0 N·m"}, OutOfRange, "the torque is 0"),
        ({"if_angle": "4000"}, OutOfRange, "the angle is 4000"),
        ({"if_order": "1,2,9"}, OutOfRange, "no fastener 9"),
        ({"if_order": "one,two"}, Unreadable, "fastener numbers"),
        ({"if_shares": "60,30"}, OutOfRange, "must rise"),
        ({"if_shares": "a"}, Unreadable, "numbers with commas"),
        ({"if_wrench": "90"}, OutOfRange, "uncertainty"),
        ({"if_order": ",".join(["1"] * 300)}, OutOfRange, "number of pulls"),
        ({"thickness": ""}, Missing, "thickness is needed"),
    ],
)
def test_bad_questions_say_what_would_be_right(
    change: dict[str, str], kind: type[ClampwrightError], says: str
) -> None:
    with pytest.raises(kind, match=says):
        WhatIfRequest(ASKED | change).study()


def test_every_field_has_one_name() -> None:
    assert len(set(FIELDS)) == len(FIELDS)
