"""Wrenches and adapters: which one fits a stage, and what to set it to."""

from __future__ import annotations

import datetime as dt

from clampwright.drawer.calibration import Calibration, Point
from clampwright.drawer.choice import choose
from clampwright.drawer.demand import Demand
from clampwright.drawer.fit import fitness
from clampwright.drawer.readings import (
    OtherReading,
    Received,
    other_scale_readings,
    torque_from_reading,
)
from clampwright.drawer.settings import Setting, setting
from clampwright.drawer.suitability import Fitness
from clampwright.drawer.tools import Adapter, AngleScale, Drawer, Scale, Tool

__all__ = [
    "Adapter",
    "AngleScale",
    "Calibration",
    "Demand",
    "Drawer",
    "Fitness",
    "OtherReading",
    "Point",
    "Received",
    "Scale",
    "Setting",
    "Tool",
    "choose",
    "fitness",
    "load_drawer",
    "other_scale_readings",
    "setting",
    "torque_from_reading",
]


def load_drawer(data: bytes, name: str, *, today: dt.date | None = None) -> Drawer:
    """Read a drawer file; see `clampwright.drawer.files.load_drawer`."""
    from clampwright.drawer import files  # noqa: PLC0415 - loads pydantic, only when a file is read

    return files.load_drawer(data, name, today=today)
