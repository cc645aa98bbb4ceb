"""Friction from torque-tension tests as a person keeps them: a table, one fastener or several."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from clampwright.errors import Missing, OutOfRange
from clampwright.joint.friction_fit import Lot, TensionTest, evaluate_tension_test, lot_of
from clampwright.joint.friction_range import RANGE_QUANTILE
from clampwright.trace.model import Floats
from clampwright.words import words
from clampwright.work.measured_table import MeasuredTable, read_table

FEWEST_FASTENERS = 3
"""So many are needed before their own scatter says anything (as `lot_of`)."""

MOST_SCATTER = 0.5

_TORQUE = frozenset({"torque", "tightening torque", "moment"})
_CLAMP = frozenset({"clamp", "clamp load", "force", "preload", "tension"})
_SHANK = frozenset({"thread torque", "shank torque"})
_FASTENER = frozenset({"fastener", "bolt", "specimen"})


@dataclass(frozen=True, slots=True)
class Points:
    """What was measured on one fastener.

    Parameters
    ----------
    name : str
        Its name in the table; empty where there is only one.
    torque : ndarray
        N·m.
    clamp : ndarray
        N.
    thread_torque : ndarray or None
        N·m.
    """

    name: str
    torque: Floats
    clamp: Floats
    thread_torque: Floats | None


@dataclass(frozen=True, slots=True)
class FrictionStudy:
    """Tests of one or more fasteners of a lot, evaluated.

    Parameters
    ----------
    points : tuple of Points
    tests : tuple of TensionTest
        One for each fastener.
    friction, nut_factor : Lot or None
        Over the fasteners; None for fewer than three.
    """

    points: tuple[Points, ...]
    tests: tuple[TensionTest, ...]
    friction: Lot | None
    nut_factor: Lot | None

    @property
    def straight(self) -> bool:
        """Whether every line is straight."""
        return all(test.straight for test in self.tests)

    def range(self, scatter: float | None = None) -> tuple[float, float]:
        """Return the range of friction in which the next fastener falls, 19 times in 20.

        Parameters
        ----------
        scatter : float, optional
            Relative standard deviation from fastener to fastener, where fewer than three were
            tested.

        Returns
        -------
        (float, float)

        Raises
        ------
        Missing
            Fewer than three fasteners and no scatter stated.
        OutOfRange
            The scatter is not above 0 and up to 0.5, or the range leaves 0 to 1.
        """
        if self.friction is not None:
            low, high = self.friction.low, self.friction.high
        elif scatter is None:
            raise Missing(
                words(
                    "{count} fasteners tell nothing of the next one: test at least {fewest}, or "
                    "state how much fasteners scatter",
                    count=len(self.tests),
                    fewest=FEWEST_FASTENERS,
                ),
                "scatter",
            )
        else:
            low, high = self._stated(scatter)
        if not 0.0 < low < high <= 1.0:
            raise OutOfRange(
                words(
                    "friction {low:.3f} to {high:.3f} is no range that can be: check units, zero "
                    "and geometry",
                    low=low,
                    high=high,
                ),
                value=low,
                low=0.0,
                high=1.0,
            )
        return low, high

    def _stated(self, scatter: float) -> tuple[float, float]:
        if not 0.0 < scatter <= MOST_SCATTER:
            raise OutOfRange(
                words(
                    "a scatter of {value:g} % is not above 0 and up to {most:g} %",
                    value=100 * scatter,
                    most=100 * MOST_SCATTER,
                ),
                value=scatter,
                low=0.0,
                high=MOST_SCATTER,
            )
        middle = sum(test.total.value for test in self.tests) / len(self.tests)
        if middle <= 0.0:
            return middle, middle
        own = max(test.total.u / middle for test in self.tests)
        wide = math.exp(RANGE_QUANTILE * math.hypot(own, scatter))
        return middle / wide, middle * wide

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "straight": self.straight,
            "tests": [
                {"fastener": points.name or None, **_test_json(test)}
                for points, test in zip(self.points, self.tests, strict=True)
            ],
            "friction": _lot_json(self.friction),
            "nut_factor": _lot_json(self.nut_factor),
        }


def read_points(data: bytes, name: str) -> tuple[Points, ...]:
    r"""Read a table of torque and clamp load.

    Parameters
    ----------
    data : bytes
        Columns ``torque`` and ``clamp`` with units; optional ``thread torque`` with unit, and
        ``fastener`` where several were tested.
    name : str
        Name of the file, for messages.

    Returns
    -------
    tuple of Points
        In the order in which the fasteners first stand there.

    Raises
    ------
    BadFile
        It is no such table.

    Examples
    --------
    >>> found = read_points(b"fastener; torque [N.m]; clamp [kN]\na; 10; 7\nb; 20; 14\n", "t.csv")
    >>> [(one.name, one.clamp.tolist()) for one in found]
    [('a', [7000.0]), ('b', [14000.0])]
    """
    table = read_table(data, name)
    torque = table.quantities(_place(table, _TORQUE, "torque [N·m]"), "torque")
    clamp = table.quantities(_place(table, _CLAMP, "clamp [kN]"), "force")
    at = table.find(_SHANK)
    shank = None if at is None else table.quantities(at, "torque")
    named = table.find(_FASTENER)
    groups: dict[str, list[int]] = {}
    for row, cells in enumerate(table.rows):
        groups.setdefault("" if named is None else cells[named], []).append(row)
    return tuple(
        Points(
            name=group,
            torque=np.array([torque[row] for row in rows]),
            clamp=np.array([clamp[row] for row in rows]),
            thread_torque=None if shank is None else np.array([shank[row] for row in rows]),
        )
        for group, rows in groups.items()
    )


def study_friction(
    points: tuple[Points, ...],
    *,
    geometry: Mapping[str, float],
    prevailing_torque: float | None = None,
) -> FrictionStudy:
    """Evaluate tests of one or more fasteners.

    Parameters
    ----------
    points : tuple of Points
    geometry : mapping of str to float
        d, P, d2, bearing_diameter, mm.
    prevailing_torque : float, optional
        N·m, where it was measured; else each line tells its own.

    Returns
    -------
    FrictionStudy

    Raises
    ------
    OutOfRange, ClampwrightError
        As `clampwright.joint.friction_fit`.
    """
    tests = tuple(
        evaluate_tension_test(
            one.torque,
            one.clamp,
            d=geometry["d"],
            P=geometry["P"],
            d2=geometry["d2"],
            bearing_diameter=geometry["bearing_diameter"],
            thread_torque=one.thread_torque,
            prevailing_torque=prevailing_torque,
        )
        for one in points
    )
    enough = len(tests) >= FEWEST_FASTENERS
    sensible = enough and all(test.total.value > 0.0 for test in tests)
    return FrictionStudy(
        points=points,
        tests=tests,
        friction=lot_of([test.total.value for test in tests]) if sensible else None,
        nut_factor=lot_of([test.nut_factor.value for test in tests]) if enough else None,
    )


def _place(table: MeasuredTable, names: frozenset[str], example: str) -> int:
    place = table.find(names)
    if place is None:
        raise table.bad(
            words(
                "there is no column {example} among {columns}",
                example=example,
                columns=", ".join(title[:30] or "?" for title in table.header[:8]),
            )
        )
    return place


def _test_json(test: TensionTest) -> dict[str, Any]:
    parts = {
        "nut_factor": test.nut_factor,
        "friction": test.total,
        "thread_friction": test.thread,
        "bearing_friction": test.bearing,
        "prevailing_torque_Nm": test.prevailing_torque,
    }
    return {
        **{
            name: None if part is None else {"value": part.value, "u": part.u}
            for name, part in parts.items()
        },
        "straight": test.straight,
        "departure": test.bend.departure,
        "remarks": [str(remark) for remark in test.remarks],
    }


def _lot_json(lot: Lot | None) -> dict[str, Any] | None:
    if lot is None:
        return None
    return {
        "mean": lot.mean, "sd": lot.sd, "low": lot.low, "high": lot.high, "fasteners": lot.count,
    }  # fmt: skip
