"""Threads, strength classes, heads, holes and friction conditions, each row with its source.

The figures stand in CSV tables beside this code. What stands in no source is refused: nothing here
is interpolated or made up. Lengths are in mm, areas in mm², stresses in MPa, friction without unit.
"""

from clampwright.standards.friction import (
    FrictionCondition,
    NutFactor,
    friction,
    friction_conditions,
    nut_factors,
    open_conditions,
)
from clampwright.standards.geometry import (
    Head,
    Hole,
    PressureLimit,
    Washer,
    across_flats,
    bearing_pressure_limit,
    head,
    hole,
    washer,
)
from clampwright.standards.strength import StrengthClass, strength, strength_classes
from clampwright.standards.thread import Thread, thread, threads

__all__ = [
    "FrictionCondition",
    "Head",
    "Hole",
    "NutFactor",
    "PressureLimit",
    "StrengthClass",
    "Thread",
    "Washer",
    "across_flats",
    "bearing_pressure_limit",
    "friction",
    "friction_conditions",
    "head",
    "hole",
    "nut_factors",
    "open_conditions",
    "strength",
    "strength_classes",
    "thread",
    "threads",
    "washer",
]
