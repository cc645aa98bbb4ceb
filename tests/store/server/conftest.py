"""A workshop with its log on the server, to be changed or to be left alone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest
from postgres import Server
from serverlog import begun, other_hand


@pytest.fixture
def place(postgres: Server, tmp_path: Path) -> Path:
    """A workshop with two entries and a signed head, its log on the server."""
    return begun(postgres, tmp_path / "yard")


@pytest.fixture(scope="module")
def untouched(postgres: Server, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same, once for all tests that fail to change it."""
    return begun(postgres, tmp_path_factory.mktemp("untouched") / "yard")


@pytest.fixture
def raw(place: Path) -> Iterator[psycopg.Connection[Any]]:
    with other_hand(place) as connection:
        yield connection
