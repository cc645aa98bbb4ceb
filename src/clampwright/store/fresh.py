"""What this program has just put on the log: it is asked for again and again.

Whoever takes an entry reads it back to fold it, to answer with it and to let others see it. Its
bytes were proved when they were composed, so they are not proved again, and not asked for either:
what is on the log is never changed.
"""

from __future__ import annotations

from collections.abc import Iterable

from clampwright.proof.entry import Entry, read_composed
from clampwright.store.writing import Receipt

KEPT = 64
"""Entries remembered: twice as many as share one COMMIT."""


class Fresh:
    """Entries composed here, the newest few. Each is the same every time: not to be changed."""

    def __init__(self) -> None:
        self._data: dict[int, bytes] = {}
        self._places: dict[str, int] = {}
        self._entries: dict[int, Entry] = {}

    def wrote(self, receipts: Iterable[Receipt]) -> None:
        """Remember what was put on the log.

        Parameters
        ----------
        receipts : iterable of Receipt
        """
        for one in receipts:
            if not one.duplicate:
                self._entries.pop(one.index, None)
                self._data[one.index] = one.data
                self._places[one.id] = one.index
        for index in list(self._data)[:-KEPT]:
            del self._data[index]
            self._entries.pop(index, None)
        self._places = {name: at for name, at in self._places.items() if at in self._data}

    def forget(self) -> None:
        """Forget all: what was written was taken back."""
        self._data, self._places, self._entries = {}, {}, {}

    def named(self, entry_id: str) -> Entry | None:
        """Return the entry of an id, when it was composed here.

        Parameters
        ----------
        entry_id : str

        Returns
        -------
        Entry or None
        """
        place = self._places.get(entry_id)
        return None if place is None else self._at(place)

    def between(self, start: int, end: int) -> list[Entry] | None:
        """Return the entries from one place up to another, when all were composed here.

        Parameters
        ----------
        start, end : int
            The last is not among them.

        Returns
        -------
        list of Entry or None
        """
        if end - start > KEPT or any(place not in self._data for place in range(start, end)):
            return None
        return [self._at(place) for place in range(start, end)]

    def read(self, data: bytes, index: int) -> Entry | None:
        """Return the entry, when these are the very bytes that were composed here.

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
        return self._at(index) if self._data.get(index) == data else None

    def _at(self, index: int) -> Entry:
        entry = self._entries.get(index)
        if entry is None:
            entry = self._entries[index] = read_composed(self._data[index], index)
        return entry
