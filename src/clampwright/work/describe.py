"""Stages, tools and settings in words for people."""

from __future__ import annotations

from clampwright.drawer.fit import Fitness
from clampwright.procedure.describe import describe, remarks, shown

__all__ = ["describe", "remarks", "shown", "tool_name"]


def tool_name(choice: Fitness) -> str:
    """Name a tool with what goes on it.

    Parameters
    ----------
    choice : Fitness

    Returns
    -------
    str
    """
    parts = [choice.tool.title]
    parts += [choice.gauge.title] if choice.gauge else []
    parts += [choice.adapter.title] if choice.adapter else []
    return " + ".join(parts)
