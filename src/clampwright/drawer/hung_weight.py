"""A torque from a hung weight and a lever: the test device anybody can make.

The weight pulls with the gravity of the place, which goes with latitude and height by half a
percent over the world.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from clampwright.errors import OutOfRange
from clampwright.words import words

EQUATOR = 9.7803267715
"""Normal gravity at the equator, m/s²: GRS 80, Moritz, Journal of Geodesy 74 (2000) 128 (from
memory); so are the next five."""
K = 0.001931851353
E2 = 0.00669438002290
AXIS = 6_378_137.0
FLATTENING = 1 / 298.257222101
M = 0.00344978600308

ANOMALY = 0.001
"""How far gravity at a place may lie from the formula, m/s² either way: anomalies beyond 100 mGal
are rare (textbooks of geodesy, from memory)."""
AIR, STEEL = 1.2, 7850.0
"""Density of air and of weights of steel or iron, kg/m³ (the usual round values)."""
BUOYANCY = 1.0 - AIR / STEEL


def local_gravity(latitude: float, height: float = 0.0) -> float:
    """Return the normal gravity at a place.

    ``γ = γ_e (1 + k sin²φ)/√(1 − e² sin²φ)``, and ``1 − 2(1 + f + m − 2f sin²φ) h/a + 3(h/a)²``
    times that at a height.

    Parameters
    ----------
    latitude : float
        North or south, −90 to 90 deg.
    height : float
        Above the sea, mm; −1 km to 10 km.

    Returns
    -------
    float
        m/s². Gravity itself lies within about 0.001 m/s² of it.

    Raises
    ------
    OutOfRange
        No place on land has this latitude or height.

    References
    ----------
    Moritz, Geodetic Reference System 1980, Journal of Geodesy 74 (2000) 128, eqs. for normal
    gravity (from memory); the height by the second-order formula of Heiskanen and Moritz,
    Physical Geodesy, 2-123 (from memory).

    Examples
    --------
    >>> round(local_gravity(45.0), 8)
    9.8061992
    """
    _within("latitude", latitude, -90.0, 90.0, "deg")
    _within("height", height, -1e6, 1e7, "mm")
    square = math.sin(math.radians(latitude)) ** 2
    normal = EQUATOR * (1 + K * square) / math.sqrt(1 - E2 * square)
    h = height / 1000 / AXIS
    return normal * (1 - 2 * (1 + FLATTENING + M - 2 * FLATTENING * square) * h + 3 * h * h)


def hung_weight_torque(mass: float, lever: float, gravity: float, tilt: float = 0.0) -> float:
    """Return the torque of a weight that hangs from a level lever.

    ``T = m g (1 − ρ_air/ρ_steel) L cos β``

    Parameters
    ----------
    mass : float
        That hangs, kg; above 0.
    lever : float
        From the axis of the square to where it hangs, mm; above 0.
    gravity : float
        Of the place, m/s².
    tilt : float
        Of the lever out of the level, deg.

    Returns
    -------
    float
        N·m.

    Raises
    ------
    OutOfRange
        A value is not above 0, gravity is not of this earth, or the lever hangs more than 45°.

    References
    ----------
    Statics; buoyancy in air as for any mass (density of air 1.2 kg/m³, of steel 7850 kg/m³).

    Examples
    --------
    >>> round(hung_weight_torque(10.0, 400.0, 9.80665), 3)
    39.221
    """
    _within("mass", mass, 0.0, 10_000.0, "kg", open_low=True)
    _within("lever", lever, 0.0, 10_000.0, "mm", open_low=True)
    _within("gravity", gravity, 9.7, 9.9, "m/s²")
    _within("tilt", tilt, -45.0, 45.0, "deg")
    return mass * gravity * BUOYANCY * lever / 1000 * math.cos(math.radians(tilt))


def _within(
    name: str, value: float, low: float, high: float, unit: str, *, open_low: bool = False
) -> None:
    if low <= value <= high and not (open_low and value <= low):
        return
    raise OutOfRange(
        words(
            "{name} is {value:g} {unit}; it must lie between {low:g} and {high:g}",
            name=name,
            value=value,
            unit=unit,
            low=low,
            high=high,
        ),
        value=value,
        low=low,
        high=high,
    )


@dataclass(frozen=True, slots=True)
class HungWeight:
    """A lever with a weight on it, as a reference.

    Parameters
    ----------
    lever : float
        From the axis of the square to where the weight hangs, mm.
    gravity : float
        m/s².
    carrier : float
        What hangs besides: the hanger, and what the handle itself weighs at the grip when it lies
        level, kg.
    u_mass_rel : float
        Relative standard uncertainty of the masses, as a fraction.
    u_lever : float
        Standard uncertainty of the lever, mm.
    tilt : float
        How far out of the level it may be, degrees either way.

    Examples
    --------
    >>> weight = HungWeight(400.0, local_gravity(54.0))
    >>> round(weight.torque(10.0), 2), round(weight.uncertainty_percent, 2)
    (39.25, 0.45)
    """

    lever: float
    gravity: float
    carrier: float = 0.0
    u_mass_rel: float = 0.001
    u_lever: float = 0.8
    tilt: float = 2.0

    def torque(self, mass: float) -> float:
        """Return the torque of a mass hung on the lever, N·m."""
        return hung_weight_torque(mass + self.carrier, self.lever, self.gravity)

    def mass_for(self, torque: float) -> float:
        """Return the mass to hang for a torque in N·m, kg; 0 where the carrier is enough."""
        whole = torque / hung_weight_torque(1.0, self.lever, self.gravity)
        return max(whole - self.carrier, 0.0)

    @property
    def uncertainty_percent(self) -> float:
        """Expanded relative uncertainty of the torque, k = 2, percent."""
        gravity = ANOMALY / self.gravity / math.sqrt(3)
        level = (1 - math.cos(math.radians(self.tilt))) / math.sqrt(3)
        u = math.hypot(self.u_mass_rel, self.u_lever / self.lever, gravity, level)
        return 200 * u
