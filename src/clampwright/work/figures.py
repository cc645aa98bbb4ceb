"""Questions after a figure that nobody has found yet, as the log holds them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

ASKED, FOUND = "figure_asked", "figure_found"
"""Kinds of entries."""


@dataclass(frozen=True, slots=True)
class FigureQuestion:
    """One question after a figure.

    Parameters
    ----------
    entry : str
        Id of the entry that asked.
    job : str or None
        The job it belongs to.
    asked : mapping
        Body of that entry.
    found : mapping or None
        Body of the entry that answered; None while it is open.
    """

    entry: str
    job: str | None
    asked: Mapping[str, Any]
    found: Mapping[str, Any] | None = None


def questions(entries: Iterable[Mapping[str, Any]]) -> tuple[FigureQuestion, ...]:
    """Return every question in the order of the log, each with its answer if there is one.

    Parameters
    ----------
    entries : iterable of mapping
        Entries of a log; others than these two kinds are passed over.

    Returns
    -------
    tuple of FigureQuestion
    """
    known: dict[str, FigureQuestion] = {}
    for entry in entries:
        if entry["kind"] == ASKED:
            known[entry["id"]] = FigureQuestion(entry["id"], entry["job"], entry["body"])
        elif entry["kind"] == FOUND and entry["body"]["asked"] in known:
            asked = entry["body"]["asked"]
            known[asked] = replace(known[asked], found=entry["body"])
    return tuple(known.values())
