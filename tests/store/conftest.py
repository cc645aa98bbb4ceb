"""Rows that come in no order by luck."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from sqlalchemy import Engine, event


@dataclass
class Unordered:
    """Which way rows come for which no order was asked; ``OFF`` is that of the table."""

    turned: str = "ON"


@pytest.fixture
def unordered() -> Iterator[Unordered]:
    """SQLite gives rows for which no order was asked the other way round.

    A server may give them in any order; SQLite by itself gives them in that of the table, so that
    an order left out would not be seen
    (https://www.sqlite.org/pragma.html#pragma_reverse_unordered_selects).
    """

    way = Unordered()

    def turn(connection: Any, _record: object) -> None:
        connection.execute(f"PRAGMA reverse_unordered_selects = {way.turned}")

    event.listen(Engine, "connect", turn)
    yield way
    event.remove(Engine, "connect", turn)
