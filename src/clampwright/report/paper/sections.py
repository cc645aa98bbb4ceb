"""Sections that packages have added to a record, as its entries hold them."""

from __future__ import annotations

from typing import Any

from clampwright.report.paper.material import Material
from clampwright.report.sections import told_in


def sections(material: Material) -> list[dict[str, Any]]:
    """Return the sections of a record, each with the package it came from.

    Parameters
    ----------
    material : Material

    Returns
    -------
    list of dict
    """
    return [
        {
            "title": told.content["title"],
            "by": material.say(told.by),
            "lines": told.content.get("lines", []),
            "head": told.content.get("table", {}).get("head", []),
            "rows": told.content.get("table", {}).get("rows", []),
        }
        for told in told_in(material.entries.values())
    ]
