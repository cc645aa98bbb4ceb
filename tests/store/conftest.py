"""Rows that come in no order by luck."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from sqlalchemy import Engine, event


@pytest.fixture
def unordered() -> Iterator[None]:
    """SQLite gives rows for which no order was asked the other way round.

    A server may give them in any order; SQLite by itself gives them in that of the table, so that
    an order left out would not be seen
    (https://www.sqlite.org/pragma.html#pragma_reverse_unordered_selects).
    """

    def turn(connection: Any, _record: object) -> None:
        connection.execute("PRAGMA reverse_unordered_selects = ON")

    event.listen(Engine, "connect", turn)
    yield
    event.remove(Engine, "connect", turn)
