"""An invented M10 joint that the tests of this room share."""

from __future__ import annotations

import pytest

from clampwright.joint.model import Fastening


@pytest.fixture(scope="session")
def m10() -> Fastening:
    """M10 hexagon bolt, strength 10.9, 45 mm between head and nut; clamp rate from the cone."""
    return Fastening(
        d=10.0,
        P=1.5,
        d2=9.0257,
        d3=8.1597,
        stress_area=57.99,
        bearing_outer=14.63,
        bearing_inner=11.0,
        yield_stress=940.0,
        clamp_rate=829.66,
        plastic_length=22.0,
        tangent_modulus=2050.0,
    )
