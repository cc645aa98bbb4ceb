"""What holds for all tests."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from forked import Forked
from hypothesis import settings

if TYPE_CHECKING:
    from clampwright.bench.folder import Workshop

# The same examples on every run and machine, and no time limit that a busy machine could miss.
settings.register_profile("seeded", derandomize=True, deadline=None)
settings.load_profile("seeded")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Measure no coverage while examples are drawn: it doubles the time, and shows little more."""
    for item in items:
        if item.get_closest_marker("hypothesis") is not None:
            item.add_marker(pytest.mark.no_cover)


@pytest.fixture(scope="session")
def forked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Forked]:
    """The command line, loaded once: calls that cost no start."""
    found = Forked.begin(tmp_path_factory.mktemp("forked"))
    yield found
    found.end()


@pytest.fixture
def workshop(tmp_path: Path) -> Workshop:
    """The invented workshop, its files fresh and nothing done yet."""
    from clampwright.demo.run import build_workshop  # noqa: PLC0415 - heavy, and few tests need it

    return build_workshop(tmp_path / "workshop", replace=False)
