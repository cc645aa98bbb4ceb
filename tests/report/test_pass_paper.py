"""Orders and passes on paper: the same figures as the study, every pull once, the same bytes."""

from __future__ import annotations

import pytest

from clampwright.report.pass_paper import content, loosest, passes_pdf
from clampwright.work.pass_request import PassRequest
from clampwright.work.pass_study import PassStudy

ASKED = {
    "circle": "8", "diameter": "200 mm", "width": "30 mm", "thickness": "25 mm",
    "gasket_modulus": "120 MPa", "gasket_thickness": "2 mm", "resilience": "4.35e-6",
    "target": "20 kN", "shares": "30,60,100",
}  # fmt: skip
TIME = "2026-05-01T08:00:00+00:00"


@pytest.fixture(scope="module")
def study() -> PassStudy:
    return PassRequest(ASKED).study()


def test_every_pull_of_every_pass_stands_on_it_once(study: PassStudy) -> None:
    told = content(study, computed=True, time=TIME, language="en")
    rows = told["settings"]["rows"]
    assert [int(row["fastener"]) for row in rows] == list(study.chosen.order)
    assert told["settings"]["columns"] == ["30 %", "60 %", "100 %"]
    for row in rows:
        wanted = [one.settings[int(row["fastener"]) - 1] / 1000 for one in study.settings]
        assert [float(load) for load in row["loads"]] == pytest.approx(wanted, abs=0.05)


def test_it_has_the_chart_and_says_how_far_geometry_goes(study: PassStudy) -> None:
    told = content(study, computed=True, time=TIME, language="en")
    assert "Order: general order" in told["chart"]["svg"]
    assert any("about half" in line for line in told["compared"]["remarks"])
    measured = content(study, computed=False, time=TIME, language="en")
    assert not any("about half" in line for line in measured["compared"]["remarks"])
    assert "manufacturer" in told["first"]


def test_the_band_of_the_loosest_may_lie_below_it_and_is_named() -> None:
    stiff = ASKED | {"gasket_modulus": "500 MPa", "scatter": "8"}
    scattered = PassRequest(stiff).study()
    said = str(loosest(scattered, 0))
    assert "with scatter" in said
    assert scattered.rows[0].least_band[2] < scattered.rows[0].least


def test_the_same_study_at_the_same_time_is_the_same_bytes(study: PassStudy) -> None:
    one, other = (passes_pdf(study, computed=True, time=TIME, language="en") for _ in range(2))
    assert one == other
    assert b"pdfaid" in one or b"%PDF-1.7" in one
