"""Sentences of the page of the archive."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.report.pooled_chart import POOLED_SAYS
from clampwright.words import Words, words

ARCHIVE: Mapping[str, Words] = MappingProxyType(
    {
        "archive": words("Archive"),
        "archive_about": words(
            "What many workshops show together: the newest results of the archive this workshop "
            "points at. They are made on the command line, with clampwright archive."
        ),
        "archive_none": words(
            "This workshop points at no archive. Name its folder in archive.toml in the workshop's "
            "folder."
        ),
        "archive_empty": words("No analysis of this archive was made yet."),
        "archive_made": words("Made"),
        "archive_pieces": words("pieces of work:"),
        "archive_marks": POOLED_SAYS,
        "archive_person": words(
            "What becomes of each joint is for the responsible person to decide; the "
            "manufacturer's information comes first."
        ),
    }
)
"""Of the templates."""
