"""A joint of the second maker, drawn at random, with what its drawing says of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SIZES = ((6.0, 1.0), (8.0, 1.25), (10.0, 1.5), (12.0, 1.75), (12.0, 1.25), (16.0, 2.0), (18.0, 2.5))
BOTH = ("normal", "pause", "soft_joint", "slip_off", "stripped", "prevailing_high")


@dataclass
class Joint:
    """A joint as it is, with what its drawing says of it."""

    d: float
    pitch: float
    grip: float
    strength: float
    nut_factor: float
    clamp_rate: float  # N/deg
    yield_clamp: float  # N, by the drawing
    target: float  # N·m
    snug: float  # N·m
    angle: float | None

    @property
    def rate(self) -> float:
        """Torque per degree, N·m/deg."""
        return self.nut_factor * self.d * self.clamp_rate / 1000.0


def drawn_joint(rng: np.random.Generator, pattern: str) -> Joint:
    d, pitch = SIZES[rng.integers(len(SIZES))]
    mu = rng.uniform(0.085, 0.16)
    d2 = d - 0.6495 * pitch
    area = math.pi / 4.0 * (d - 0.9382 * pitch) ** 2
    lead = pitch / (math.pi * d2)
    slide = mu * 1.155
    thread = 0.5 * d2 * (lead + slide) / (1.0 - lead * slide)
    nut_factor = (thread + 0.65 * d * mu) / d
    grip = d * rng.uniform(1.8, 6.0)
    bolt = area * 205e3 / (grip + 0.9 * d)
    plates = 205e3 * d * 0.787 * math.exp(0.629 * d / grip)
    clamp_rate = pitch / 360.0 / (1.0 / bolt + 1.0 / plates)
    strength = float(rng.choice([640.0, 940.0, 1100.0]))
    torsion = 1.5 * d2 / (d - 0.9382 * pitch) * (lead + slide)
    yield_clamp = strength * area / math.sqrt(1.0 + 3.0 * torsion**2)
    share = rng.uniform(0.4, 0.5) if pattern == "slope_out_of_band" else rng.uniform(0.45, 0.7)
    if pattern == "galling":
        share = rng.uniform(0.55, 0.7)
    target = float(np.round(share * yield_clamp * nut_factor * d / 1000.0, 1))
    low = 0.2 if pattern == "prevailing_high" else 0.15
    snug = float(np.round(target * rng.uniform(low, 0.35), 1))
    way = target / (nut_factor * d * clamp_rate / 1000.0)
    angle: float | None = None
    if pattern == "necking":
        angle = float(np.round(way * 2.0 + rng.uniform(180.0, 260.0)))
    elif pattern == "plastic" and rng.random() < 0.8:
        angle = float(np.round(way * 2.0 + rng.uniform(45.0, 120.0)))
    elif pattern in BOTH and rng.random() < 0.3:
        angle = float(max(14.0, np.round(way * rng.uniform(0.6, 0.9))))
    return Joint(d, pitch, grip, strength, nut_factor, clamp_rate, yield_clamp, target, snug, angle)
