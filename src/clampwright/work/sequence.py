"""Who comes after whom: the order of a stage, and the pulls of a whole joint."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from clampwright.joint import order as orders
from clampwright.procedure.stage import Stage
from clampwright.work.fold import PullKey
from clampwright.work.job import Joint
from clampwright.work.layout import Layout

Origin = Literal["procedure", "maker", "general"]

LOOSENING = frozenset({"loosen", "back_off_then"})
WHOLE_JOINT = frozenset({"wait"})
"""Kinds done once for the joint, not fastener by fastener."""

_REVERSED = frozenset({"reverse", "reverse_of_removal"})
_NEEDS_FIGURE = frozenset({"figure", "sequence"})


@dataclass(frozen=True, slots=True)
class StageOrder:
    """The order of one stage and where it comes from.

    Parameters
    ----------
    fasteners : tuple of int
    origin : str
        ``procedure``: its own numbers; ``maker``: the order entered for the joint; ``general``:
        the general order for such a pattern, because none was given.
    asked : bool
        The procedure refers to an order (a figure, a sequence) that was not entered.
    """

    fasteners: tuple[int, ...]
    origin: Origin
    asked: bool = False


def general_order(layout: Layout) -> tuple[int, ...]:
    """Return the general order for a pattern of fasteners.

    Parameters
    ----------
    layout : Layout

    Returns
    -------
    tuple of int
        Fastener numbers.

    Notes
    -----
    Circles cross over, rows and grids go from the centre outwards; sources stand with the
    functions in `clampwright.joint.order`.
    """
    return tuple(_general(layout))


def _general(layout: Layout) -> orders.Order:
    if layout.pattern == "circle":
        return orders.circle_order(layout.count)
    if layout.pattern == "row":
        return orders.row_order(layout.count)
    if layout.pattern == "grid":
        across, down = layout.pitches
        return orders.grid_order(layout.rows, layout.columns, row_pitch=down, pitch=across)
    return orders.points_order(layout.positions)


def stage_order(joint: Joint, stage: Stage) -> StageOrder:
    """Return the order in which a stage takes its fasteners.

    Parameters
    ----------
    joint : Joint
    stage : Stage

    Returns
    -------
    StageOrder
    """
    members = joint.fasteners_of(stage)
    if isinstance(stage.order, tuple):
        listed = tuple(number for number in stage.order if number in members)
        if sorted(listed) == sorted(members):
            return StageOrder(tuple(int(number) for number in listed), "procedure")
    base = joint.order or general_order(joint.layout)
    backwards = stage.order in _REVERSED or (stage.order is None and stage.kind in LOOSENING)
    if backwards and not stage.per_fastener:
        base = tuple(reversed(base))
    return StageOrder(
        tuple(number for number in base if number in members),
        "maker" if joint.order else "general",
        asked=stage.order in _NEEDS_FIGURE and joint.order is None and len(members) > 1,
    )


def pull_keys(
    joint: str, stages: Sequence[Stage], order_of: Sequence[tuple[int, ...]]
) -> Iterator[PullKey]:
    """Yield every pull of a joint in working order.

    A stage goes right round before the next begins; a run of stages that are done fastener by
    fastener is finished on one before it goes to the next.

    Parameters
    ----------
    joint : str
        Id of the joint.
    stages : sequence of Stage
    order_of : sequence of tuple of int
        The order of each stage.

    Yields
    ------
    PullKey
    """
    numbered = list(enumerate(zip(stages, order_of, strict=True), 1))
    for together, run in groupby(numbered, key=lambda item: item[1][0].per_fastener):
        if together:
            yield from _fastener_by_fastener(joint, list(run))
        else:
            for number, (stage, order) in run:
                for fastener in (0,) if stage.kind in WHOLE_JOINT else order:
                    yield PullKey(joint, number, fastener)


def _fastener_by_fastener(
    joint: str, run: list[tuple[int, tuple[Stage, tuple[int, ...]]]]
) -> Iterator[PullKey]:
    for fastener in run[0][1][1]:
        for number, (_stage, order) in run:
            if fastener in order:
                yield PullKey(joint, number, fastener)
