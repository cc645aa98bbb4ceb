"""Printed figures and the sizes they are for, shared by the tests of worked numbers.

W numbers were worked in double precision from the relations named beside them, apart from this
program, and rounded; a test allows half a unit of the last digit. WE numbers are worked examples of
textbooks and standards with the tolerance that their printed figures allow. Geometry of "the M10":
ISO 724 basic profile, bearing face 14.63 mm (ISO 4014), hole 11.0 mm (ISO 273), E 205 000 MPa.
"""

from collections.abc import Callable
from decimal import Decimal
from typing import NamedTuple

from clampwright.joint import cone, nut_factor, stiffness, stress, torque_tension
from clampwright.joint.bearing import mean_bearing_diameter
from clampwright.standards import profile

INCH, LBF = 25.4, 4.4482216152605
LBF_IN = LBF * INCH / 1000.0


class Check(NamedTuple):
    """A printed figure and how to compute it; tolerance from its digits unless given."""

    name: str
    compute: Callable[[], float]
    printed: str
    tolerance: float | None = None

    def allowed(self) -> float:
        if self.tolerance is not None:
            return self.tolerance
        exponent = Decimal(self.printed).as_tuple().exponent
        assert isinstance(exponent, int)
        return 0.5 * 10.0**exponent * (1.0 + 1e-9)

    def off(self) -> float:
        return abs(float(self.compute()) - float(self.printed))

    def ok(self) -> bool:
        return self.off() <= self.allowed()


class Size(NamedTuple):
    """Thread and bearing face, mm."""

    d: float
    P: float
    face: float
    hole: float

    @property
    def d2(self) -> float:
        return profile.pitch_diameter(self.d, self.P)

    @property
    def d3(self) -> float:
        return profile.metric_root_diameter(self.d, self.P)

    @property
    def area(self) -> float:
        return profile.metric_stress_area(self.d, self.P)

    @property
    def bearing(self) -> float:
        return float(mean_bearing_diameter(bearing_outer=self.face, bearing_inner=self.hole))

    @property
    def lengths(self) -> dict[str, float]:
        return {"P": self.P, "d2": self.d2, "bearing_diameter": self.bearing}


M10 = Size(10, 1.5, 14.63, 11.0)
M12 = Size(12, 1.75, 16.63, 13.5)
M20 = Size(20, 2.5, 28.19, 22.0)
PAIR = {"mu_thread": 0.12, "mu_bearing": 0.10}


def both(mu: float) -> dict[str, float]:
    return {"mu_thread": mu, "mu_bearing": mu}


def shares() -> torque_tension.TorqueShares:
    return torque_tension.torque_shares(**M10.lengths, **PAIR)


def factor(mu: dict[str, float]) -> float:
    return float(nut_factor.nut_factor(d=10, **M10.lengths, **mu))


def onset(mu: float, torsion: stress.Torsion) -> float:
    return 1.0 / float(stress.combined_factor(
        stress_area=M10.area, P=1.5, d2=M10.d2, mu_thread=mu, torsion=torsion))  # fmt: skip


def through_bolt() -> tuple[stiffness.Segment, ...]:
    return stiffness.bolt_segments(d=10, d3=M10.d3, shank=[(28, 10)], thread_length=17)


def through_cone(outside: float) -> cone.Cone:
    return cone.parts_resilience(grip=45, bearing_outer=14.63, hole=11, outside=outside, E=205_000)


def joint_rate() -> float:
    return float(stiffness.clamp_rate(
        P=1.5,
        bolt_resilience=stiffness.bolt_resilience(through_bolt()),
        parts_resilience=through_cone(60).resilience,
    ))  # fmt: skip
