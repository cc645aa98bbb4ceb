"""What the entries of a record tell of the tools that the job was done with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from clampwright.drawer.history import fold_tools
from clampwright.drawer.told import lines_of
from clampwright.words import Words, words


def told_of_tools(entries: Iterable[Mapping[str, Any]]) -> dict[str, list[Words]]:
    """Say what the signed entries of a record tell of its tools, the newest first.

    Parameters
    ----------
    entries : iterable of mapping
        All entries of a record.

    Returns
    -------
    dict of str to list of Words
        By the tool's id; tools of which it tells nothing are absent.
    """
    outside = (entry for entry in entries if entry["job"] is None)
    return {
        tool: [_line(line.date.isoformat(), line.what, line.note) for line in lines_of(history)]
        for tool, history in fold_tools(outside).items()
    }


def _line(date: str, what: Words, note: str) -> Words:
    if note:
        return words("{date}: {what} ({note})", date=date, what=what, note=note)
    return words("{date}: {what}", date=date, what=what)
