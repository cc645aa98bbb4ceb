"""From the written text to stages, and the stages against physics.

``read`` and the classes of its result are loaded when they are first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from clampwright.procedure.account import spans
    from clampwright.procedure.reader import read
    from clampwright.procedure.reading import Limit, Problem, Reading, Span
    from clampwright.procedure.stage import Figure, Stage, WrenchSetting

__all__ = [
    "Figure",
    "Limit",
    "Problem",
    "Reading",
    "Span",
    "Stage",
    "WrenchSetting",
    "read",
    "spans",
]

_HOMES = {
    "read": "reader",
    "spans": "account",
    "Limit": "reading",
    "Problem": "reading",
    "Reading": "reading",
    "Span": "reading",
    "Figure": "stage",
    "Stage": "stage",
    "WrenchSetting": "stage",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module  # noqa: PLC0415 - only when something is asked for

    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
