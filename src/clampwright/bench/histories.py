"""What the log of a workshop tells of its tools."""

from __future__ import annotations

from collections import Counter

from clampwright.drawer.history import (
    HAPPENED,
    PULL,
    PULL_MEMBERS,
    ToolHistory,
    fold_tools,
    with_pulls,
)
from clampwright.store.log import Store


def happened_of(store: Store) -> dict[str, ToolHistory]:
    """Return what happened to every tool, without counting the pulls made with it.

    A look back needs no counts, and goes through the pulls by itself.

    Parameters
    ----------
    store : Store

    Returns
    -------
    dict of str to ToolHistory
        By the tool's id.
    """
    return fold_tools(store.quick_entries(HAPPENED))


def histories_of(store: Store) -> dict[str, ToolHistory]:
    """Return what happened to every tool; pulls are counted without reading them whole.

    Parameters
    ----------
    store : Store

    Returns
    -------
    dict of str to ToolHistory
        By the tool's id.
    """
    pulled = Counter(
        (tool, time[:10], told)
        for _, _, _, time, tool, told in store.glimpses((PULL,), ("body.tool",), PULL_MEMBERS)
        if tool is not None
    )
    return with_pulls(happened_of(store), pulled)
