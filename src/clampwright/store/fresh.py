"""What this program has just put on the log: it is asked for again and again.

Whoever takes an entry reads it back to fold it, to answer with it and to let others see it. Its
bytes were proved when they were composed; they are not proved again as long as they are the same.
"""

from __future__ import annotations

from collections.abc import Iterable

from clampwright.proof.entry import Entry, read_composed
from clampwright.proof.merkle import leaf_hash
from clampwright.store.writing import Receipt

KEPT = 64
"""Entries remembered: somewhat more than one COMMIT makes durable."""


class Fresh:
    """Entries composed here, by their place; the newest few."""

    def __init__(self) -> None:
        self._leaves: dict[int, bytes] = {}
        self._entries: dict[int, Entry] = {}

    def wrote(self, receipts: Iterable[Receipt]) -> None:
        """Remember what was put on the log.

        Parameters
        ----------
        receipts : iterable of Receipt
        """
        for one in receipts:
            if not one.duplicate:
                self._leaves[one.index] = one.leaf_hash
        for index in list(self._leaves)[:-KEPT]:
            del self._leaves[index]
            self._entries.pop(index, None)

    def read(self, data: bytes, index: int) -> Entry | None:
        """Return the entry, when these are the very bytes that were composed here.

        It is the same one every time: not to be changed.

        Parameters
        ----------
        data : bytes
            What the database gives for this place now.
        index : int

        Returns
        -------
        Entry or None
            None for what was not composed here: it is to be read with proof.
        """
        known = self._entries.get(index)
        if known is not None and known.data == data:
            return known
        if self._leaves.get(index) != leaf_hash(data):
            return None
        self._entries[index] = entry = read_composed(data, index)
        return entry
