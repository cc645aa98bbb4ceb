"""Sentences of the drawer's pages."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

DRAWER: Mapping[str, Words] = MappingProxyType(
    {
        "drawer": words("Drawer"),
        "drawer_about": words(
            "What you pull with, and how far to trust it today. The drawer file describes the "
            "tools; what happens to them stands in the log."
        ),
        "drawer_back": words("To the drawer"),
        "tool_is": words("What it is"),
        "tool_kind": words("Kind"),
        "tool_drive": words("Square"),
        "tool_scales": words("Scales"),
        "tool_standing": words("Calibration"),
    }
)
"""Of the drawer's templates."""
