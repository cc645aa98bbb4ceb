"""A workshop, a clock that is set by hand, and a program outside that is told something."""

from __future__ import annotations

import importlib.util
import threading
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from receivers import EXAMPLE, Board, Clock

from clampwright.bench.folder import Workshop, open_store


@pytest.fixture(scope="module")
def stranger() -> ModuleType:
    """The receiver of the examples: it imports nothing of this package."""
    spec = importlib.util.spec_from_file_location("receive_messages", EXAMPLE)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    assert "clampwright." not in EXAMPLE.read_text("utf-8").replace("clampwright=", "")
    return module


@pytest.fixture
def board() -> Iterator[Board]:
    found = Board()
    thread = threading.Thread(target=found.server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    yield found
    found.wait.set()
    found.server.shutdown()
    thread.join()
    found.server.server_close()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "shop"
    place.mkdir()
    with open_store(Workshop(place), create=True):
        pass
    return place


@pytest.fixture
def clock() -> Clock:
    return Clock()
